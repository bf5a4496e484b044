//go:build unix

package main

import (
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"draghand/internal/picture"
	"draghand/internal/record"
	"draghand/internal/specimen"
)

// bars are the records of a shelf in the order of their specimen.
func bars(t *testing.T, shelf string) []*record.Record {
	t.Helper()
	found, err := filepath.Glob(filepath.Join(shelf, "*", "pull.json"))
	if err != nil {
		t.Fatal(err)
	}
	var out []*record.Record
	for _, f := range found {
		r, err := record.Open(filepath.Dir(f))
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, r)
	}
	slices.SortFunc(out, func(a, b *record.Record) int { return strings.Compare(a.Head.Specimen.ID, b.Head.Specimen.ID) })
	return out
}

// A whole sitting by keys alone, from the empty bench to the shelf: three bars of
// one melt, of which the first slips, the second is let off and the third breaks;
// one is armed against a refusal, one gets a remark and is looked at again.
func TestSittingByKeys(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	shelf := filepath.Join(dir, "shelf")
	term := onTerminal(t, dir, picture.Options{Timeout: 60 * time.Second}, "--data", shelf)
	see(t, term, "bench", "no source")
	// The fields, from the source down; the rig is the built-in one.
	keys(t, term, "\x1b[B\r", "keep")
	keys(t, term, "sim:?speed=6&seed=2&fault=slips/let-off/none\r", " readings/s")
	keys(t, term, "\x1b[B\r", "keep")
	keys(t, term, "M1\r", "melt M1")
	keys(t, term, "\x1b[B\r", "keep")
	keys(t, term, "7\r", "bar 7")
	keys(t, term, "\x1b[B\x1b[B\r", "keep")
	keys(t, term, "12.5 mm, twelve mm\r", "not usable", "twelve") // a fault stands below the field
	keys(t, term, "\r", "keep")
	keys(t, term, "\x15"+"12.5 mm, 12.48 mm\r", "0.4913 in")
	see(t, term, "taken when quiet")
	keys(t, term, "a", "not armed: ") // refused still
	keys(t, term, "\t"+strings.Repeat(" ", 11), "READY")
	keys(t, term, "a", "drag hand")
	see(t, term, "BROKE", "saved as")
	keys(t, term, "q", "after the pull", "strength")
	keys(t, term, "m", "keep the remark")
	keys(t, term, "bright fracture, one pore\r", "bright fracture, one pore", "remark kept")
	keys(t, term, "v", "REPLAY")
	keys(t, term, "p", "the peak, paused")
	keys(t, term, "q", "after the pull")
	keys(t, term, "f", "measure the bar", "still open")
	keys(t, term, "\r", "take it")
	keys(t, term, "10.1 mm\r", "0.3976 in")
	keys(t, term, "\x1b[B\x1b[C", "‹ middle ›")
	keys(t, term, "s", "after the pull", "counts")

	// The second: armed without going round the rig again, for a reason.
	keys(t, term, "n", "bar 8", "no diameter")
	keys(t, term, "\r", "keep") // the number is there, the diameters are asked for
	keys(t, term, "12.51 mm\r", "0.4925 in")
	keys(t, term, "o", "arm with this reason")
	keys(t, term, "same set-up, seen a minute ago\r", "drag hand")
	see(t, term, "LET OFF")
	keys(t, term, "e", "saved as")
	keys(t, term, "q", "after the pull", "at least")

	// The third.
	keys(t, term, "n", "bar 9")
	keys(t, term, "\r", "keep")
	keys(t, term, "12.5 mm\r", "0.4921 in")
	keys(t, term, "\t", "▸ points seen to")
	// The ones about this bar are asked again; the cursor goes to each of them.
	keys(t, term, strings.Repeat(" ", 3), "READY")
	keys(t, term, "a", "drag hand")
	see(t, term, "BROKE", "saved as")
	keys(t, term, "q", "after the pull")
	keys(t, term, "l", "3 pull records", "M1-7", "M1-8", "M1-9")
	keys(t, term, "b", "points seen to")
	press(t, term, "q")
	if code := ended(t, term); code != exitDone {
		t.Errorf("code %d", code)
	}

	all := bars(t, shelf)
	if len(all) != 3 {
		t.Fatalf("%d records, want 3", len(all))
	}
	for i, want := range []struct{ id, outcome string }{{"7", "broken"}, {"8", "let-off"}, {"9", "broken"}} {
		h := all[i].Head
		if h.Specimen.ID != want.id || h.Specimen.Melt != "M1" || h.Closing == nil || string(h.Closing.Outcome) != want.outcome {
			t.Errorf("record %d: specimen %q of %q, closing %+v, want %v", i, h.Specimen.ID, h.Specimen.Melt, h.Closing, want)
		}
		if rep := record.Check(all[i].Dir); !rep.Intact() {
			t.Errorf("record %d: %s", i, rep.Text())
		}
	}
	if all[0].Head.Closing.Slips == 0 {
		t.Error("the first bar slipped, and its record does not say so")
	}
	if got := all[0].Head.SaidTexts(); !slices.Contains(got, "bright fracture, one pore") {
		t.Errorf("remarks of the first bar: %q", got)
	}
	if got := all[1].Head.Overrides; !slices.Contains(got, "same set-up, seen a minute ago") {
		t.Errorf("overrides of the second bar: %q", got)
	}
	if a := all[2].Head.Arming; a == nil || len(a.Confirmed) != 11 || len(a.Unconfirmed) != 0 {
		t.Errorf("arming of the third bar: %+v", a)
	}
	// A zero needs no new two seconds after arming: it lies before it.
	if z := all[2].Head.Closing.Zero; !z.Set || float64(z.T) > 3.2 {
		t.Errorf("zero of the third bar: %+v", z)
	}
}

// The same in words alone, for somebody who hears the bench.
func TestSittingInWords(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	shelf := filepath.Join(dir, "shelf")
	k := startTalk(t, dir, "--plain", "--every", "0", "--data", shelf)
	k.hear("the bench")
	k.tell("arm")
	k.hear("cannot be armed")
	k.tell("source sim:?speed=6")
	k.hear("source: sim:?speed=6")
	k.tell("melt M2")
	k.hear("melt: M2")
	k.tell("specimen 3")
	k.tell("diameters twelve")
	k.hear("kept, but cannot be used")
	k.tell("diameters 12.5 mm")
	k.hear("diameters: 12.5 mm")
	k.tell("least yield 20 ksi")
	k.hear("least yield, type yield: 20 ksi")
	k.tell("hold at 20 kN")
	k.hear("hold is for a proof")
	k.tell("kind")
	k.hear("kind: tension")
	k.hear("zero taken")
	k.tell("reading")
	k.hear("gauge", " readings a second") // about 200: the machine may be late
	k.tell("points")
	for range 11 {
		k.hear("is it so?")
		k.tell("y")
	}
	k.hear("nothing refuses")
	k.tell("show")
	k.hear("stop at", "link bar", "no known limit: pins", "11 of 11 points")
	k.tell("arm")
	k.hear("ARMED", "BREAK", "strength", "saved as")
	k.tell("results")
	k.hear("strength", "saved as")
	k.tell("look")
	k.hear("REPLAY", "BREAK", "strength", "nothing of it happened now")
	k.tell("check")
	k.hear("whole")
	k.tell("remark no pores")
	k.hear("kept with the record")
	k.tell("finish") // and given up
	k.hear("final diameter")
	k.tell("cancel")
	k.hear("nothing was kept")
	k.tell("finish")
	k.hear("final diameter")
	k.tell("12.9 mm")
	k.hear("not taken", "above the first")
	k.tell("10.1 mm")
	k.hear("final gauge")
	k.tell("")
	k.hear("where")
	k.tell("middle")
	for range 5 {
		k.tell("")
	}
	k.hear("kept with the record", "reduction", "counts     ", "open       elongation not known")
	k.tell("next")
	k.hear("specimen 4")
	k.tell("arm anyway")
	k.hear("say why")
	k.tell("list")
	k.hear("1 record\n", "melt M2, specimen 3", " ± ", "counts: ")
	k.tell("list melt:M1")
	k.hear("0 of 1 record\n")
	k.tell("list melt:M2 is:simulated")
	k.hear("1 of 1 record\n", "melt M2, specimen 3")
	k.tell("list strenght>40ksi")
	k.hear("strenght>40ksi: ", "next: ", "strength>40ksi")
	k.tell("quit")
	if err := k.cmd.Wait(); err != nil {
		t.Errorf("ended with %v", err)
	}
	if strings.Contains(k.text, "nothing refuses any more") {
		t.Error("told twice that nothing refuses: the last point said so")
	}
	if strings.Contains(k.text, "ended before any load") {
		t.Error("the end of a look is told as that of a pull")
	}
	all := bars(t, shelf)
	if len(all) != 1 || all[0].Head.Closing == nil || string(all[0].Head.Closing.Outcome) != "broken" {
		t.Fatalf("%d records", len(all))
	}
	if m := all[0].Head.Measured(); m == nil || len(all[0].Head.Finished) != 1 || len(m.Diameters) != 1 || m.Where != specimen.MidGauge {
		t.Errorf("measured: %+v", m)
	}
}

// The bench survives a storm of sizes, and leaves nothing behind when its
// terminal is closed before a pull was armed.
func TestBenchResizedAndClosed(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	shelf := filepath.Join(dir, "shelf")
	term := onTerminal(t, dir, picture.Options{}, "--from", "sim:", "--data", shelf)
	see(t, term, " readings/s")
	for range 20 {
		for _, size := range [][2]int{{40, 10}, {200, 60}, {80, 24}, {20, 5}, {120, 40}} {
			if err := term.Resize(size[0], size[1]); err != nil {
				t.Fatal(err)
			}
		}
	}
	see(t, term, "points seen to", "taken when quiet")
	pid := term.PID()
	term.Close()
	waitFor(t, 5*time.Second, "end of the program", func() bool { return !alive(pid) })
	if found, _ := filepath.Glob(filepath.Join(shelf, "*")); len(found) != 0 {
		t.Errorf("left behind: %v", found)
	}
}

// alive says whether a process is there and no zombie.
func alive(pid int) bool {
	text, err := os.ReadFile(filepath.Join("/proc", strconv.Itoa(pid), "stat"))
	return err == nil && !strings.Contains(string(text), ") Z ")
}

// What was asked of one pull is not answered in the next: ending under load asks
// in each.
func TestEndIsAskedInEachPull(t *testing.T) {
	t.Parallel()
	dir := t.TempDir()
	shelf := filepath.Join(dir, "shelf")
	k := startTalk(t, dir, "--plain", "--every", "0", "--from", "sim:?speed=2", "--melt", "M1", "--specimen", "1", "--diameter", "12.5 mm", "--data", shelf)
	k.hear("zero taken")
	k.tell("arm") // a reason is for what was told
	k.hear("to arm all the same")
	k.tell("arm anyway a test of the words")
	k.hear("phase: loading")
	k.tell("e")
	k.hear("type e again")
	k.hear("BREAK", "saved as")
	k.tell("next")
	k.tell("diameters 12.5 mm")
	k.hear("diameters: 12.5 mm")
	k.hear("zero taken") // without a reading nothing can be overruled
	k.tell("arm")        // a reason is for what was told
	k.hear("to arm all the same")
	k.tell("arm anyway a test of the words")
	k.hear("ARMED", "phase: loading")
	k.tell("e")
	k.hear("type e again")
	k.hear("BREAK", "saved as")
	k.tell("quit")
	if err := k.cmd.Wait(); err != nil {
		t.Errorf("ended with %v", err)
	}
	for _, r := range bars(t, shelf) {
		if r.Head.Closing == nil || string(r.Head.Closing.Outcome) != "broken" {
			t.Errorf("%s: closing %+v", r.Name(), r.Head.Closing)
		}
	}
}
