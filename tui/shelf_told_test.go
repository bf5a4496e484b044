package tui

import (
	"errors"
	"strings"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// What a crush is about, where the block first gave, stands first and whole.
func TestShelfCrushTold(t *testing.T) {
	e := entryOf(1)
	e.Kind, e.Outcome, e.Strength, e.AtLeast = pull.Crush, pull.Ended, 0, 0
	e.Stress, e.YieldStress, e.FirstYield = 200e6, 166.2e6, 30000
	m := shelfScreen(&shelfDesk{all: []shelf.Entry{e}}, 120, 40, 0)
	if rows := m.moreRows(&e); rows[0].label != "result" || !strings.HasPrefix(rows[0].text, "gave at 24.1 ksi, peak 7,899 lbf") {
		t.Errorf("%q", rows)
	}
	for _, w := range []int{leastResult, 20, 25} {
		if got := resultIn(&e, si.US, w); got != "gave at 24.1 ksi" {
			t.Errorf("in %d cells: %q", w, got)
		}
	}
	if got := resultIn(&e, si.US, 40); got != "gave at 24.1 ksi, peak 7,899 lbf" {
		t.Errorf("whole: %q", got)
	}
}

// What counts, what was measured and what was written down have a row each.
func TestShelfRowsApart(t *testing.T) {
	e, long := entryOf(1), 0.12
	e.Counts, e.Because, e.Elongation, e.Remarks = strength.CountsWithRemarks, "the pace was above 100 ksi/min", &long, 0
	m := shelfScreen(&shelfDesk{all: []shelf.Entry{e}}, 120, 40, 0)
	want := map[string]string{
		"counts": "with remarks: the pace was above 100 ksi/min", "measured": "elongation 12.0 %", "noted": "no remarks in the record",
	}
	for _, r := range m.moreRows(&e) {
		if r.label == "remarks" {
			t.Errorf("%q", r)
		}
		if w, ok := want[r.label]; ok && w == r.text {
			delete(want, r.label)
		}
	}
	if len(want) > 0 {
		t.Errorf("not told: %q in %q", want, m.moreRows(&e))
	}
}

// Looking again is offered only where there is something to be looked at; who presses
// enter all the same is told why there is not.
func TestShelfOpenOffered(t *testing.T) {
	for _, e := range mixedEntries() {
		m := shelfOf(&shelfDesk{all: []shelf.Entry{e}, refused: errors.New("none")})
		why := notShown(e)
		if trace := noTraceOf(&e) == ""; m.keys.Overlay.Enabled() != trace {
			t.Errorf("%s, by eye %v: an overlay offered %v", e.Condition, e.ByEye, !trace)
		}
		if m.keys.Open.Enabled() != (why == "") {
			t.Errorf("%s, by eye %v: offered %v", e.Condition, e.ByEye, m.keys.Open.Enabled())
		}
		if strings.Contains(m.View(), "enter look again") != (why == "") {
			t.Errorf("%s: %q:\n%s", e.Condition, why, m.View())
		}
		if m, _ = shelfKey(m, "enter"); m.note != why {
			t.Errorf("%s: %q, want %q", e.Condition, m.note, why)
		}
	}
}

// A folder that is no pull record is not counted as one.
func TestShelfCountsPulls(t *testing.T) {
	m := shelfOf(&shelfDesk{all: mixedEntries()})
	if got := m.title(120); !strings.HasPrefix(got, "10 pull records, 1 other folder, ") {
		t.Errorf("%q", got)
	}
	m = shelfKeysOf(m, "/", "h", "o", "l", "i", "enter")
	if got := m.title(120); !strings.HasPrefix(got, "0 of 10 pull records, 1 other folder, ") {
		t.Errorf("%q", got)
	}
}

// A number keeps its unit where a line ends.
func TestWrapUnits(t *testing.T) {
	for w := 12; w < 60; w++ {
		for _, l := range wrapUnits("elongation 12.0 %, strength 41.0 ksi and 7,899 lbf; it broke.", w, 20) {
			first, _, _ := strings.Cut(l, " ")
			if strings.Contains(" % ksi lbf ", " "+strings.Trim(first, ",")+" ") {
				t.Errorf("%d cells: %q", w, l)
			}
		}
	}
}
