//go:build unix

package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"draghand/internal/picture"
	"draghand/internal/record"
)

// demoRecord makes a record with the program itself.
func demoRecord(t *testing.T, dir string) string {
	t.Helper()
	term := onTerminal(t, dir, picture.Options{Cols: 80, Rows: 24}, "demo", "--speed", "50", "--headless", "--data", dir)
	if code := ended(t, term); code != exitDone {
		t.Fatalf("demo ended with %d", code)
	}
	found, err := filepath.Glob(filepath.Join(dir, "*", record.HeadFile))
	if err != nil || len(found) != 1 {
		t.Fatalf("records %v, %v", found, err)
	}
	return filepath.Dir(found[0])
}

// A saved pull on a screen, by keys alone: how it came out, played from before the
// load, to the peak, the break and the alarm, step by step, in another unit and
// another window; q leaves the terminal as it was and the record unchanged.
func TestReplayOnScreen(t *testing.T) {
	dir := t.TempDir()
	rec := demoRecord(t, dir)
	before, err := os.ReadFile(filepath.Join(rec, record.SamplesFile))
	if err != nil {
		t.Fatal(err)
	}
	for _, size := range []struct{ cols, rows int }{{80, 24}, {120, 40}} {
		term := onTerminal(t, dir, picture.Options{Cols: size.cols, Rows: size.rows}, "replay", rec, "--data", dir)
		see(t, term, "REPLAY", "replay: BROKE at", "everything read", "lbf")
		keys(t, term, "p", "the peak, paused", "loading")
		keys(t, term, "b", "the break, paused")
		keys(t, term, "n", "CAUTION was raised at", "the first alarm again: none came after")
		until(t, term, ",,.", "CAUTION was raised at")
		// At its own pace it plays for six seconds, at five times that for one.
		keys(t, term, " ", "playing", "space pause")
		until(t, term, " ", "space pause")
		keys(t, term, "++", "paused × 5")
		keys(t, term, " ", "replay: BROKE at", "paused × 5", "everything read") // played to the end
		keys(t, term, "u", "kN")
		keys(t, term, "ww", "the 10 s before")
		keys(t, term, "?", "no key changes the record")
		keys(t, term, "q", "source", "REPLAY") // closes the help
		press(t, term, "q")
		if code := ended(t, term); code != exitDone {
			t.Errorf("%d×%d: code %d", size.cols, size.rows, code)
		}
	}
	after, err := os.ReadFile(filepath.Join(rec, record.SamplesFile))
	if err != nil || string(after) != string(before) {
		t.Errorf("the samples changed: %v", err)
	}

	// A damaged one is shown up to the damage, and the program ends with 3.
	lines := strings.SplitAfter(string(before), "\n")
	lines[2000] = "rubbish\n"
	if err := os.WriteFile(filepath.Join(rec, record.SamplesFile), []byte(strings.Join(lines, "")), 0o644); err != nil {
		t.Fatal(err)
	}
	term := onTerminal(t, dir, picture.Options{Cols: 100, Rows: 30}, "replay", rec, "--data", dir)
	see(t, term, "REPLAY", "DAMAGED at byte", "(line 2001)")
	press(t, term, "q")
	if code := ended(t, term); code != exitInput {
		t.Errorf("damaged: code %d", code)
	}
}
