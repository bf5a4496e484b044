//go:build unix

package feed

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"
)

// board is the other end of a pseudo-terminal, behind a link that stays.
type board struct {
	t    *testing.T
	link string
	*os.File
}

func plugIn(t *testing.T, link string) *board {
	t.Helper()
	master, slave, err := pty.Open()
	if err != nil {
		t.Skipf("no pseudo-terminals here: %v", err)
	}
	defer slave.Close()
	if err := os.Symlink(slave.Name(), link); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { master.Close() })
	return &board{t, link, master}
}

// unplug makes the device go away, as a USB adapter's does.
func (b *board) unplug() {
	b.t.Helper()
	if err := errors.Join(os.Remove(b.link), b.Close()); err != nil {
		b.t.Fatal(err)
	}
}

func (b *board) send(s string) {
	b.t.Helper()
	if _, err := b.WriteString(s); err != nil {
		b.t.Fatal(err)
	}
}

func newBoard(t *testing.T) *board {
	return plugIn(t, filepath.Join(t.TempDir(), "rig"))
}

func TestSerialReadsAtRate(t *testing.T) {
	b := newBoard(t)
	b.send("old and torn") // dropped: it was waiting before the port was opened
	r := start(t, mustOpen(t, "serial:"+b.link, Options{}))
	if c := r.until(Opened); !c.Torn {
		t.Error("a port may begin within a line, but the feed does not say torn")
	}
	const lines = 300
	var want strings.Builder
	go func() {
		tick := time.NewTicker(time.Millisecond)
		defer tick.Stop()
		for i := range lines {
			<-tick.C
			if _, err := fmt.Fprintf(b, "%08d,%04d\r\n", i*1000, i); err != nil {
				t.Error(err)
				return
			}
		}
	}()
	for i := range lines {
		fmt.Fprintf(&want, "%08d,%04d\r\n", i*1000, i)
	}
	var all []byte
	var before time.Time
	for len(all) < want.Len() {
		c := r.until(Data)
		if c.At.Before(before) {
			t.Errorf("arrival %v before the %v of the chunk before", c.At, before)
		}
		before = c.At
		all = append(all, c.Data...)
	}
	if string(all) != want.String() {
		t.Errorf("%d bytes read are not the %d sent", len(all), want.Len())
	}
	r.stop()
}

func TestSerialUnpluggedAndBack(t *testing.T) {
	b := newBoard(t)
	r := start(t, mustOpen(t, "serial:"+b.link, Options{}))
	r.until(Opened)
	for range 2 {
		b.send("1000,812\n")
		r.text(9)
		b.unplug()
		lost := r.until(Lost)
		told(t, lost.Err, "was lost: the device is gone", "until it is back")
		b = plugIn(t, b.link)
		if c := r.until(Back); !c.Torn || c.At.Before(lost.At) {
			t.Errorf("Back = %+v after Lost at %v", c, lost.At)
		}
	}
	b.send("2000,815\n")
	if got := r.text(9); got != "2000,815\n" {
		t.Errorf("read %q after the plug", got)
	}
	r.stop()
}

func TestSerialStopsWhileLost(t *testing.T) {
	b := newBoard(t)
	r := start(t, mustOpen(t, "serial:"+b.link, Options{}))
	r.until(Opened)
	b.unplug()
	r.until(Lost)
	r.stop()
}

func TestSerialGivesUpWhenTold(t *testing.T) {
	b := newBoard(t)
	r := start(t, mustOpen(t, "serial:"+b.link, Options{GiveUp: time.Millisecond}))
	r.until(Opened)
	b.unplug()
	told(t, r.end(), "is not back after 1ms", "plug the board in")
}

func TestSerialStopsAtCancel(t *testing.T) {
	b := newBoard(t)
	r := start(t, mustOpen(t, "serial:"+b.link, Options{}))
	r.until(Opened)
	r.stop()
	// The port is free again.
	r = start(t, mustOpen(t, "serial:"+b.link, Options{}))
	r.until(Opened)
	r.stop()
}

func TestSerialIsForOneProgram(t *testing.T) {
	b := newBoard(t)
	first := start(t, mustOpen(t, "serial:"+b.link, Options{}))
	first.until(Opened)
	second := start(t, mustOpen(t, "serial:"+b.link, Options{}))
	told(t, second.end(), "already in use by another program", "close the other program")
	// The first one goes on.
	b.send("1\n")
	first.text(2)
	first.stop()
}

func TestSerialErrors(t *testing.T) {
	dir := t.TempDir()
	plain := filepath.Join(dir, "readings.csv")
	if err := os.WriteFile(plain, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	rows := []struct{ name, path, what, next string }{
		{"missing", filepath.Join(dir, "rig"), "does not exist", "plug the board in"},
		{"folder", dir, "is not a serial port", "name a device in it"},
		{"file", plain, "is not a serial port", "file:"},
		{"null", "/dev/null", "is not a serial port", "plug the board in"},
	}
	for _, r := range rows {
		t.Run(r.name, func(t *testing.T) {
			run := start(t, mustOpen(t, "serial:"+r.path, Options{}))
			err := run.end()
			told(t, err, r.what, r.next)
			if !strings.Contains(err.Error(), r.path) {
				t.Errorf("error %q does not name %q", err, r.path)
			}
			if c, ok := <-run.events; ok {
				t.Errorf("a chunk came: %+v", c)
			}
			if r.name == "missing" && !errors.Is(err, fs.ErrNotExist) {
				t.Errorf("error %v does not wrap fs.ErrNotExist", err)
			}
		})
	}
}

func TestSerialPanicClosesThePort(t *testing.T) {
	b := newBoard(t)
	err := mustOpen(t, "serial:"+b.link, Options{}).Run(t.Context(), func(Chunk) { panic("odd") })
	told(t, err, "failed inside the program: odd", "start again")
	r := start(t, mustOpen(t, "serial:"+b.link, Options{}))
	r.until(Opened)
	r.stop()
}

// TestSerialSustains holds the goal of 50,000 readings a second over a
// pseudo-terminal, none lost.
func TestSerialSustains(t *testing.T) {
	const (
		rate = 50000
		part = 500 // lines sent together, every 10 ms
	)
	seconds := 2
	if testing.Short() || raceOn {
		seconds = 1
	}
	b := newBoard(t)
	r := start(t, mustOpen(t, "serial:"+b.link, Options{}))
	r.until(Opened)
	total := rate * seconds
	go func() {
		tick := time.NewTicker(time.Second * part / rate)
		defer tick.Stop()
		var buf []byte
		for i := 0; i < total; {
			<-tick.C
			buf = buf[:0]
			for range part {
				buf = fmt.Appendf(buf, "%09d,%04d\n", i*20, i%10000)
				i++
			}
			if _, err := b.Write(buf); err != nil {
				t.Error(err)
				return
			}
		}
	}()
	held, from := watchClock(), time.Now()
	var want, rest []byte
	n := 0
	for n < total {
		rest = append(rest, r.until(Data).Data...)
		for len(rest) >= 15 {
			want = fmt.Appendf(want[:0], "%09d,%04d\n", n*20, n%10000)
			if string(rest[:15]) != string(want) {
				t.Fatalf("line %d is %q, want %q", n, rest[:15], want)
			}
			n++
			rest = rest[15:]
		}
	}
	stood := held()
	took := time.Since(from) - stood
	t.Logf("%d lines in %v: %.0f a second, without the %v that the machine stood still", n, took, float64(n)/took.Seconds(), stood)
	// A ticker on a shared machine may skip beats, so half the rate is a fault.
	if !raceOn && took > time.Duration(seconds)*2*time.Second {
		t.Errorf("%d lines took %v, want about %d s", n, took, seconds)
	}
	r.stop()
}

// However the system says that the device went away, it is told in the same words;
// another error keeps its own.
func TestSerialGone(t *testing.T) {
	s := &serialPort{path: "/dev/rig"}
	for _, e := range []error{syscall.EIO, syscall.ENXIO, syscall.ENODEV} {
		if got := s.gone(&fs.PathError{Op: "read", Path: s.path, Err: e}); !errors.Is(got, errUnplugged) {
			t.Errorf("%v is told as %v", e, got)
		}
	}
	if got := s.gone(syscall.EINVAL); !errors.Is(got, syscall.EINVAL) {
		t.Errorf("another error is told as %v", got)
	}
}
