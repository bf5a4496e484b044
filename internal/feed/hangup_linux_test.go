package feed

import (
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"strings"
	"syscall"
	"testing"
	"time"

	"golang.org/x/sys/unix"
)

// hangsUp says whether the system would drop the lines of the board's port at
// the last close; both ends of a pseudo-terminal show the same settings.
func (b *board) hangsUp() bool { return b.settings(func(*unix.Termios) {}).Cflag&unix.HUPCL != 0 }

// settings changes the settings of the port and gives them.
func (b *board) settings(change func(*unix.Termios)) (out unix.Termios) {
	b.t.Helper()
	raw, err := b.SyscallConn()
	if err != nil {
		b.t.Fatal(err)
	}
	failed := raw.Control(func(fd uintptr) {
		var s *unix.Termios
		if s, err = unix.IoctlGetTermios(int(fd), unix.TCGETS); err != nil {
			return
		}
		was := *s
		change(s)
		if *s != was {
			err = unix.IoctlSetTermios(int(fd), unix.TCSETS, s)
		}
		out = *s
	})
	if err := errors.Join(failed, err); err != nil {
		b.t.Fatal(err)
	}
	return out
}

// A port that carries a trip line is set to drop it at the last close, even if
// somebody had switched that off; another port is left as it was.
func TestTripHangsUp(t *testing.T) {
	for _, c := range []struct{ trip, before, want bool }{{true, false, true}, {true, true, true}, {false, false, false}, {false, true, true}} {
		b := newBoard(t)
		b.settings(func(s *unix.Termios) {
			s.Cflag &^= unix.HUPCL
			if c.before {
				s.Cflag |= unix.HUPCL
			}
		})
		m := modem{}
		if c.trip {
			m = (&lamp{}).modem()
		}
		p, err := openPort(b.link, tripBaud, m)
		if err != nil {
			t.Fatal(err)
		}
		if got := b.hangsUp(); got != c.want {
			t.Errorf("%+v: hangs up %v", c, got)
		}
		if err := p.Close(); err != nil {
			t.Error(err)
		}
	}
}

// tripChild is set for the process that is killed.
const tripChild = "DRAGHAND_TEST_TRIP"

// The process that holds a trip line and is killed with -9: the system closes
// its port at once, which is when it drops the lines of a real one. What a
// pseudo-terminal can show of that is the setting while the process lives, and
// the hang-up when it is gone.
func TestTripKilled(t *testing.T) {
	if link := os.Getenv(tripChild); link != "" {
		trip, err := openTrip("serial:"+link, (&lamp{}).modem())
		if err == nil {
			err = trip.Hold(true)
		}
		if err != nil {
			t.Fatal(err)
		}
		fmt.Println("held")
		select {} // until it is killed
	}
	b := newBoard(t)
	b.settings(func(s *unix.Termios) { s.Cflag &^= unix.HUPCL })
	child := exec.Command(os.Args[0], "-test.run=^TestTripKilled$")
	child.Env = append(os.Environ(), tripChild+"="+b.link)
	out, err := child.StdoutPipe()
	if err != nil {
		t.Fatal(err)
	}
	if err := child.Start(); err != nil {
		t.Fatal(err)
	}
	defer child.Process.Kill() //nolint:errcheck // gone already when all is well
	said := make([]byte, 5)
	if _, err := io.ReadFull(out, said); err != nil || strings.TrimSpace(string(said)) != "held" {
		t.Fatalf("the process says %q: %v", said, err)
	}
	if !b.hangsUp() {
		t.Error("the port of the living process is not set to hang up")
	}
	if _, err := openPort(b.link, tripBaud, modem{}); !errors.Is(err, errBusy) {
		t.Errorf("the port is not held: %v", err)
	}
	gone := make(chan error, 1)
	go func() {
		_, err := b.Read(make([]byte, 1))
		gone <- err
	}()
	select {
	case err := <-gone:
		t.Fatalf("hung up before the kill: %v", err)
	default:
	}
	killed := time.Now()
	if err := child.Process.Signal(syscall.SIGKILL); err != nil {
		t.Fatal(err)
	}
	select {
	case err := <-gone:
		if !errors.Is(err, syscall.EIO) {
			t.Errorf("after the kill: %v, want the hang-up of the port", err)
		}
		t.Logf("hang-up %v after kill -9", time.Since(killed).Round(10*time.Microsecond))
	case <-time.After(patience):
		t.Fatal("no hang-up after kill -9")
	}
	_ = child.Wait()
	free(t, b.link)
}
