package feed

import (
	"errors"
	"fmt"
	"io"
	"net"
	"strings"
	"testing"
	"time"
)

// peer is the other side of a connection, on an address that stays.
type peer struct {
	t        *testing.T
	address  string
	listener net.Listener
	callers  chan *net.TCPConn
}

func newPeer(t *testing.T, address string) *peer {
	t.Helper()
	l, err := net.Listen("tcp", address)
	if err != nil {
		t.Skipf("no local network at %s: %v", address, err)
	}
	return servePeer(t, l)
}

func servePeer(t *testing.T, l net.Listener) *peer {
	p := &peer{t, l.Addr().String(), l, make(chan *net.TCPConn, 100)}
	t.Cleanup(func() { l.Close() })
	go func() {
		defer close(p.callers)
		for {
			c, err := l.Accept()
			if err != nil {
				return // closed
			}
			p.callers <- c.(*net.TCPConn)
		}
	}()
	return p
}

// back makes the peer listen again where it did before.
func (p *peer) back() *peer {
	p.t.Helper()
	l, err := net.Listen("tcp", p.address)
	if err != nil {
		p.t.Fatal(err)
	}
	return servePeer(p.t, l)
}

// caller waits for somebody to connect.
func (p *peer) caller() *net.TCPConn {
	p.t.Helper()
	select {
	case c, ok := <-p.callers:
		if !ok {
			p.t.Fatal("the peer does not listen")
		}
		p.t.Cleanup(func() { c.Close() })
		return c
	case <-time.After(patience):
		p.t.Fatal("nobody connected")
		return nil
	}
}

func (p *peer) send(c *net.TCPConn, s string) {
	p.t.Helper()
	if _, err := io.WriteString(c, s); err != nil {
		p.t.Fatal(err)
	}
}

func TestTCPReads(t *testing.T) {
	for _, address := range []string{"127.0.0.1:0", "[::1]:0"} {
		t.Run(address, func(t *testing.T) {
			p := newPeer(t, address)
			r := start(t, mustOpen(t, "tcp:"+p.address, Options{}))
			c := p.caller()
			if c := r.until(Opened); !c.Torn {
				t.Error("a connection may begin within a line, but the feed does not say torn")
			}
			p.send(c, "1000,812\n")
			p.send(c, "2000,815\n")
			if got := r.text(18); got != "1000,812\n2000,815\n" {
				t.Errorf("read %q", got)
			}
			r.stop()
		})
	}
}

// However a connection ends, it is lost, tried again, and comes back torn. What
// was sent before is handed on, the beginning of a line included.
func TestTCPLostAndBack(t *testing.T) {
	rows := []struct {
		name, sent, why string
		end             func(c *net.TCPConn) error
	}{
		{"closed", "1000,812\n", "the other side closed it", (*net.TCPConn).Close},
		{"closed within a line", "1000,812\n2000,81", "the other side closed it", (*net.TCPConn).Close},
		{"half closed", "1000,812\n", "the other side closed it", (*net.TCPConn).CloseWrite},
		{"reset", "1000,812\n", "reset", func(c *net.TCPConn) error { // SetLinger makes the close a reset
			return errors.Join(c.SetLinger(0), c.Close())
		}},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			t.Parallel()
			p := newPeer(t, "127.0.0.1:0")
			r := start(t, mustOpen(t, "tcp:"+p.address, Options{}))
			for range 2 {
				c := p.caller()
				p.send(c, row.sent)
				if got := r.text(len(row.sent)); got != row.sent {
					t.Errorf("read %q, sent %q", got, row.sent)
				}
				if err := row.end(c); err != nil {
					t.Fatal(err)
				}
				lost := r.until(Lost)
				told(t, lost.Err, "was lost: ", "until it is back")
				if !strings.Contains(lost.Err.Error(), row.why) {
					t.Errorf("lost because %q, want %q in it", lost.Err, row.why)
				}
				if c := r.until(Back); !c.Torn || c.At.Before(lost.At) {
					t.Errorf("Back = %+v after Lost at %v", c, lost.At)
				}
			}
			r.stop()
		})
	}
}

// A peer that is away altogether is waited for; what it sends when it is back
// comes.
func TestTCPPeerStartsAgain(t *testing.T) {
	p := newPeer(t, "127.0.0.1:0")
	r := start(t, mustOpen(t, "tcp:"+p.address, Options{}))
	c := p.caller()
	r.until(Opened)
	p.listener.Close()
	c.Close()
	lost := r.until(Lost)
	select { // long enough for a refused attempt
	case e := <-r.events:
		t.Fatalf("%v came while nobody listened", e.Kind)
	case <-time.After(retryEvery + retryEvery/2):
	}
	p = p.back()
	c = p.caller()
	if away := r.until(Back).At.Sub(lost.At); away < retryEvery {
		t.Errorf("back after %v, before the pause of %v was over", away, retryEvery)
	}
	p.send(c, "3000,816\n")
	if got := r.text(9); got != "3000,816\n" {
		t.Errorf("read %q", got)
	}
	r.stop()
}

func TestTCPStops(t *testing.T) {
	for _, lost := range []bool{false, true} {
		t.Run(fmt.Sprintf("lost %v", lost), func(t *testing.T) {
			p := newPeer(t, "127.0.0.1:0")
			r := start(t, mustOpen(t, "tcp:"+p.address, Options{}))
			c := p.caller()
			r.until(Opened)
			if lost {
				p.listener.Close()
				c.Close()
				r.until(Lost)
			}
			r.stop()
		})
	}
}

func TestTCPGivesUpWhenTold(t *testing.T) {
	p := newPeer(t, "127.0.0.1:0")
	r := start(t, mustOpen(t, "tcp:"+p.address, Options{GiveUp: time.Millisecond}))
	c := p.caller()
	r.until(Opened)
	p.listener.Close()
	c.Close()
	told(t, r.end(), "is not back after 1ms", "on the network")
}

func TestTCPErrors(t *testing.T) {
	p := newPeer(t, "127.0.0.1:0")
	p.listener.Close() // nobody listens there now
	rows := []struct{ name, address, what, next string }{
		{"refused", p.address, "no connection to ", "on the network"},
		// RFC 6761: a name below .invalid never resolves.
		{"no such name", "rig-board.invalid:4000", `the name "rig-board.invalid" cannot be found`, "in numbers"},
	}
	for _, row := range rows {
		t.Run(row.name, func(t *testing.T) {
			r := start(t, mustOpen(t, "tcp:"+row.address, Options{}))
			err := r.end()
			told(t, err, row.what, row.next)
			if !strings.Contains(err.Error(), row.address) {
				t.Errorf("error %q does not name %q", err, row.address)
			}
			if c, ok := <-r.events; ok {
				t.Errorf("a chunk came: %+v", c)
			}
		})
	}
}

// A source that opens and is lost again at once is tried less and less often.
func TestNextPause(t *testing.T) {
	rows := []struct{ pause, open, want time.Duration }{
		{retryEvery / 2, 0, retryEvery}, // as it begins
		{retryEvery, 0, 2 * retryEvery},
		{2 * retryEvery, steady - 1, 4 * retryEvery},
		{retryMost - 1, 0, retryMost},
		{retryMost, 0, retryMost},
		{retryMost, steady, retryEvery},
		{retryEvery, time.Hour, retryEvery},
	}
	for _, r := range rows {
		if got := nextPause(r.pause, r.open); got != r.want {
			t.Errorf("nextPause(%v, %v) = %v, want %v", r.pause, r.open, got, r.want)
		}
	}
}
