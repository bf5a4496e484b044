//go:build unix

package main

import (
	"context"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/creack/pty"

	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

// A trip line that cannot be held is no pull: refused in two lines, with what
// to do, and no record is left. A pseudo-terminal has no modem lines.
func TestTripLineRefusesAPortWithoutOne(t *testing.T) {
	dir := t.TempDir()
	board, spare := filepath.Join(dir, "board"), filepath.Join(dir, "spare")
	for _, link := range []string{board, spare} {
		near, far, err := pty.Open()
		if err != nil {
			t.Skipf("no pseudo-terminals here: %v", err)
		}
		t.Cleanup(func() { near.Close(); far.Close() })
		if err := os.Symlink(far.Name(), link); err != nil {
			t.Fatal(err)
		}
	}
	for _, c := range []struct {
		name, trip, from string
		code             int
		what, next       string
	}{
		{"data port", `line = "rts"`, "serial:" + board, 4, "has no RTS line for the trip line", "take [alarm.trip] out"},
		{"second port", "line = \"dtr\"\nport = \"serial:" + spare + "\"", "serial:" + board, 4, "has no DTR line for the trip line", "name another port"},
		{"missing port", "line = \"dtr\"\nport = \"serial:" + spare + "2\"", "serial:" + board, 4, "does not exist", "plug the board in"},
		{"network", `line = "rts"`, "tcp:127.0.0.1:1", 2, "cannot carry the trip line", "name a second port"},
	} {
		t.Run(c.name, func(t *testing.T) {
			file := weakRig(t, t.TempDir(), "[units]", "[alarm.trip]\n"+c.trip+"\n\n[units]")
			shelf := filepath.Join(dir, c.name)
			cmd := exec.Command(program(t), "watch", "--rig", file, "--from", c.from, "--plain", "--data", shelf)
			cmd.Env = append(os.Environ(), home(dir)...)
			var said strings.Builder
			cmd.Stderr = &said
			err := cmd.Run()
			var exit *exec.ExitError
			if !errors.As(err, &exit) || exit.ExitCode() != c.code {
				t.Errorf("ends with %v, want %d", err, c.code)
			}
			lines := strings.Split(strings.TrimSuffix(said.String(), "\n"), "\n")
			if len(lines) != 2 || !strings.Contains(lines[0], c.what) || !strings.Contains(lines[1], c.next) {
				t.Errorf("says %q, want two lines with %q and %q", lines, c.what, c.next)
			}
			if left, _ := filepath.Glob(filepath.Join(shelf, "*", "samples.csv")); len(left) > 0 {
				t.Errorf("a record is left: %v", left)
			}
		})
	}
}

// A simulated rig never speaks for a real line: it is not even opened.
func TestTripLineIsNotForTheSimulator(t *testing.T) {
	dir := t.TempDir()
	file := weakRig(t, dir, "[units]", "[alarm.trip]\nline = \"rts\"\nport = \"serial:/nowhere/at/all\"\n\n[units]")
	out := quiet(t, filepath.Join(dir, "data"), "--rig", file, "--from", "sim:?speed=20", "--plain", "--for", (30 * time.Second).String())
	if !strings.Contains(out, "the trip line stays dropped: it does not speak for a simulated rig") {
		t.Errorf("does not say that there is no trip line:\n%s", out)
	}
}

// A terminal that hangs up under a pull without a screen drops the line, while
// the pull goes on.
func TestTripLineDropsWithTheTerminal(t *testing.T) {
	r, err := exampleRig()
	if err != nil {
		t.Fatal(err)
	}
	src, err := simSource("sim:?speed=1&idle=60s", r, specimen.Specimen{Diameters: []si.Length{demoDiameter}}, simOptions{})
	if err != nil {
		t.Fatal(err)
	}
	trip := &droppedAt{dropped: make(chan time.Time, 10)}
	why := make(chan struct{})
	v := &viewer{w: world{out: io.Discard, err: io.Discard}, edges: make(chan struct{}, 1)}
	w, err := watch.New(watch.Options{Feed: src, Rig: r, Shelf: t.TempDir(), Trip: trip, Listen: func(e watch.Event) {
		if strings.Contains(e.Text, "the terminal is gone") {
			close(why)
		}
	}})
	if err != nil {
		t.Fatal(err)
	}
	v.watch = w
	ctx, cancel := context.WithCancel(t.Context())
	done, hangup, over := make(chan watch.Result, 1), make(chan os.Signal, 1), make(chan watch.Result, 1)
	go func() { done <- w.Run(ctx) }()
	go func() { over <- v.follow(done, hangup, false) }()
	waitFor(t, 5*time.Second, "line held", trip.held.Load)
	hangup <- syscall.SIGHUP
	select {
	case <-trip.dropped:
	case <-time.After(5 * time.Second):
		t.Fatal("the line is held after the terminal is gone")
	}
	select {
	case <-why:
	case <-time.After(5 * time.Second):
		t.Error("dropped, but not because the terminal is gone")
	}
	cancel()
	<-over
}
