package chart

import (
	"maps"
	"math/bits"
	"strings"
	"testing"
	"time"

	"github.com/NimbleMarkets/ntcharts/canvas"

	"draghand/internal/si"
	"draghand/internal/watch"
)

// three are the alarm levels of one limit of 48 kN, as the pull screen draws
// them.
var three = []Level{
	{At: 48e3, Name: "stop link bar", Ink: Stop},
	{At: 43.2e3, Name: "warning", Ink: Warning},
	{At: 36e3, Name: "caution", Ink: Caution},
}

// dotsOf are the rows of dots, from the top, that cells of an ink have set.
func dotsOf(c *Chart, ink Ink) map[int]bool {
	// Dots of a braille cell by row: 1 and 4, 2 and 5, 3 and 6, 7 and 8.
	rows := [4]rune{0x09, 0x12, 0x24, 0xc0}
	out := map[int]bool{}
	for y := range c.h {
		for x := range c.w {
			r := c.canvas.Cell(canvas.Point{X: x, Y: y}).Rune
			if c.inks[y*c.w+x] != ink || !braille(r) {
				continue
			}
			for i, m := range rows {
				if bits.OnesCount(uint(r&m)) > 0 {
					out[4*y+i] = true
				}
			}
		}
	}
	return out
}

// TestCurveIsOnNoLineItHasNotReached: a force below a level is drawn below its
// line, one at or above it on the line or above, at every height of chart.
func TestCurveIsOnNoLineItHasNotReached(t *testing.T) {
	for h := MinHeight; h <= 30; h++ {
		for ratio := 0.60; ratio < 1.12; ratio += 0.01 {
			v := float32(48e3 * ratio)
			tr := &watch.Trace{Bin: time.Millisecond}
			for range 1000 { // half of the window: the lines go on beside it
				tr.Columns = append(tr.Columns, watch.Column{Min: v, Max: v})
			}
			var c Chart
			c.Draw(80, h, Input{Trace: tr, To: 2 * time.Second, Bottom: -1e3, Top: 56e3, Levels: three}, &plainPalette)
			curve := dotsOf(&c, Force)
			if len(curve) != 1 {
				t.Fatalf("%d rows, %.2f: the curve has %d rows of dots", h, ratio, len(curve))
			}
			for at := range curve {
				for _, l := range three {
					f := frame{h: h - 1, in: &Input{Bottom: -1e3, Top: 56e3}}
					line := f.dotY(float64(l.At))
					if below := float64(v) < float64(l.At); below != (at > line) {
						t.Errorf("%d rows: %.2f of the limit is on dot row %d, %q on %d", h, ratio, at, l.Name, line)
					}
				}
			}
		}
	}
}

// TestLevelsAreDrawnWhereTheyAre: the dots of a line are on the row of its
// force, and lines that share a row of cells are named together.
func TestLevelsAreDrawnWhereTheyAre(t *testing.T) {
	tests := []struct {
		name string // source: by hand, 4 dots a row
		h    int
		top  si.Force
		want []string // the name in each row that has one, from the top
	}{
		{"six rows of 10 kN", 7, 60e3, []string{" warning/stop link bar ", " caution "}},
		{"four rows", 5, 56e3, []string{" warning/stop link bar ", " caution "}},
		{"twenty rows", 21, 56e3, []string{" stop link bar ", " warning ", " caution "}},
		{"all in one", 5, 400e3, []string{" caution/warning/stop link bar "}},
	}
	for _, tt := range tests {
		var c Chart
		in := Input{To: time.Second, Top: tt.top, Levels: three}
		shown := strings.Join(c.Draw(90, tt.h, in, &plainPalette), "\n")
		f := frame{h: tt.h - 1, in: &in}
		set := map[int]bool{}
		for _, l := range three {
			set[f.dotY(float64(l.At))] = true
		}
		drawn := dotsOf(&c, Caution)
		maps.Copy(drawn, dotsOf(&c, Warning))
		maps.Copy(drawn, dotsOf(&c, Stop))
		if !maps.Equal(drawn, set) {
			t.Errorf("%s: dots on rows %v, want %v", tt.name, drawn, set)
		}
		var got []string
		for _, l := range strings.Split(shown, "\n") {
			for _, n := range []string{"caution", "warning", "stop"} {
				if i := strings.Index(l, " "+n); i >= 0 {
					to := strings.LastIndexAny(l, "gnr") + 2
					got = append(got, l[i:to])
					break
				}
			}
		}
		if strings.Join(got, "|") != strings.Join(tt.want, "|") {
			t.Errorf("%s: rows are named %q, want %q:\n%s", tt.name, got, tt.want, shown)
		}
	}
}

// TestEveryLevelKeepsItsName: wherever the curve runs, a line that can be seen
// says what it is.
func TestEveryLevelKeepsItsName(t *testing.T) {
	for top := 30e3; top < 54e3; top += 1e3 {
		for n := 200; n <= 1900; n += 100 {
			frame := draw(76, 7, Input{Trace: ramp(n, top, -1), To: 2 * time.Second, Bottom: -1e3, Top: 57e3, Levels: three})
			for _, l := range three {
				if !strings.Contains(frame, l.Name) {
					t.Fatalf("a curve of %d ms to %.0f N hides %q:\n%s", n, top, l.Name, frame)
				}
			}
		}
	}
}

// TestHandPointsAtNoLineItHasNotReached: the drag hand's pointer is never in the
// row of a line that is above it.
func TestHandPointsAtNoLineItHasNotReached(t *testing.T) {
	for _, h := range []int{5, 7, 12, 21} {
		for ratio := 0.60; ratio < 1.12; ratio += 0.01 {
			in := Input{To: time.Second, Bottom: -1e3, Top: 56e3, Levels: three, HasHand: true, Hand: si.Force(48e3 * ratio)}
			at := -1
			for y, l := range strings.Split(draw(80, h, in), "\n") {
				if strings.Contains(l, "◀") {
					at = y
				}
			}
			if at < 0 {
				t.Fatalf("%d rows, %.2f: no pointer", h, ratio)
			}
			for _, l := range three {
				if y, _ := Row(l.At, in.Bottom, in.Top, h); in.Hand < l.At && at <= y {
					t.Errorf("%d rows: %.2f of the limit is pointed at in row %d, %q is in %d", h, ratio, at, l.Name, y)
				}
			}
		}
	}
}
