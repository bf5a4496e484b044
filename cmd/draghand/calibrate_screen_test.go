//go:build unix

package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"draghand/internal/calib"
	"draghand/internal/picture"
)

// A run on the screen by keys alone: points up and down as the simulated person
// brings the loads on, a second of them typed without a unit, one dropped and taken
// anew; saved, and the file is there.
func TestCalibrateOnScreen(t *testing.T) {
	for _, size := range []struct{ cols, rows int }{{80, 24}, {120, 40}} {
		t.Run(fmt.Sprint(size.cols), func(t *testing.T) {
			dir := t.TempDir()
			term := onTerminal(t, dir, picture.Options{Cols: size.cols, Rows: size.rows},
				"calibrate", "--from", "sim:?speed=8&loads=10kN/20kN/29kN/30kN/20kN/15kN/10kN", "--at", "specimen", "--reference", "50 kN cell", "--data", dir)
			take := func(n int, value string) { t.Helper(); takePoint(t, term, n, value) }
			see(t, term, "in the specimen's place", "simulated", "no known limit: pins")
			take(1, "10 kN")
			take(2, "20")
			take(3, "31") // misread
			// The simulated person goes on: seen at the next load, which waits for a point.
			see(t, term, "slope", "less line, ", "steady: type what the reference shows")
			keys(t, term, "d", "drop point 3, rising at")
			keys(t, term, "y", "2 points: 2 rising, 0 falling", "point 3 dropped")
			see(t, term, "steady: type what the reference shows")
			take(3, "30")
			take(4, "20")
			take(5, "15")
			take(6, "10")
			// Three of them give a friction of a line with an offset too, and the noise says
			// once in a while that there is one.
			see(t, term, "6 points", "3 falling", "% of the force")
			see(t, term, "the zero after the points is taken: s saves")
			keys(t, term, "q", "6 points are not saved: leave without?")
			until(t, term, "n", "leave without?")
			keys(t, term, "s", "saved; q leaves", "saved as ")
			press(t, term, "q")
			if code := ended(t, term); code != exitDone {
				t.Errorf("code %d", code)
			}
			s := see(t, term, "saved as ")
			if strings.Contains(s.Text(), "the rig was loaded") {
				t.Errorf("ends on a loaded rig:\n%s", s.Text())
			}
			files, err := os.ReadDir(filepath.Join(dir, calib.Folder))
			if err != nil || len(files) != 1 || !strings.HasSuffix(files[0].Name(), ".json") {
				t.Errorf("%d files, %v", len(files), err)
			}
		})
	}
}

// takePoint types what the reference shows once it is asked for. On a busy machine the
// reading may stand still no longer when enter comes: the value stays, and is sent again
// as a person would.
func takePoint(t *testing.T, term *picture.Terminal, n int, value string) {
	t.Helper()
	see(t, term, "steady: type what the reference shows")
	press(t, term, value+"\r")
	for tries := 1; !taken(t, term, n); tries++ {
		if tries == mostTries {
			t.Fatalf("point %d was refused %d times; the screen shows:\n%s", n, tries, term.Screen().Text())
		}
		press(t, term, "\r")
	}
}

// taken waits until point n is there; false: it was refused, and the reading stands
// still again.
func taken(t *testing.T, term *picture.Terminal, n int) bool {
	t.Helper()
	point := fmt.Sprintf("%d points in the list", n)
	listed := regexp.MustCompile(fmt.Sprintf(`\b%d points?[:,]`, n)) // a remark may say "1 of 5 points"
	refused := func(s *picture.Screen) bool { return s.Contains("NOT TAKEN") }
	// A point is in the list before its answer is there, and no key is taken till then.
	asked := func(s *picture.Screen) bool { return s.Contains("taking the point") }
	until := func(what string, ok func(*picture.Screen) bool) *picture.Screen {
		for { // the list may be written before the foot of the same frame: looked at twice
			if _, err := term.Until(t.Context(), what, ok); err != nil {
				t.Fatalf("%v; the screen shows:\n%s", err, term.Screen().Text())
			}
			if s := term.Screen(); ok(s) {
				return s
			}
		}
	}
	s := until(point, func(s *picture.Screen) bool { return listed.MatchString(s.Text()) && !asked(s) || refused(s) })
	if !refused(s) {
		return true
	}
	until("the reading to stand still again", func(s *picture.Screen) bool {
		return s.Contains("steady: type what the reference shows") && !refused(s)
	})
	return false
}

// Leaving a loaded rig is asked, and told once more at the end; nothing is saved then.
func TestCalibrateScreenLeftLoaded(t *testing.T) {
	dir := t.TempDir()
	term := onTerminal(t, dir, picture.Options{Cols: 80, Rows: 24}, "calibrate", "--from", "sim:?speed=8", "--at", "ram", "--reference", "weights", "--data", dir)
	see(t, term, "steady: type what the reference shows")
	keys(t, term, "q", leaveWords)
	press(t, term, "y")
	if code := ended(t, term); code != exitDone {
		t.Errorf("code %d", code)
	}
	see(t, term, lastLoaded[:40])
	if _, err := os.Stat(filepath.Join(dir, calib.Folder)); err == nil {
		t.Error("something was saved that nobody asked for")
	}
}

// leaveWords is what leaving a loaded rig asks.
const leaveWords = "there is load on the rig and nothing will watch it: leave?"

// ctrl+c leaves at once, but loses nothing: the points are in a table, whose name is
// told, and the program does not end as if all were well.
func TestCalibrateScreenAtOnce(t *testing.T) {
	dir := t.TempDir()
	term := onTerminal(t, dir, picture.Options{Cols: 120, Rows: 40}, "calibrate", "--from", "sim:?speed=8", "--at", "specimen", "--reference", "50 kN cell", "--data", dir)
	takePoint(t, term, 1, "10 kN")
	press(t, term, "\x03")
	if code := ended(t, term); code != exitSave {
		t.Errorf("code %d", code)
	}
	see(t, term, "points-")
	if found, err := filepath.Glob(filepath.Join(dir, calib.Folder, "points-*.csv")); err != nil || len(found) != 1 {
		t.Errorf("tables %v, %v", found, err)
	}
}
