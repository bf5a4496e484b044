package feed

import (
	"errors"
	"net"
	"syscall"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

func onSocket(t *testing.T, c syscall.Conn, do func(fd int) error) {
	t.Helper()
	raw, err := c.SyscallConn()
	if err != nil {
		t.Fatal(err)
	}
	var inner error
	if err := errors.Join(raw.Control(func(fd uintptr) { inner = do(int(fd)) }), inner); err != nil {
		t.Fatal(err)
	}
}

// The system is told how to find out that the other side is dead.
func TestTCPKeepsAlive(t *testing.T) {
	p := newPeer(t, "127.0.0.1:0")
	f, err := newTCP("tcp", p.address, Options{})
	if err != nil {
		t.Fatal(err)
	}
	c, _, err := f.open(t.Context(), false)
	if err != nil {
		t.Fatal(err)
	}
	defer c.Close()
	onSocket(t, c.(*connection).Conn.(*net.TCPConn), func(fd int) error {
		for _, o := range []struct{ level, option, want int }{
			{unix.SOL_SOCKET, unix.SO_KEEPALIVE, 1},
			{unix.IPPROTO_TCP, unix.TCP_KEEPIDLE, 5},
			{unix.IPPROTO_TCP, unix.TCP_KEEPINTVL, 2},
			{unix.IPPROTO_TCP, unix.TCP_KEEPCNT, 3},
		} {
			got, err := unix.GetsockoptInt(fd, o.level, o.option)
			if err != nil {
				return err
			}
			if got != o.want {
				t.Errorf("option %d is %d, want %d", o.option, got, o.want)
			}
		}
		return nil
	})
}

// A peer that is gone without a word (power off, out of range) leaves a
// connection that looks open. The questions of keep-alive find out.
func TestTCPHalfOpen(t *testing.T) {
	p := newPeer(t, "127.0.0.1:0")
	f, err := newTCP("tcp", p.address, Options{})
	if err != nil {
		t.Fatal(err)
	}
	f.keep.Idle, f.keep.Interval = time.Second, time.Second
	r := start(t, f)
	c := p.caller()
	r.until(Opened)
	p.send(c, "1000,812\n")
	r.text(9)
	raw, err := c.SyscallConn()
	if err != nil {
		t.Fatal(err)
	}
	var inner error
	if err := raw.Control(func(fd uintptr) {
		// In repair mode a closed connection vanishes and tells nobody.
		inner = unix.SetsockoptInt(int(fd), unix.IPPROTO_TCP, unix.TCP_REPAIR, 1)
	}); err != nil {
		t.Fatal(err)
	}
	if inner != nil {
		t.Skipf("a connection cannot be made to vanish here: %v", inner)
	}
	from := time.Now()
	c.Close()
	lost := r.until(Lost)
	t.Logf("lost %v after it vanished: %v", time.Since(from).Round(time.Millisecond), lost.Err)
	if lost.At.Sub(from) < f.keep.Idle/2 {
		t.Error("lost at once: the peer told, and the test shows nothing")
	}
	r.until(Back)
	p.send(p.caller(), "2000,815\n")
	if got := r.text(9); got != "2000,815\n" {
		t.Errorf("read %q after it", got)
	}
	r.stop()
}

// A read of a port whose bytes another program took first does not wait for ever:
// nothing could end the feed then.
func TestSerialReadIsBounded(t *testing.T) {
	b := newBoard(t)
	other, err := unix.Open(b.link, unix.O_RDONLY|unix.O_NOCTTY, 0)
	if err != nil {
		t.Fatal(err)
	}
	defer unix.Close(other)
	r := start(t, mustOpen(t, "serial:"+b.link, Options{}))
	r.until(Opened)
	read := make(chan int, 1)
	go func() { // the settings are the device's: this read is as the feed's own
		n, _ := unix.Read(other, make([]byte, 1))
		read <- n
	}()
	select {
	case n := <-read:
		if n != 0 {
			t.Errorf("read %d bytes nobody sent", n)
		}
	case <-time.After(patience):
		t.Error("the read waits for ever")
		b.send("x")
	}
	r.stop()
}
