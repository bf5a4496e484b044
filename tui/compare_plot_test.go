package tui

import (
	"math"
	"strings"
	"testing"

	"github.com/muesli/termenv"

	"draghand/internal/batch"
	"draghand/internal/compare"
	"draghand/internal/si"
)

// Where strengths fall on a scale. By hand: 41 columns from 200 to 300 are 2.5 a
// column; by the logarithm, 101 columns from 100 to 1,000: 316.2 in the middle.
func TestStrengthScale(t *testing.T) {
	s := strengthScale{x: 10, w: 41, low: 200, high: 300}
	for v, want := range map[float64]int{200: 10, 250: 30, 252.6: 31, 300: 50} {
		if x, ok := s.col(v); !ok || x != want {
			t.Errorf("%v at %d, %v; want %d", v, x, ok, want)
		}
	}
	for _, v := range []float64{199, 301, math.NaN(), math.Inf(1)} {
		if _, ok := s.col(v); ok {
			t.Errorf("%v is on the scale", v)
		}
	}
	l := strengthScale{w: 101, low: 100, high: 1000, log: true}
	if x, ok := l.col(316.227766); !ok || x != 50 {
		t.Errorf("at %d, %v", x, ok)
	}
	if v := l.at(0.5); math.Abs(v-316.227766) > 1e-3 {
		t.Errorf("the middle is %v", v)
	}
	one := newStrengthScale(0, 20, false)
	if one.settle() {
		t.Error("a scale of nothing")
	}
	one.take(math.NaN())
	one.take(300e6)
	if !one.settle() || !(one.high > 300e6) {
		t.Errorf("a scale of one value: %+v", one)
	}
}

// Every figure under a plot stands at its own strength: its apostrophe is in the
// column that the scale gives it.
func TestStrengthScaleFigures(t *testing.T) {
	for _, u := range []si.System{si.US, si.Metric} {
		s := strengthScale{x: 3, w: 60, low: 281e6, high: 327e6}
		var p plate
		p.reset(70, 1)
		s.draw(&p, 0, u)
		line := p.frame(uncoloured())
		n := 0
		for i, r := range []rune(line) {
			if r != '\'' {
				continue
			}
			n++
			rest := strings.TrimLeft(string([]rune(line)[i+1:]), " ")
			word, _, _ := strings.Cut(rest, " ")
			v, err := si.ParseStress(word + " " + map[si.System]string{si.US: "ksi", si.Metric: "MPa"}[u])
			if err != nil {
				t.Fatalf("%q: %v", line, err)
			}
			if x, ok := s.col(float64(v)); !ok || x != i {
				t.Errorf("%s at %d, want %d: %q", word, i, x, line)
			}
		}
		if n < 3 {
			t.Errorf("%d figures: %q", n, line)
		}
	}
}

// A heap of bars is as high as they are many, and on top of a full one stands that
// there are more.
func TestStack(t *testing.T) {
	for _, tt := range []struct {
		n, high int
		want    string // from the bottom
	}{{1, 3, "●"}, {3, 3, "●●●"}, {4, 3, "●●█"}, {5, 1, "█"}, {1, 1, "●"}, {12, 3, "●●█"}} {
		var p plate
		p.reset(1, 5)
		p.stack(0, 4, tt.n, tt.high, '●', plain)
		got := ""
		for y := 4; y >= 0; y-- {
			if r := p.cells[y].r; r != 0 {
				got += string(r)
			}
		}
		if got != tt.want {
			t.Errorf("%d in %d rows: %q, want %q", tt.n, tt.high, got, tt.want)
		}
	}
}

// find gives column and row of every cell of a frame with a rune, within a room.
func find(frame string, r rune, in room) (at [][2]int) {
	for y, l := range strings.Split(frame, "\n") {
		for x, c := range []rune(l) {
			if c == r && y >= in.y && y < in.y+in.h && x >= in.x && x < in.x+in.w {
				at = append(at, [2]int{x, y})
			}
		}
	}
	return at
}

// Bars, mean, bound, the strength to count on and the minimum fall on one scale, each
// where it is: in the order of their values, and equally far for equal differences.
func TestCompareDots(t *testing.T) {
	m := compareStates()["not-held"](80, 24, termenv.Ascii)
	m = compareSend(m, keyNamed("p"))
	r := m.rooms().dots
	inside := room{r.x + compareName, r.y + 1, r.w - compareName, r.h - 3}
	frame := m.View()
	one := func(c rune) int {
		at := find(frame, c, inside)
		if len(at) == 0 {
			t.Fatalf("no %c:\n%s", c, frame)
		}
		return at[0][0]
	}
	g := m.group()
	least, most := float64(g.Pulls[0].Strength), float64(g.Pulls[len(g.Pulls)-1].Strength)
	dots := find(frame, '●', inside)
	if len(dots) != 8 {
		t.Fatalf("%d bars drawn of 8:\n%s", len(dots), frame)
	}
	first, last := dots[0][0], dots[0][0]
	for _, d := range dots {
		first, last = min(first, d[0]), max(last, d[0])
	}
	perPa := float64(last-first) / (most - least)
	for c, v := range map[rune]float64{'┼': g.Strength.Mean, '[': float64(g.Bound.At), '▴': float64(g.CountOn.Strength), '┆': 310e6} {
		want := float64(first) + (v-least)*perPa
		if got := float64(one(c)); math.Abs(got-want) > 1.5 {
			t.Errorf("%c at %v, want %.1f:\n%s", c, got, want, frame)
		}
	}
}

// Of bars that nearly agree the strength to count on is on the scale though it lies many
// times their range below them, and so is a minimum; from seven tenths of the weakest
// down it is not, the row of figures begins with a sign, and the legend says of what.
func TestCompareDotsOffScale(t *testing.T) {
	near := compareOf(comparePulls("M1", "C90500", 300, 299.7, 299.6), compare.ByMelt, "p")(80, 24, termenv.Ascii)
	near.options.Minimum = 250 * si.Megapascal
	cmd := near.again()
	near = compareSend(near, cmd())
	if frame := near.View(); !strings.Contains(frame, "▴ count on  ┆ minimum") || strings.Contains(frame, "off scale") {
		t.Errorf("off the scale:\n%s", frame)
	}
	pulls := comparePulls("M1", "C90500", 300, 299.7, 299.6)
	for i := range pulls {
		pulls[i].U, pulls[i].Common = 61*si.Megapascal, 60*si.Megapascal
	}
	m := compareOf(pulls, compare.ByMelt, "p")(80, 24, termenv.Ascii)
	r := m.rooms().dots
	inside := room{r.x + compareName, r.y + 1, r.w - compareName, 3} // without the legend
	frame := m.View()
	if c := m.group().CountOn; c == nil || !(c.Strength > 0) {
		t.Fatalf("nothing to count on: %+v", c)
	}
	if len(find(frame, '▴', inside)) != 0 {
		t.Fatalf("it is on the scale:\n%s", frame)
	}
	mean, off := find(frame, '┼', inside), find(frame, '‹', inside)
	if len(mean) != 1 || len(off) != 1 || off[0][1] != mean[0][1] {
		t.Errorf("mean at %v, off the scale at %v:\n%s", mean, off, frame)
	}
	if !strings.Contains(frame, "‹ off scale: count on") {
		t.Errorf("it is not said what is off the scale:\n%s", frame)
	}
}

// Bars whose strengths are just those that a law gives to their ranks lie on its line;
// the line is straight, and the flagged one and those let off have their own signs.
func TestCompareSpread(t *testing.T) {
	const n, shape, scale = 9, 20.0, 310e6
	for _, weibull := range []bool{false, true} {
		m := CompareScreen{c: compare.Comparison{Groups: []compare.Group{{Name: "M1"}}}}
		g := &m.c.Groups[0]
		var places []batch.Plotted
		for i := range n {
			at := (float64(i) + 0.5) / n
			v := 300e6 + 8e6*batch.NormalScore(at)
			if weibull {
				v = scale * math.Exp(batch.WeibullScore(at)/shape)
			}
			places = append(places, batch.Plotted{Index: i, Value: v, Position: at})
		}
		g.Strength = batch.Summary{N: n, Mean: 300e6, SD: 8e6}
		g.Weibull = &batch.Weibull{Shape: shape, Scale: scale}
		plot, ok := m.spreadOf(g, room{0, 0, 80, 30}, weibull, places)
		if !ok {
			t.Fatal("not laid out")
		}
		for i := range places {
			a, okA := plot.row(plot.score(places[i].Position))
			b, okB := plot.row(plot.fit(places[i].Value))
			if !okA || !okB || a != b {
				t.Errorf("Weibull %v: bar %d in row %d, its law in %d", weibull, i, a, b)
			}
		}
		var p plate
		p.reset(80, 30)
		plot.drawLine(&p)
		// The middle of the line lies between its ends.
		mid := plot.fit(plot.s.at(0.5))
		if want := (plot.fit(plot.s.at(0)) + plot.fit(plot.s.at(1))) / 2; math.Abs(mid-want) > 1e-9*math.Abs(want)+1e-9 {
			t.Errorf("Weibull %v: the line bends: %v in the middle, want %v", weibull, mid, want)
		}
		dots := 0
		for _, c := range p.cells {
			if c.r > 0x2800 {
				dots++
			}
		}
		if dots < 40 {
			t.Errorf("Weibull %v: a line of %d cells", weibull, dots)
		}
	}
	m := compareStates()["wei-apart"](80, 24, termenv.Ascii)
	if at := find(m.View(), '◆', m.rooms().spread); len(at) != 2 { // and in the legend
		t.Errorf("%d flagged:\n%s", len(at), m.View())
	}
	m = compareStates()["weibull"](80, 24, termenv.Ascii)
	r := m.rooms().spread
	if at := find(m.View(), '>', room{r.x, r.y, r.w, r.h - 1}); len(at) != 2 {
		t.Errorf("%d let off of 2:\n%s", len(at), m.View())
	}
}

// The figures are those of the comparison, in the units of the sitting: none is
// reckoned here. Source: by hand, 309.75 MPa are 44.93 ksi.
func TestCompareFigures(t *testing.T) {
	us, metric := compareStates()["two"](120, 40, termenv.Ascii), compareStates()["metric"](120, 40, termenv.Ascii)
	us = compareSend(us, keyNamed("left"))
	for frame, want := range map[string]string{us.View(): "44.9 ksi", metric.View(): "310 MPa"} {
		if l := lineWith(t, frame, "mean  "); !strings.Contains(l, want) {
			t.Errorf("%q does not say %q", l, want)
		}
	}
	for _, v := range []struct {
		fraction float64
		want     string
	}{{0.95, "95 %"}, {0.995, "99.5 %"}, {0.9999, "99.99 %"}, {0.05, "5 %"}} {
		if got := fractionText(v.fraction); got != v.want {
			t.Errorf("%v is %q, want %q", v.fraction, got, v.want)
		}
	}
	for _, v := range []struct {
		v    float64
		want string
	}{{76.43, "76.4"}, {123.4, "123"}, {8.942, "8.94"}, {0.802, "0.80"}, {1234, "1,234"}} {
		if got := compare.DigitsText(v.v); got != v.want {
			t.Errorf("%v is %q, want %q", v.v, got, v.want)
		}
	}
}
