//go:build unix

package main

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"draghand/internal/picture"
	"draghand/internal/record"
	"draghand/internal/shelf"
	"draghand/internal/specimen"
)

// An evening at the shelf by keys alone: a melt found by typing, three bars of it laid
// over each other and compared, the report written; a label, a remark, the trash and
// back, a pull that was cut off closed, a bar measured.
func TestShelfSittingByKeys(t *testing.T) {
	t.Parallel()
	made := filepath.Join(t.TempDir(), "shelf")
	twoMelts(t, made)
	for _, size := range []struct{ cols, rows int }{{80, 24}, {120, 40}} {
		if testing.Short() && size.cols > 80 {
			continue // the race detector has seen all there is in the smaller one
		}
		t.Run(fmt.Sprintf("%dx%d", size.cols, size.rows), func(t *testing.T) {
			t.Parallel()
			dir := t.TempDir()
			pulls := filepath.Join(dir, "shelf")
			if err := os.CopyFS(pulls, os.DirFS(made)); err != nil {
				t.Fatal(err)
			}
			term := onTerminal(t, dir, picture.Options{Cols: size.cols, Rows: size.rows, Dir: dir}, "--data", pulls)
			see(t, term, "bench", "no source")
			keys(t, term, "l", "10 pull records, 1 other folder", "foreign")
			findThree(t, term)
			layOver(t, term)
			count := compareThree(t, term)
			keepReport(t, term, dir, count)
			tidy(t, term, pulls)
			keys(t, term, "b", "bench", "no source")
			press(t, term, "q")
			if code := ended(t, term); code != exitDone {
				t.Errorf("code %d", code)
			}
			leftOnShelf(t, pulls)
		})
	}
}

// twoMelts fills a shelf: five simulated bars of each of two melts, of which M1-5 is not
// measured yet and M2-5 was cut off, and a folder that is no record.
func twoMelts(t *testing.T, dir string) {
	t.Helper()
	run := func(args ...string) {
		cmd := exec.Command(program(t), append(args, "--data", dir)...)
		cmd.Env = append(os.Environ(), home(dir)...)
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Errorf("%v: %v\n%s", args, err, out)
		}
	}
	var all sync.WaitGroup
	free := make(chan struct{}, 2)
	for n := range 10 {
		melt, bar := fmt.Sprint("M", 1+n/5), fmt.Sprint(1+n%5)
		all.Go(func() {
			free <- struct{}{}
			defer func() { <-free }()
			run("watch", "--headless", "--from", fmt.Sprintf("sim:?speed=500&seed=%d", 20+n), "--melt", melt, "--specimen", bar,
				"--alloy", "C90500", "--diameter", "12.5 mm", "--gauge-length", "50 mm", "--micrometer", "0.01 mm")
			if melt == "M1" && bar != "5" {
				run("finish", melt+"-"+bar, "--final-diameter", "9.8 mm", "--final-gauge", "58.7 mm", "--where", "middle", "--looks", "cup-and-cone")
			}
		})
	}
	all.Wait()
	if t.Failed() {
		t.FailNow()
	}
	cutOff(t, recordOf(t, dir, "M2", "5").Dir)
	if err := os.Mkdir(filepath.Join(dir, "drawings"), 0o755); err != nil {
		t.Fatal(err)
	}
}

// recordOf is the one record of a bar.
func recordOf(t *testing.T, dir, melt, id string) *record.Record {
	t.Helper()
	all := slices.DeleteFunc(bars(t, dir), func(r *record.Record) bool {
		return r.Head.Specimen.Melt != melt || r.Head.Specimen.ID != id
	})
	if len(all) != 1 {
		t.Fatalf("%d records of %s-%s, want one", len(all), melt, id)
	}
	return all[0]
}

// findThree narrows the shelf to a melt and marks the three that were pulled first.
func findThree(t *testing.T, term *picture.Terminal) {
	t.Helper()
	keys(t, term, "/", "such as")
	keys(t, term, "M", "of 10")
	keys(t, term, "1", "5 of 10", "filter  M1")
	keys(t, term, "\r", "c compare")
	keys(t, term, "s", "by bar")
	keys(t, term, "g ", "1 marked")
	keys(t, term, "\x1b[B ", "2 marked")
	keys(t, term, "\x1b[B ", "3 marked")
}

// layOver looks at them over each other, and comes back to the shelf as it was.
func layOver(t *testing.T, term *picture.Terminal) {
	t.Helper()
	keys(t, term, "o", "3 pulls", "force on the bar, lined up at the start of the load", "M1-1", "M1-2", "M1-3", "lbf")
	keys(t, term, "l", "force on the bar, lined up at the peak")
	keys(t, term, "s", "stress, lined up at the peak", "ksi")
	keys(t, term, "l", "stress, lined up at the start of the load")
	keys(t, term, "b", "5 of 10", "filter  M1", "3 marked")
}

// compareThree compares them by two bounds, and gives the strength that the screen says
// of the second.
func compareThree(t *testing.T, term *picture.Terminal) string {
	t.Helper()
	first := countOn(t, keys(t, term, "c", "3 pulls", "simulated", "(90/95 bound", "k 6.16", "replaces no code"))
	second := countOn(t, keys(t, term, "c", "(99/95 bound", "k 10.55", "replaces no code"))
	if first == second {
		t.Errorf("99/95 gives the %s that 90/95 gave", first)
	}
	return second
}

// countOn is what the screen says may be counted on.
func countOn(t *testing.T, s *picture.Screen) string {
	t.Helper()
	m := regexp.MustCompile(`Count on (\d+\.\d ksi)`).FindStringSubmatch(s.Text())
	if m == nil {
		t.Fatalf("nothing to count on:\n%s", s.Text())
	}
	return m[1]
}

// keepReport writes the report; it is a file that says what the screen did.
func keepReport(t *testing.T, term *picture.Terminal, dir, count string) {
	t.Helper()
	keys(t, term, "e", "report written")
	found, err := filepath.Glob(filepath.Join(dir, "comparison-*.html"))
	if err != nil || len(found) != 1 {
		t.Fatalf("reports %v, %v", found, err)
	}
	page, err := os.ReadFile(found[0])
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Count on " + count, "99/95", "M1-1", "M1-2", "M1-3", "simulated"} {
		if !strings.Contains(strings.ReplaceAll(string(page), "\u00a0", " "), want) {
			t.Errorf("the report does not say %q", want)
		}
	}
	// Nobody marked the others of the melt: they are named as left behind, and no more.
	text := string(page)
	if !strings.Contains(text, "2 more pulls of this melt that could be read were not taken: M1-4 and M1-5") {
		t.Error("the report does not say what was left behind")
	}
	if strings.Contains(text, "M2-1") || strings.Contains(strings.ReplaceAll(text, "M1-4 and M1-5", ""), "M1-4") {
		t.Error("the report has bars that nobody marked")
	}
	keys(t, term, "b", "5 of 10", "filter  M1", "3 marked")
}

// tidy does with single records what a person does.
func tidy(t *testing.T, term *picture.Terminal, pulls string) {
	t.Helper()
	// A misnamed bar, and what the fracture showed.
	keys(t, term, "n", "label of M1-3")
	keys(t, term, "\t\x15"+"33\t", "bar      33", "▸")
	keys(t, term, "wet sand\r", "label kept; ", "M1-33")
	keys(t, term, "m", "keep the remark")
	keys(t, term, "one pore by the edge\r", "remark kept")
	// Into the trash and back; the marks would go along, so they are taken first.
	until(t, term, "0", "3 marked")
	keys(t, term, "x", "move M1-33 of 20")
	keys(t, term, "y", "in the trash: U takes it back", "4 of 9")
	if moved, err := shelf.TrashList(pulls); err != nil || len(moved) != 1 {
		t.Errorf("in the trash: %v, %v", moved, err)
	}
	keys(t, term, "U", "back on the shelf: 1 record", "5 of 10")
	// The one that was cut off.
	keys(t, term, "/\x15"+"state:unf", "1 of 10", "unfinished")
	keys(t, term, "\r", "R recover")
	keys(t, term, "R", "closed by what is intact", "0 of 10")
	// The one that nobody measured.
	keys(t, term, "/\x15"+"bar:M1-5", "1 of 10")
	keys(t, term, "\r", "f says where it broke", "c compare")
	keys(t, term, "f", "measure the bar", "still open")
	keys(t, term, "\r", "take it")
	keys(t, term, "9.85 mm\r", "0.3878 in")
	keys(t, term, "\x1b[B\x1b[C", "‹ middle ›")
	keys(t, term, "s", "filter  bar:M1-5", "with remarks")
}

// leftOnShelf compares what is on the disk with what was done.
func leftOnShelf(t *testing.T, pulls string) {
	t.Helper()
	if all := bars(t, pulls); len(all) != 10 {
		t.Errorf("%d records, want 10", len(all))
	}
	named := recordOf(t, pulls, "M1", "33")
	if !slices.Equal(named.Head.Specimen.Tags, []string{"wet sand"}) {
		t.Errorf("tags %q", named.Head.Specimen.Tags)
	}
	if got := named.Head.SaidTexts(); !slices.Contains(got, "one pore by the edge") {
		t.Errorf("remarks %q", got)
	}
	if got := strings.Join(named.Head.SaidTexts(), "; "); !strings.Contains(got, "M1-3") && !strings.Contains(got, "it was called 3") {
		t.Errorf("what it was called is not in %q", got)
	}
	cut := recordOf(t, pulls, "M2", "5")
	if c := cut.Head.Closing; c == nil || string(c.Outcome) != "broken" {
		t.Errorf("closing of the one that was cut off: %+v", c)
	}
	if m := recordOf(t, pulls, "M1", "5").Head.Measured(); m == nil || m.Where != specimen.MidGauge || len(m.Diameters) != 1 {
		t.Errorf("measured: %+v", m)
	}
	for _, r := range bars(t, pulls) {
		if rep := record.Check(r.Dir); !rep.Intact() {
			t.Errorf("%s: %s", r.Name(), rep.Text())
		}
	}
}
