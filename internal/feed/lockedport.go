package feed

import (
	"errors"
	"fmt"
	"sync"

	"go.bug.st/serial"
)

// lockedPort is an open port and the lock that keeps other programs off it. It
// is read by one goroutine, which also closes it; its modem line may be changed
// by another.
type lockedPort struct {
	serial.Port
	lock  deviceLock
	modem modem
	// noLine says why the port cannot carry a trip line; nil where it can, or
	// need not.
	noLine error

	gate     sync.Mutex
	changing bool // the line is being changed: the file number must stay ours meanwhile
	closing  bool // to be closed by whoever changes the line
	closed   bool
}

// Close drops the line and closes, once; again is harmless, while the lock's
// file number may be another file's by then. It waits for nobody: an adapter
// that does not answer to a change of the line must not hold up a pull.
func (p *lockedPort) Close() error {
	p.gate.Lock()
	if p.closed || p.closing {
		p.gate.Unlock()
		return nil
	}
	if p.changing {
		p.closing = true
		p.gate.Unlock()
		return nil
	}
	p.closed = true
	p.gate.Unlock()
	return p.shut()
}

func (p *lockedPort) shut() error {
	if p.modem.line != "" && p.noLine == nil {
		_ = p.modem.set(p.Port, p.modem.line, false) // the port may be gone; closing drops it too
	}
	return errors.Join(p.Port.Close(), p.lock.release())
}

// hold holds the line or drops it. A line of a closed port is dropped.
func (p *lockedPort) hold(ok bool) error {
	p.gate.Lock()
	if p.closed || p.closing {
		p.gate.Unlock()
		if ok {
			return errNotOpen
		}
		return nil
	}
	if p.noLine != nil {
		p.gate.Unlock()
		return p.noLine
	}
	p.changing = true
	p.gate.Unlock()
	// A panic of a driver's library ends the program's care of the port, not the
	// port itself.
	defer func() {
		p.gate.Lock()
		p.changing = false
		closing := p.closing
		p.closing, p.closed = false, p.closed || closing
		p.gate.Unlock()
		if closing {
			_ = p.shut()
		}
	}()
	return p.modem.set(p.Port, p.modem.line, ok)
}

// openPort opens a port at 8 data bits, no parity, 1 stop bit, raw, and drops
// what was waiting in it. The state of DTR and RTS is left to the system: to set
// it is refused by devices without modem lines, a pseudo-terminal among them.
// Only a line of m is dropped, and left to the system to drop when the last
// program has closed the port, this one killed included.
func openPort(path string, baud int, m modem) (*lockedPort, error) {
	lock, err := lockDevice(path)
	if err != nil {
		return nil, err
	}
	p, err := serial.Open(path, &serial.Mode{
		BaudRate: baud, DataBits: 8, Parity: serial.NoParity, StopBits: serial.OneStopBit, InitialStatusBits: linesAtOpen(m.line),
	})
	if err != nil {
		return nil, errors.Join(err, lock.release())
	}
	lp := &lockedPort{Port: p, lock: lock, modem: m}
	if m.line != "" {
		if err := m.set(p, m.line, false); err != nil {
			lp.noLine = &noLine{err}
		} else if err := lock.hangUp(); err != nil {
			lp.noLine = &noLine{fmt.Errorf("the system will not drop it by itself: %w", err)}
		}
	}
	if err := errors.Join(p.SetReadTimeout(idleRead), lock.bound(), p.ResetInputBuffer()); err != nil {
		return nil, errors.Join(err, lp.Close())
	}
	return lp, nil
}
