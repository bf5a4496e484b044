//go:build unix

package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"sync"
	"testing"
	"time"

	"github.com/creack/pty"

	"draghand/internal/record"
	"draghand/internal/rig"
)

// A terminal that takes nothing for a while, in the middle of a pull at 1 kHz:
// no reading is lost, none is late in the record, and the screen is there again.
func TestStalledTerminalLosesNothing(t *testing.T) {
	t.Parallel()
	stall(t, 3*time.Second)
}

func TestStalledTerminalLong(t *testing.T) {
	long(t)
	t.Parallel()
	stall(t, time.Minute)
}

// closed says that the only record of a shelf is closed.
func closed(shelf string) bool {
	found, _ := filepath.Glob(filepath.Join(shelf, "*", "pull.json"))
	if len(found) != 1 {
		return false
	}
	rec, err := record.Open(filepath.Dir(found[0]))
	return err == nil && rec.Closed()
}

// stall holds the terminal up from the middle of the load on for so long.
func stall(t *testing.T, d time.Duration) {
	t.Helper()
	dir := t.TempDir()
	link, log, rigFile := filepath.Join(dir, "board"), filepath.Join(dir, "log"), filepath.Join(dir, "r.toml")
	if err := os.WriteFile(rigFile, []byte(rig.Example()), 0o600); err != nil {
		t.Fatal(err)
	}
	board := start(t, dir, "simulate", "--link", link, "--log", log, "--rate", "1000")
	board.Stderr = nil
	if err := board.Start(); err != nil {
		t.Fatal(err)
	}
	waitFor(t, 5*time.Second, "the port", func() bool { _, err := os.Stat(link); return err == nil })
	cmd := exec.Command(program(t), "watch", "--rig", rigFile, "--from", "serial:"+link, "--diameter", "12.5 mm", "--data", filepath.Join(dir, "shelf"))
	cmd.Env = append(append(os.Environ(), home(dir)...), "TERM=xterm-256color")
	screen, err := pty.StartWithSize(cmd, &pty.Winsize{Cols: 120, Rows: 40})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		screen.Close()
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
	})
	// reading stops while held is locked.
	var held, mu sync.Mutex
	var seen bytes.Buffer
	go func() {
		buf := make([]byte, 4096)
		for {
			held.Lock()
			n, err := screen.Read(buf)
			held.Unlock()
			if err != nil {
				return
			}
			mu.Lock()
			seen.Write(buf[:n])
			mu.Unlock()
		}
	}()
	shows := func(word string) func() bool {
		return func() bool {
			mu.Lock()
			defer mu.Unlock()
			return bytes.Contains(seen.Bytes(), []byte(word))
		}
	}
	waitFor(t, 20*time.Second, "load on the screen", shows("loading"))
	held.Lock()
	lines := func() int64 {
		found, _ := filepath.Glob(filepath.Join(dir, "shelf", "*", "samples.csv"))
		if len(found) != 1 {
			return 0
		}
		s, err := os.Stat(found[0])
		if err != nil {
			return 0
		}
		return s.Size()
	}
	// The record grows as steadily as before while nothing is shown.
	over := time.After(d)
	tick := time.NewTicker(500 * time.Millisecond)
	defer tick.Stop()
	last, stood := lines(), 0
	looked := time.Now()
	for on := true; on; {
		select {
		case <-over:
			on = false
		case <-tick.C:
			now, at := lines(), time.Now()
			held := at.Sub(looked) > 700*time.Millisecond || at.Sub(looked) < 300*time.Millisecond // the machine, and so perhaps draghand
			if now == last && !held && !closed(filepath.Join(dir, "shelf")) {
				stood++
			}
			last, looked = now, at
		}
	}
	mu.Lock()
	seen.Reset() // before it is read on: the end may be shown at once
	mu.Unlock()
	held.Unlock()
	if stood > 1+int(d/(10*time.Second)) {
		t.Errorf("the record stood still in %d half seconds of a stall of %v", stood, d)
	}
	waitFor(t, 40*time.Second, "the end of the pull on the screen", shows("saved as"))
	if _, err := screen.Write([]byte("q")); err != nil {
		t.Fatal(err)
	}
	if err := cmd.Wait(); err != nil {
		t.Errorf("watch ended with %v", err)
	}
	if err := board.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	_ = board.Wait()
	board.Process = nil
	rec := onlyRecord(t, filepath.Join(dir, "shelf"))
	sentLines, _ := readLog(t, log, 1)
	got := recorded(t, rec)
	lost, err := missing(sentLines, got)
	if err != nil || len(lost) > 0 {
		t.Fatalf("%d of %d lines lost (%v)", len(lost), len(sentLines), err)
	}
	if res := resultsOf(t, dir, rec); res["phase"] != "broken" || fmt.Sprint(res["bad_lines"]) != "0" {
		t.Errorf("phase %v, bad lines %v", res["phase"], res["bad_lines"])
	}
	t.Logf("stalled for %v in a pull of %d readings at 1 kHz: none lost", d, len(got))
}
