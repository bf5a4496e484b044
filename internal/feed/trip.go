package feed

import (
	"errors"
	"fmt"
	"strings"

	"go.bug.st/serial"
)

// Line is a modem line of a serial port.
type Line string

// The lines that a program can hold.
const (
	RTS Line = "rts"
	DTR Line = "dtr"
)

func (l Line) word() string { return strings.ToUpper(string(l)) }

// Trip is a trip line: held while all is well, dropped else. The system drops
// it when the program dies, however it does. It warns; it is no safety
// device.
type Trip interface {
	// Hold holds the line (true) or drops it. It may take as long as the port
	// takes to answer, so it belongs on a goroutine of its own; one at a time. A
	// line whose port is closed is dropped, and no error.
	Hold(ok bool) error
	// Close drops the line and gives the port free. It does not wait for a Hold
	// that is under way: then the port is closed when that returns.
	Close() error
}

// modem is what is done with a line of a port; the zero value is no line.
type modem struct {
	line Line
	// set changes the line. It is the library's but in tests, where no port has
	// one.
	set func(p serial.Port, l Line, on bool) error
}

func newModem(l Line) modem { return modem{l, setLine} }

func setLine(p serial.Port, l Line, on bool) error {
	if l == DTR {
		return p.SetDTR(on)
	}
	return p.SetRTS(on)
}

var errNotOpen = errors.New("the port is not open")

// noLine says why a port cannot carry a trip line at all.
type noLine struct{ err error }

func (n *noLine) Error() string { return n.err.Error() }
func (n *noLine) Unwrap() error { return n.err }

// tripError tells a person why a trip line does not work.
func tripError(path string, l Line, err error) *Error {
	e := &Error{Err: err, kind: ErrSource, Hint: "look at the plug of the adapter; the line counts as dropped: it is tried again"}
	if _, none := errors.AsType[*noLine](err); none {
		e.What = fmt.Sprintf("serial port %q has no %s line for the trip line: %v", path, l.word(), cause(err))
		e.Hint = `name another port that has one, as port = "serial:…" under [alarm.trip] in the rig file, or take [alarm.trip] out`
		return e
	}
	e.What = fmt.Sprintf("trip line, %s of %q: %v", l.word(), path, cause(err))
	return e
}

// TripOn makes the trip line of the port that f reads. It is to be called before
// Run, which then refuses a port without such a line. The port is f's: the line
// is dropped when f opens it, is dropped when f closes it, and is held only while
// told so in between; after a loss, only when told again.
func TripOn(f Feed, l Line) (Trip, error) {
	s, ok := f.(*serialPort)
	if !ok {
		return nil, &Error{
			What: fmt.Sprintf("source %q is no serial port and cannot carry the trip line", f.Name()),
			Hint: `name a second port for it, as port = "serial:…" under [alarm.trip] in the rig file, or take [alarm.trip] out`,
			kind: ErrSpec,
		}
	}
	s.modem = newModem(l)
	return dataTrip{s}, nil
}

// dataTrip is a line of the port that a feed reads.
type dataTrip struct{ s *serialPort }

func (d dataTrip) Hold(ok bool) error {
	d.s.mu.Lock()
	p := d.s.now
	d.s.mu.Unlock()
	if p == nil {
		if ok {
			return tripError(d.s.path, d.s.modem.line, errNotOpen)
		}
		return nil
	}
	if err := p.hold(ok); err != nil {
		return tripError(d.s.path, d.s.modem.line, err)
	}
	return nil
}

// Close drops the line; the port is the feed's and stays.
func (d dataTrip) Close() error { return d.Hold(false) }
