package feed

import "sync"

// tripBaud is of no meaning: nothing is sent.
const tripBaud = 9600

// portTrip is a trip line on a port of its own. A port that is lost is opened
// again at the next Hold.
type portTrip struct {
	path  string
	modem modem

	mu     sync.Mutex
	p      *lockedPort // nil: to be opened
	closed bool
}

// OpenTrip opens a second port for a trip line alone, locked as a port of
// readings is, with the line dropped. spec is "serial:PATH".
func OpenTrip(spec string, l Line) (Trip, error) { return openTrip(spec, newModem(l)) }

func openTrip(spec string, m modem) (*portTrip, error) {
	f, err := Open(spec, Options{Baud: tripBaud})
	if err != nil {
		return nil, err
	}
	s, ok := f.(*serialPort)
	if !ok {
		return nil, specError(spec, "is no serial port and cannot carry the trip line", `write for example "serial:/dev/ttyUSB1"`)
	}
	t := &portTrip{path: s.path, modem: m}
	if err := t.reopen(); err != nil {
		return nil, err
	}
	return t, nil
}

// reopen opens the port, with the line dropped.
func (t *portTrip) reopen() error {
	p, err := openPort(t.path, tripBaud, t.modem)
	if err != nil {
		return portError(t.path, tripBaud, err)
	}
	if p.noLine != nil {
		_ = p.Close()
		return tripError(t.path, t.modem.line, p.noLine)
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.closed {
		return p.Close()
	}
	t.p = p
	return nil
}

func (t *portTrip) Hold(ok bool) error {
	t.mu.Lock()
	p, closed := t.p, t.closed
	t.mu.Unlock()
	switch {
	case closed && ok:
		return tripError(t.path, t.modem.line, errNotOpen)
	case closed:
		return nil
	case p == nil:
		if err := t.reopen(); err != nil {
			return err
		}
		return t.Hold(ok)
	}
	err := p.hold(ok)
	if err == nil {
		return nil
	}
	t.mu.Lock()
	if t.p == p {
		t.p = nil
	}
	t.mu.Unlock()
	_ = p.Close() // it is of no use any more, and closing drops the line where it can
	return tripError(t.path, t.modem.line, err)
}

func (t *portTrip) Close() error {
	t.mu.Lock()
	p, was := t.p, t.closed
	t.p, t.closed = nil, true
	t.mu.Unlock()
	if was || p == nil {
		return nil
	}
	return p.Close()
}
