package chart

import (
	"strings"
	"testing"
	"time"

	"draghand/internal/watch"
)

// What is behind the position is drawn in the fainter ink, and the cursor stands
// between; where there is no position nothing is.
func TestNowParts(t *testing.T) {
	tr := watch.Trace{Bin: 10 * time.Millisecond}
	for range 1000 {
		tr.Columns = append(tr.Columns, watch.Column{Min: 500, Max: 510})
	}
	var pal Palette
	pal[Force], pal[Later], pal[Now] = Style{"<", ">"}, Style{"(", ")"}, Style{"[", "]"}
	cells := func(line string, on, off byte) (n int) {
		in := false
		for _, r := range line {
			switch {
			case r == rune(on):
				in = true
			case r == rune(off):
				in = false
			case in:
				n++
			}
		}
		return n
	}
	for name, test := range map[string]struct {
		in      bool
		now     time.Duration
		lo, hi  int // cells of the trace up to the position, of some 110
		later   bool
		upright bool
	}{
		"none":       {false, 0, 105, 120, false, false},
		"quarter":    {true, 2500 * time.Millisecond, 24, 32, true, true},
		"the end":    {true, 10 * time.Second, 105, 120, false, true},
		"the start":  {true, 0, 1, 1, true, true},
		"before all": {true, -time.Second, 0, 0, true, false},
	} {
		var c Chart
		in := Input{Trace: &tr, To: 10 * time.Second, Top: 1000, Now: test.now, HasNow: test.in}
		lines := c.Draw(120, 20, in, &pal)
		all := strings.Join(lines, "\n")
		before, after := 0, 0
		for _, l := range lines {
			before += cells(l, '<', '>')
			after += cells(l, '(', ')')
		}
		if before < test.lo || before > test.hi || (after > 0) != test.later || strings.Contains(all, "[│]") != test.upright {
			t.Errorf("%s: %d cells up to it, %d behind:\n%s", name, before, after, all)
		}
	}
}
