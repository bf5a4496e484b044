package control

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

var day0 = time.Date(2026, 3, 1, 9, 0, 0, 0, time.UTC)

// bars are points a day apart, MPa; "*" before a value says that the rig changed.
func bars(values ...float64) []Point {
	out := make([]Point, len(values))
	for i, v := range values {
		out[i] = Point{At: day0.Add(time.Duration(i) * 24 * time.Hour), Value: v * 1e6, Record: fmt.Sprintf("r%02d", i)}
	}
	return out
}

func changed(p []Point, at ...int) []Point {
	for _, i := range at {
		p[i].Change = "ram area"
	}
	return p
}

func states(c Chart) string {
	var out []string
	for _, p := range c.Points {
		out = append(out, map[State]string{Basis: "-", In: "i", Beyond: "B", Run: "R"}[p.State])
	}
	return strings.Join(out, "")
}

// Worked by hand, in MPa. Five bars 300, 303, 299, 302, 301: the mean is 1505/5 =
// 301, the moving ranges 3, 4, 3, 1 have the mean 11/4 = 2.75, s is 2.75/1.128 =
// 2.437943, the limits are 301 ± 7.313830: 293.686170 and 308.313830.
func TestLimits(t *testing.T) {
	five := []float64{300, 303, 299, 302, 301}
	for name, c := range map[string]struct {
		sixth  float64
		state  State
		z, off float64
	}{
		"in, high":    {308.3, In, 7.3 / 2.437943, 7.3 / 301},       // 7.3 < 7.313830
		"out, high":   {308.4, Beyond, 7.4 / 2.437943, 7.4 / 301},   // 7.4 > 7.313830
		"in, low":     {293.7, In, -7.3 / 2.437943, -7.3 / 301},     // the same below
		"out, low":    {293.6, Beyond, -7.4 / 2.437943, -7.4 / 301}, // 293.6 < 293.686170
		"on the mean": {301, In, 0, 0},
	} {
		t.Run(name, func(t *testing.T) {
			ch := Of(bars(append(slices.Clone(five), c.sixth)...))
			n := ch.Newest()
			if n.State != c.state || !near(n.Z, c.z) || !near(n.Off, c.off) {
				t.Errorf("%s, z %v, off %v; want %s, %v, %v", n.State, n.Z, n.Off, c.state, c.z, c.off)
			}
			if n.By.Bars != 5 || !near(n.By.Mean, 301e6) || !near(n.By.SD, 2.4379433e6) || !near(n.By.Low(), 293.686170e6) || !near(n.By.High(), 308.313830e6) {
				t.Errorf("judged by %+v, %v to %v", n.By, n.By.Low(), n.By.High())
			}
		})
	}
}

// near is within 1e-6 of want: the hand values are given to seven digits.
func near(got, want float64) bool { return math.Abs(got-want) <= 1e-6*math.Max(1, math.Abs(want)) }

// The mark of each bar, worked by hand.
func TestStates(t *testing.T) {
	for name, c := range map[string]struct {
		points []Point
		want   string
	}{
		"none":         {nil, ""},
		"one":          {bars(300), "-"},
		"five":         {bars(300, 303, 299, 302, 301), "-----"},
		"sixth judged": {bars(300, 303, 299, 302, 301, 301), "-----i"},
		// Bar 7 (320) is out. Were it in the basis, s would grow to (11+0+19)/6/1.128 =
		// 4.43 with the mean 303.7, and 312 would lie at 1.9 s: in. Without it the basis is 300, 303,
		// 299, 302, 301, 301: s = 11/5/1.128 = 1.95, 312 lies at 5.6 s.
		"bad one widens nothing": {bars(300, 303, 299, 302, 301, 301, 320, 312), "-----iBB"},
		// The moving range is taken over the one left out: between 301 and 302.
		"and leaves no range": {bars(300, 303, 299, 302, 301, 320, 302, 306), "-----Bii"},
		// A change: the next five have no limits.
		"change":       {changed(bars(300, 303, 299, 302, 301, 301, 340, 343, 339, 342, 341, 341, 360), 6), "-----i-----iB"},
		"change first": {changed(bars(300, 303, 299, 302, 301, 301), 0), "-----i"},
		// All equal: no scatter, no limits, whatever comes; then the ranges are 0, 0, 0,
		// 0, 6: s = 6/5/1.128 = 1.064, the mean 301: 304.2 lies at 3.008 s, 304.1 at 2.91.
		"equal":         {bars(300, 300, 300, 300, 300, 306), "------"},
		"equal, beyond": {bars(300, 300, 300, 300, 300, 306, 304.2), "------B"},
		"equal, within": {bars(300, 300, 300, 300, 300, 306, 304.1), "------i"},
		// Over the mean of those before, eight in a row: 300 and 304 in turns have the
		// mean 302 (even numbers), s = 4/1.128 = 3.55. Then 303s: the mean creeps from
		// 302 to 302.41 (7 of 17), always under 303; the last of the ten is 304, so it is on the
		// same side and counts in, and the run of eight is full with the seventh 303.
		"run": {bars(300, 304, 300, 304, 300, 304, 300, 304, 300, 304, 303, 303, 303, 303, 303, 303, 303, 303), "-----iiiiiiiiiiiRR"},
		// The same with one on the other side in between.
		"run broken": {bars(300, 304, 300, 304, 300, 304, 300, 304, 300, 304, 303, 303, 303, 303, 303, 301, 303, 303), "-----iiiiiiiiiiiii"},
		"unusable":   {bars(300, math.NaN(), 303, 299, math.Inf(1), 302, 301, -5, 0, 301), "-----i"},
		"not sorted": {reversed(bars(300, 303, 299, 302, 301, 320)), "-----B"},
	} {
		if got := states(Of(c.points)); got != c.want {
			t.Errorf("%s: %s, want %s", name, got, c.want)
		}
	}
}

func reversed(p []Point) []Point { slices.Reverse(p); return p }

// After the twentieth bar the limits stand still: a drift of 0.2 MPa a bar, which
// would take limits along that grew with it, is told by both rules. By hand: 20
// bars 300, 302 in turns have the mean 301, s = 2/1.128 = 1.773, the upper limit
// 306.319; bar k after them has 301 + 0.2 k: all over the mean, the first (302 before it
// counts) a run from the 7th on, and beyond from k = 27 (306.4) on.
func TestDriftMovesNoLimits(t *testing.T) {
	var v []float64
	for range 10 {
		v = append(v, 300, 302)
	}
	for k := 1; k <= 30; k++ {
		v = append(v, 301+0.2*float64(k))
	}
	c := Of(bars(v...))
	for i, p := range c.Points[20:] {
		want := In
		switch k := i + 1; {
		case k >= 27:
			want = Beyond
		case k >= 7:
			want = Run
		}
		if p.State != want || !near(p.By.Mean, 301e6) || !near(p.By.High(), 306.319149e6) {
			t.Errorf("bar %d: %s, want %s; judged by %+v", i+1, p.State, want, p.By)
		}
	}
}

// The first bar after a change is held against the limits before it: by hand, 315
// is 14 over 301, 4.651 %, and 14/1.950355 = 7.178 s (six bars, s = 11/5/1.128).
func TestAcross(t *testing.T) {
	c := Of(changed(bars(300, 303, 299, 302, 301, 301, 315, 316), 6))
	p := c.Points[6]
	if p.Stretch != 1 || p.State != Basis || p.Off != 0 || !near(p.Across, 14.0/301) || !near(p.AcrossZ, 7.178182) {
		t.Errorf("%+v", p)
	}
	if q := c.Points[7]; q.Stretch != 1 || !near(q.Across, 15.0/301) || !q.AcrossBeyond() || !near(q.Off, 1.0/315) {
		t.Errorf("%+v", q)
	}
	// A change at a bar whose value is unusable is no less a change.
	lost := changed(bars(300, 303, 299, 302, 301, 301, math.NaN(), 315), 6)
	if c := Of(lost); c.Points[6].Stretch != 1 || c.Points[6].Change == "" || len(c.Unusable) != 1 {
		t.Errorf("%+v", c.Points[6])
	}
}

func TestShown(t *testing.T) {
	five := Of(bars(300, 303, 299, 302, 301))
	if l := five.Shown(); l != five.Next || !near(l.SD, 2.4379433e6) {
		t.Errorf("%+v", l)
	}
	six := Of(bars(300, 303, 299, 302, 301, 320))
	if l := six.Shown(); l != six.Points[5].By || l.Bars != 5 {
		t.Errorf("%+v", l)
	}
	if (&Chart{}).Newest() != nil || (&Chart{}).Shown().Known() {
		t.Error("an empty chart has something")
	}
}

func TestDays(t *testing.T) {
	for _, c := range []struct {
		past time.Duration
		want int
	}{{0, 0}, {23*time.Hour + 59*time.Minute, 0}, {24 * time.Hour, 1}, {9*24*time.Hour + time.Hour, 9}, {-48 * time.Hour, 0}} {
		if got := Days(day0, day0.Add(c.past)); got != c.want {
			t.Errorf("%v: %d, want %d", c.past, got, c.want)
		}
	}
}

// No data makes a panic or a figure that is none; no bar is judged by itself: what
// a bar was judged by does not hang on it nor on what came later.
func TestProperties(t *testing.T) {
	rapid.Check(t, property)
}

func FuzzChart(f *testing.F) { f.Fuzz(rapid.MakeFuzz(property)) }

func property(t *rapid.T) {
	value := rapid.OneOf(rapid.Float64(), rapid.Float64Range(250e6, 350e6), rapid.SampledFrom([]float64{300e6, math.NaN(), math.Inf(1), math.Inf(-1), 0, -1, 1e-300, 9e11}))
	n := rapid.IntRange(0, 60).Draw(t, "n")
	points := make([]Point, n)
	for i := range points {
		points[i] = Point{
			At: day0.Add(time.Duration(i) * time.Hour), Record: fmt.Sprintf("r%03d", i), Value: value.Draw(t, "v"),
			Change: rapid.SampledFrom([]string{"", "", "", "", "", "", "x"}).Draw(t, "change"),
		}
	}
	c := Of(points)
	if len(c.Points)+len(c.Unusable) != n {
		t.Fatalf("%d of %d", len(c.Points)+len(c.Unusable), n)
	}
	for i, p := range c.Points {
		for _, v := range []float64{p.Z, p.Off, p.Across, p.AcrossZ, p.By.Mean, p.By.SD, p.By.Low()} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("bar %d: %+v", i, p)
			}
		}
		if p.By.Bars > Most || p.State != Basis && p.By.Bars < Least {
			t.Fatalf("bar %d: %+v", i, p)
		}
	}
	if n > 0 {
		k := rapid.IntRange(0, n-1).Draw(t, "k")
		short := Of(points[:k+1])
		for i, p := range short.Points {
			if p != c.Points[i] {
				t.Fatalf("bar %d is judged otherwise once others came: %+v, %+v", i, p, c.Points[i])
			}
		}
		if last := short.Newest(); last != nil && short.Points[len(short.Points)-1].Record == points[k].Record {
			other := slices.Clone(points[:k+1])
			other[k].Value = 1.7 * other[k].Value
			if o := Of(other); len(o.Points) == len(short.Points) && o.Newest().By != last.By {
				t.Fatalf("judged by itself: %+v, %+v", o.Newest().By, last.By)
			}
		}
	}
}
