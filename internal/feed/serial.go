package feed

import (
	"context"
	"errors"
	"fmt"
	"io"
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
	// retryEvery is how often a lost port is tried again.
	retryEvery = 250 * time.Millisecond
	// portBuffer holds four times what a terminal device hands out at once.
	portBuffer = 16 << 10
)

// serialPort reads a serial port and waits for it to come back when unplugged.
type serialPort struct {
	name, path string
	baud       int
	giveUp     time.Duration
}

func newSerial(name, path string, o Options) *serialPort {
	return &serialPort{name: name, path: path, baud: o.Baud, giveUp: o.GiveUp}
}

func (s *serialPort) Name() string { return s.name }

// Run reads the port until ctx is done. A port that is missing at the start is
// an error; one that was there is tried again, by the path as it was given,
// because the name behind a link may change when a board is plugged in again.
func (s *serialPort) Run(ctx context.Context, out func(Chunk)) (err error) {
	defer caught(s.name, &err)
	p, err := openPort(s.path, s.baud)
	if err != nil {
		return portError(s.path, s.baud, err)
	}
	defer func() { p.Close() }() // of whichever port is open at the end
	out(Chunk{Kind: Opened, At: time.Now(), Torn: true})
	buf := make([]byte, portBuffer)
	for {
		why := s.pump(ctx, p, buf, out)
		p.Close()
		if ctx.Err() != nil {
			return nil
		}
		lostAt := time.Now()
		lost := &Error{
			What: fmt.Sprintf("serial port %q was lost: %v", s.path, why),
			Hint: "look at the plug and the cable: it is tried again until it is back",
			Err:  why,
			kind: ErrSource,
		}
		out(Chunk{Kind: Lost, At: lostAt, Err: lost})
		if p, err = s.reopen(ctx, lostAt); err != nil {
			return err
		}
		if ctx.Err() != nil {
			return nil
		}
		out(Chunk{Kind: Back, At: time.Now(), Torn: true})
	}
}

// pump hands on what the port sends until it is lost (the answer says why) or
// ctx is done.
func (s *serialPort) pump(ctx context.Context, p io.Reader, buf []byte, out func(Chunk)) error {
	for ctx.Err() == nil {
		n, err := p.Read(buf)
		at := time.Now()
		if n > 0 {
			out(Chunk{Kind: Data, At: at, Data: buf[:n]})
		}
		if err == nil {
			continue // with n == 0 the line is idle: a timeout is no error here
		}
		// Nobody closes the port but this goroutine, so "port closed" means
		// that it was unplugged; Windows says "access denied" for the same.
		var pe *serial.PortError
		if errors.As(err, &pe) && pe.Code() == serial.PortClosed {
			return errUnplugged
		}
		return err
	}
	return nil
}

var errUnplugged = errors.New("the device is gone")

// reopen tries the port until it is open, ctx is done, or the time to give up
// has come. While ctx is live and the error nil, the port is open. Every error
// is tried again: a board that was just plugged in may be missing, forbidden
// until the system has set its rights, or busy.
func (s *serialPort) reopen(ctx context.Context, lostAt time.Time) (port, error) {
	tick := time.NewTicker(retryEvery)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return noPort{}, nil
		case <-tick.C:
		}
		p, err := openPort(s.path, s.baud)
		if err == nil {
			return p, nil
		}
		if away := time.Since(lostAt); s.giveUp > 0 && away >= s.giveUp {
			e := portError(s.path, s.baud, err)
			e.What = fmt.Sprintf("serial port %q was lost and is not back after %v: %v", s.path, s.giveUp, e.What)
			return noPort{}, e
		}
	}
}

// port is what is read of a serial port.
type port interface {
	Read(p []byte) (int, error)
	Close() error
}

// noPort stands for a port that is not open.
type noPort struct{}

func (noPort) Read([]byte) (int, error) { return 0, io.EOF }
func (noPort) Close() error             { return nil }

// lockedPort is an open port and the lock that keeps other programs off it.
type lockedPort struct {
	serial.Port
	unlock func() error
}

// Close closes once; again is harmless, while the lock's file number may be
// another file's by then.
func (p *lockedPort) Close() error {
	if p.unlock == nil {
		return nil
	}
	err := errors.Join(p.Port.Close(), p.unlock())
	p.unlock = nil
	return err
}

// openPort opens a port at 8 data bits, no parity, 1 stop bit, raw, and drops
// what was waiting in it. The state of DTR and RTS is left to the system: to set
// it is refused by devices without modem lines, a pseudo-terminal among them.
func openPort(path string, baud int) (port, error) {
	unlock, err := lockDevice(path)
	if err != nil {
		return nil, err
	}
	p, err := serial.Open(path, &serial.Mode{BaudRate: baud, DataBits: 8, Parity: serial.NoParity, StopBits: serial.OneStopBit})
	if err != nil {
		return nil, errors.Join(err, unlock())
	}
	lp := &lockedPort{p, unlock}
	if err := errors.Join(p.SetReadTimeout(idleRead), p.ResetInputBuffer()); err != nil {
		return nil, errors.Join(err, lp.Close())
	}
	return lp, nil
}
