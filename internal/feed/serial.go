package feed

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"syscall"
	"time"

	"go.bug.st/serial"
)

const (
	// idleRead is how long a read of the port waits for bytes. The reading
	// goroutine itself looks at the context after each read and closes the
	// port. The other way, to block without limit and to close the port from
	// outside, has two faults: the library gives the file number back before
	// the reader is awake, so that a port opened again may be read by the old
	// reader; and some adapters on Windows do not keep endless waits. Twenty
	// wake-ups a second on a silent line cost nothing.
	idleRead = 50 * time.Millisecond
	// portBuffer holds four times what a terminal device hands out at once.
	portBuffer = 16 << 10
)

// serialPort reads a serial port and waits for it to come back when unplugged.
type serialPort struct {
	name, path string
	baud       int
	giveUp     time.Duration
	usb        usbTree
	board      boardID // what is known of the board behind the port
	modem      modem   // of the trip line, if this port carries it

	mu  sync.Mutex
	now *lockedPort // the port, open or not any more; for the trip line
}

func newSerial(name, path string, o Options) *serialPort {
	return &serialPort{name: name, path: path, baud: o.Baud, giveUp: o.GiveUp, usb: systemUSB()}
}

func (s *serialPort) Name() string { return s.name }

// Run reads the port until ctx is done. A port that is missing at the start is
// an error; one that was there is tried again.
func (s *serialPort) Run(ctx context.Context, out func(Chunk)) (err error) {
	defer caught(s.name, &err)
	return last(ctx, s, make([]byte, portBuffer), s.giveUp, out)
}

func (s *serialPort) what() string { return fmt.Sprintf("serial port %q", s.path) }

// open opens the port by the path as it was given, because the name behind a
// link may change when a board is plugged in again; or, where the system has
// given the same board another name, by that.
func (s *serialPort) open(_ context.Context, again bool) (p port, note string, err error) {
	path := s.path
	if again {
		if path, err = s.usb.follow(s.path, s.board); err != nil {
			return nil, "", err
		}
	}
	lp, err := openPort(path, s.baud, s.modem)
	if err != nil {
		return nil, "", err
	}
	if lp.noLine != nil && !again { // later, readings without a trip line are better than none
		return nil, "", errors.Join(tripError(path, s.modem.line, lp.noLine), lp.Close())
	}
	s.mu.Lock()
	s.now = lp
	s.mu.Unlock()
	return lp, s.meet(path, again), nil
}

// meet takes note of the board that was just opened, and says what of it a
// person may want to know: that it has another name than was asked for, or is
// in another socket than before.
func (s *serialPort) meet(path string, again bool) (note string) {
	was, is := s.board, s.usb.board(path)
	if !again {
		s.board = is
		return ""
	}
	if path != s.path {
		note = "the same board is now " + path
	}
	if !is.known() { // gone again already: what was known of it still holds
		return note
	}
	is.twin = is.twin || was.twin
	s.board = is
	if !was.known() || is.socket == was.socket {
		return note
	}
	moved := fmt.Sprintf("in USB socket %s, it was in %s", is.socket, was.socket)
	switch {
	case was.serial == "":
		return "it is now " + moved + ": it has no serial number, so look whether it is the rig's own board"
	case note == "":
		return "the same board is now " + moved
	}
	return note + ", " + moved
}

var errUnplugged = errors.New("the device is gone")

func (s *serialPort) refused(err error) *Error {
	if e, ok := errors.AsType[*Error](err); ok {
		return e
	}
	return portError(s.path, s.baud, err)
}

// gone: nobody closes the port but the goroutine that reads it, so "port closed"
// means that it was unplugged; Windows says "access denied" for the same. A read
// that falls into the very moment of the unplugging is told by the system itself.
func (s *serialPort) gone(err error) error {
	var pe *serial.PortError
	if errors.As(err, &pe) && pe.Code() == serial.PortClosed {
		return errUnplugged
	}
	for _, e := range []error{syscall.EIO, syscall.ENXIO, syscall.ENODEV} {
		if errors.Is(err, e) {
			return errUnplugged
		}
	}
	return err
}
