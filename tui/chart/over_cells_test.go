package chart

import (
	"strings"
	"testing"
	"time"
)

// Run by cells a steep trace has holes too, as its sample says: dots that are on and
// off within one cell would all be the same letter in ASCII.
func TestOverByCells(t *testing.T) {
	for _, to := range []time.Duration{4 * time.Second, 8 * time.Second, 20 * time.Second} {
		count := func(pattern int, cells bool) (n int) {
			steep := rising('c', 0, 400, 1000)
			steep.Pattern, steep.HasPeak = pattern, false
			frame := drawOver(60, 30, Over{
				Traces: []Trace{steep}, Front: -1, From: -time.Second, To: to, Bottom: -50, Top: 1100, Per: 1, Unit: "N", Cells: cells,
			})
			for _, r := range frame {
				if r > 0x2800 && r <= 0x28ff {
					n++
				}
			}
			return n
		}
		all := count(0, true)
		if got := count(2, true); all < 10 || got > all*2/3 || got < all/3 {
			t.Errorf("to %v: %d of %d cells, by dots %d", to, got, all, count(2, false))
		}
	}
}

// Where nothing tells the grid from a trace there is none.
func TestOverBare(t *testing.T) {
	in := usualOver()
	var c Chart
	coloured := plainPalette
	coloured[Axis] = Style{On: "\x1b[2m", Off: "\x1b[0m"}
	if got := strings.Join(c.DrawOver(100, 24, in, &coloured), "\n"); !strings.Contains(got, "·") {
		t.Errorf("no grid:\n%s", got)
	}
	if got := drawOver(100, 24, in); strings.Contains(got, "·") {
		t.Errorf("a grid without an ink:\n%s", got)
	}
}
