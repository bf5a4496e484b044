//go:build unix

package main

import (
	"errors"
	"net"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/creack/pty"
)

// socket is where a test's board can be plugged in and out: a link to a
// pseudo-terminal, or a port of this computer.
type socket interface {
	from() string
	plug() // gives a board somebody to talk to
	unplug()
	Write(b []byte) (int, error)
}

// ptySocket is a new pseudo-terminal behind the same link each time.
type ptySocket struct {
	t      *testing.T
	link   string
	master *os.File
}

func newPtySocket(t *testing.T) *ptySocket {
	s := &ptySocket{t: t, link: filepath.Join(t.TempDir(), "board")}
	s.plug()
	return s
}

func (s *ptySocket) from() string                { return "serial:" + s.link }
func (s *ptySocket) Write(b []byte) (int, error) { return s.master.Write(b) }

func (s *ptySocket) plug() {
	master, slave, err := pty.Open()
	if err != nil {
		s.t.Errorf("no pseudo-terminal: %v", err)
		return
	}
	s.t.Cleanup(func() { master.Close() })
	s.master = master
	if err := errors.Join(os.Symlink(slave.Name(), s.link), slave.Close()); err != nil {
		s.t.Error(err)
	}
}

func (s *ptySocket) unplug() {
	if err := errors.Join(os.Remove(s.link), s.master.Close()); err != nil {
		s.t.Error(err)
	}
}

// tcpSocket is a bridge that listens on the same address each time.
type tcpSocket struct {
	t        *testing.T
	address  string
	listener net.Listener
	conn     net.Conn
}

func newTCPSocket(t *testing.T) *tcpSocket {
	s := &tcpSocket{t: t, address: "127.0.0.1:0"}
	s.listen()
	s.address = s.listener.Addr().String()
	return s
}

func (s *tcpSocket) listen() {
	l, err := net.Listen("tcp", s.address)
	if err != nil {
		s.t.Fatalf("no local network: %v", err)
	}
	s.t.Cleanup(func() { l.Close() })
	s.listener = l
}

func (s *tcpSocket) from() string { return "tcp:" + s.address }

// Write takes whoever called for the reader. What is sent while nobody has is
// lost, as on a board that does not wait.
func (s *tcpSocket) Write(b []byte) (int, error) {
	if s.conn == nil {
		if err := s.listener.(*net.TCPListener).SetDeadline(time.Now().Add(time.Millisecond)); err != nil {
			return 0, err
		}
		c, err := s.listener.Accept()
		if err != nil {
			return len(b), nil
		}
		s.t.Cleanup(func() { c.Close() })
		s.conn = c
	}
	return s.conn.Write(b)
}

func (s *tcpSocket) plug() { s.listen() }

func (s *tcpSocket) unplug() {
	if err := errors.Join(s.listener.Close(), s.conn.Close()); err != nil {
		s.t.Error(err)
	}
	s.conn = nil
}

// portStandstills is standstills as a port of its own sees them: a busy system may hand
// on late what a pseudo-terminal is sent, though no program is held up. What any other
// program does with its own port is none of them.
func portStandstills(t *testing.T) func() []span {
	t.Helper()
	master, slave, err := pty.Open()
	if err != nil {
		t.Fatalf("no pseudo-terminal: %v", err)
	}
	t.Cleanup(func() { master.Close(); slave.Close() })
	stop, over, told := make(chan struct{}), make(chan struct{}), make(chan []span, 1)
	go func() {
		tick := time.NewTicker(5 * time.Millisecond)
		defer tick.Stop()
		for {
			select {
			case <-tick.C:
			case <-over:
				return
			}
			if _, err := master.Write([]byte("\n")); err != nil {
				return
			}
		}
	}()
	go func() {
		defer close(over)
		var out []span
		for buf, last := make([]byte, 64), time.Now(); ; {
			if _, err := slave.Read(buf); err != nil {
				return
			}
			now := time.Now()
			if now.Sub(last) > calm {
				out = append(out, span{last, now})
			}
			last = now
			select {
			case <-stop:
				told <- out
				return
			default:
			}
		}
	}()
	return func() []span { close(stop); return <-told }
}
