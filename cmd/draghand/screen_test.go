//go:build unix

package main

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"draghand/internal/picture"
	"draghand/internal/record"
)

// onTerminal starts the program in a terminal of its own.
func onTerminal(t *testing.T, dir string, o picture.Options, args ...string) *picture.Terminal {
	t.Helper()
	o.Cmd, o.Args = program(t), args
	o.Env = append(home(dir), o.Env...)
	if o.Timeout == 0 {
		o.Timeout = 40 * time.Second
	}
	term, err := picture.Start(t.Context(), o)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { term.Close() })
	return term
}

// see waits until the screen shows every one of the words.
func see(t *testing.T, term *picture.Terminal, words ...string) *picture.Screen {
	t.Helper()
	s, err := term.Until(t.Context(), strings.Join(words, " and "), func(s *picture.Screen) bool {
		for _, w := range words {
			if !s.Contains(w) {
				return false
			}
		}
		return true
	})
	if err != nil {
		t.Fatalf("%v; the screen shows:\n%s", err, term.Screen().Text())
	}
	return s
}

// press types and waits for nothing.
func press(t *testing.T, term *picture.Terminal, typed string) {
	t.Helper()
	if err := term.Type(typed); err != nil {
		t.Fatal(err)
	}
}

// keys types, waits until the screen shows the words, and gives that screen. Words
// that stand there before, or that are shown while they are typed, say nothing of what
// enter did: what is typed next may come before it did anything, and be lost.
func keys(t *testing.T, term *picture.Terminal, typed string, words ...string) *picture.Screen {
	t.Helper()
	line, entered := strings.CutSuffix(typed, "\r")
	// A frame of before may be half written, so one that would do is given time to go.
	ctx, cancel := context.WithTimeout(t.Context(), 10*time.Second)
	defer cancel()
	if _, err := term.Until(ctx, "", func(s *picture.Screen) bool {
		return slices.ContainsFunc(words, func(w string) bool { return !s.Contains(w) && !(entered && strings.Contains(line, w)) })
	}); err != nil {
		t.Fatalf("%q tells nothing of what %q does: it stands there before, or while it is typed; the screen shows:\n%s", words, typed, term.Screen().Text())
	}
	press(t, term, typed)
	return see(t, term, words...)
}

// until types, and waits until the screen shows words no more.
func until(t *testing.T, term *picture.Terminal, typed, gone string) *picture.Screen {
	t.Helper()
	see(t, term, gone)
	press(t, term, typed)
	s, err := term.Until(t.Context(), "the end of "+gone, func(s *picture.Screen) bool { return !s.Contains(gone) })
	if err != nil {
		t.Fatalf("%v; the screen shows:\n%s", err, term.Screen().Text())
	}
	return s
}

// ended waits for the program to end and gives its code.
func ended(t *testing.T, term *picture.Terminal) int {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), 20*time.Second)
	defer cancel()
	code, err := term.Exit(ctx)
	if err != nil {
		t.Fatalf("%v; the screen shows:\n%s", err, term.Screen().Text())
	}
	return code
}

// The main job on a screen: load, a caution on the way, the break, the record
// saved; q leaves and the terminal is as before. At its own pace: each of these stands
// for some four seconds, where a hurried one is over before it was drawn.
func TestDemoOnScreen(t *testing.T) {
	for _, size := range []struct{ cols, rows int }{{80, 24}, {120, 40}} {
		t.Run(fmt.Sprintf("%dx%d", size.cols, size.rows), func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			term := onTerminal(t, dir, picture.Options{Cols: size.cols, Rows: size.rows}, "demo", "--data", dir)
			see(t, term, "slack")
			see(t, term, "loading")
			see(t, term, "CAUTION", "link bar")
			see(t, term, "BROKE")
			see(t, term, "saved as")
			press(t, term, "q")
			if code := ended(t, term); code != exitDone {
				t.Errorf("code %d", code)
			}
			see(t, term, "outcome    broken")
			if r := record.Check(onlyRecord(t, dir)); r.Status != record.Whole {
				t.Errorf("record: %s", r.Text())
			}
		})
	}
}

// A terminal that answers no query must not hold up the start. The goal is
// 0.2 s; the bound here leaves room for a busy machine and is far below the
// 5 s such a terminal once cost. One of five starts must do it: a terminal that
// was waited for would be in all of them.
func TestStartOnSilentTerminal(t *testing.T) {
	const bound = 1500 * time.Millisecond
	took := time.Hour
	for try := 0; try < 5 && took > bound; try++ {
		dir := t.TempDir()
		term := onTerminal(t, dir, picture.Options{Silent: true}, "watch", "--from", "sim:?idle=10m", "--data", dir)
		took = min(took, see(t, term, "slack").At)
		t.Logf("first frame after %v on a terminal that answers nothing (goal 200 ms)", took.Round(time.Millisecond))
		term.Close()
	}
	if took > bound {
		t.Errorf("first frame after %v", took)
	}
}

// The terminal goes away under load: the pull is recorded to its end.
func TestTerminalClosedUnderLoad(t *testing.T) {
	dir := t.TempDir()
	term := onTerminal(t, dir, picture.Options{}, "demo", "--speed", "4", "--data", dir)
	see(t, term, "loading")
	if err := term.Signal(syscall.SIGHUP); err != nil {
		t.Fatal(err)
	}
	rec := waitClosed(t, dir, 30*time.Second)
	if rec.Head.Closing.Outcome != "broken" {
		t.Errorf("outcome %q, want broken", rec.Head.Closing.Outcome)
	}
}

// The same without a screen; and once there is no load, nothing keeps a program
// that nobody sees.
func TestHangupWithoutScreen(t *testing.T) {
	for _, c := range []struct{ name, source, outcome string }{
		{"breaks", "sim:?speed=4", "broken"},
		{"never loaded", "sim:?idle=10m", "ended"},
	} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			cmd := start(t, dir, "watch", "--from", c.source, "--headless", "--data", dir)
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			waitFor(t, 20*time.Second, "the record", func() bool {
				found, _ := filepath.Glob(filepath.Join(dir, "*", "samples.csv"))
				if len(found) != 1 {
					return false
				}
				s, err := os.Stat(found[0])
				// 23 bytes a line at 200 Hz: 5 s of the pull, when it is loaded.
				return err == nil && (s.Size() > 23*200*5 || c.outcome == "ended" && s.Size() > 1000)
			})
			if err := cmd.Process.Signal(syscall.SIGHUP); err != nil {
				t.Fatal(err)
			}
			rec := waitClosed(t, dir, 20*time.Second)
			if string(rec.Head.Closing.Outcome) != c.outcome {
				t.Errorf("outcome %q, want %q", rec.Head.Closing.Outcome, c.outcome)
			}
		})
	}
}

// A signal to end closes the record at once and the program ends with 0.
func TestTerminateClosesTheRecord(t *testing.T) {
	dir := t.TempDir()
	term := onTerminal(t, dir, picture.Options{}, "demo", "--speed", "2", "--data", dir)
	see(t, term, "loading")
	if err := term.Signal(syscall.SIGTERM); err != nil {
		t.Fatal(err)
	}
	if code := ended(t, term); code != exitDone {
		t.Errorf("code %d, want 0", code)
	}
	rec := waitClosed(t, dir, 5*time.Second)
	if rec.Head.Closing.Reason != record.BySignal {
		t.Errorf("reason %q, want %q", rec.Head.Closing.Reason, record.BySignal)
	}
}

// Too small a terminal is told in a sentence, and a larger one works again.
func TestResize(t *testing.T) {
	dir := t.TempDir()
	term := onTerminal(t, dir, picture.Options{Cols: 120, Rows: 40}, "watch", "--from", "sim:?idle=10m", "--data", dir)
	see(t, term, "slack")
	for range 20 {
		for _, size := range [][2]int{{40, 10}, {200, 60}, {80, 24}, {20, 5}, {120, 40}} {
			if err := term.Resize(size[0], size[1]); err != nil {
				t.Fatal(err)
			}
		}
	}
	if err := term.Resize(40, 10); err != nil {
		t.Fatal(err)
	}
	see(t, term, "needs 80 columns and 24")
	if err := term.Resize(120, 40); err != nil {
		t.Fatal(err)
	}
	if _, err := term.Until(t.Context(), "the large screen", func(s *picture.Screen) bool {
		return s.Contains("slack") && s.Contains("no known limit") && !s.Contains("needs 80 columns")
	}); err != nil {
		t.Fatalf("%v; the screen shows:\n%s", err, term.Screen().Text())
	}
}

// waitClosed waits until the only record below dir is closed.
func waitClosed(t *testing.T, dir string, within time.Duration) *record.Record {
	t.Helper()
	deadline := time.NewTimer(within)
	defer deadline.Stop()
	tick := time.NewTicker(50 * time.Millisecond)
	defer tick.Stop()
	path := onlyRecord(t, dir)
	for {
		if rec, err := record.Open(path); err == nil && rec.Head.Closing != nil {
			return rec
		}
		select {
		case <-tick.C:
		case <-deadline.C:
			t.Fatalf("the record was not closed within %v", within)
		}
	}
}
