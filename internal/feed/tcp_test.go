package feed

import (
	"io"
	"net"
	"testing"
)

// serve answers one connection.
func serve(t *testing.T, talk func(*net.TCPConn)) (address string) {
	t.Helper()
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Skipf("no local network: %v", err)
	}
	t.Cleanup(func() { l.Close() })
	go func() {
		c, err := l.Accept()
		if err != nil {
			return // the test is over
		}
		defer c.Close()
		talk(c.(*net.TCPConn))
	}()
	return l.Addr().String()
}

func TestTCP(t *testing.T) {
	r := start(t, mustOpen(t, "tcp:"+serve(t, func(c *net.TCPConn) {
		io.WriteString(c, "1000,812\n")
		io.WriteString(c, "2000,815\n")
	}), Options{}))
	if c := r.until(Opened); !c.Torn {
		t.Error("a connection may begin within a line, but the feed does not say torn")
	}
	if got := r.text(18); got != "1000,812\n2000,815\n" {
		t.Errorf("read %q", got)
	}
	r.until(End)
	if err := r.end(); err != nil {
		t.Errorf("Run = %v, want nil when the peer closes", err)
	}
}

func TestTCPStopsAtCancel(t *testing.T) {
	hold := make(chan struct{})
	defer close(hold)
	r := start(t, mustOpen(t, "tcp:"+serve(t, func(*net.TCPConn) { <-hold }), Options{}))
	r.until(Opened)
	r.stop()
}

func TestTCPErrors(t *testing.T) {
	l, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Skipf("no local network: %v", err)
	}
	address := l.Addr().String()
	l.Close() // nobody listens there now
	told(t, start(t, mustOpen(t, "tcp:"+address, Options{})).end(), "no connection to", "on the network")

	read := make(chan struct{})
	r := start(t, mustOpen(t, "tcp:"+serve(t, func(c *net.TCPConn) {
		io.WriteString(c, "1\n")
		<-read
		if err := c.SetLinger(0); err != nil { // the close becomes a reset
			t.Error(err)
		}
	}), Options{}))
	r.text(2)
	close(read)
	if c := r.until(Lost); c.Err == nil {
		t.Error("lost without a reason")
	}
	told(t, r.end(), "was lost", "look at the network")
}
