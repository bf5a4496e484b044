package calib

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"draghand/internal/gum"
	"draghand/internal/rig"
	"draghand/internal/si"
)

func example(t testing.TB) *rig.Rig {
	t.Helper()
	r, err := rig.Parse("example", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	r.Units = si.Metric
	return r
}

var day = time.Date(2026, 11, 20, 9, 0, 0, 0, time.UTC)

// truth is a rig as it really is.
type truth struct {
	per, friction, offset, noise float64 // m², fraction, N, Pa
	falling                      bool
	runs                         int
}

// taken constructs a run at a place: references from 10 to 50 kN, noisy gauges.
func taken(t testing.TB, at rig.Place, w truth, seed uint64) Run {
	t.Helper()
	rnd := rand.New(rand.NewPCG(seed, 1))
	after := 819.2
	run := Run{
		Rig: example(t), At: at, Made: day, Zero: 819.2, ZeroAfter: &after,
		Reference: Reference{Text: "a borrowed cell", Certificate: "C-17, 2026-03-01", U: 0.0006},
	}
	sign := 1.0
	if run.Rig.Ram.Role == rig.ActuatorRam {
		sign = -1
	}
	if at == rig.AtGauge {
		sign = 0
	}
	point := func(f, friction float64, d Direction, n int) {
		p := (f-w.offset)/(w.per*(1+friction)) + w.noise*rnd.NormFloat64()
		run.Points = append(run.Points, Point{Reference: f, Gauge: si.Pressure(p), Direction: d, Run: n})
	}
	for n := range max(1, w.runs) {
		for i := 1; i <= 5; i++ {
			point(float64(i)*10e3, sign*w.friction, Rising, n+1)
		}
		for i := 5; i >= 1 && w.falling; i-- {
			point(float64(i)*10e3, -sign*w.friction, Falling, n+1)
		}
	}
	return run
}

func reckoned(t testing.TB, run Run, o Options) Answer {
	t.Helper()
	a, err := Reckon(run, o)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// TestLineTaken: through zero unless the offset is not nothing; what a person asks
// for wins. A run on a line to the last bit needs no noise to tell.
func TestLineTaken(t *testing.T) {
	for _, c := range []struct {
		name, ask, want, because string
		offset, noise            float64
	}{
		{"no offset", "", ThroughZero, "may be nothing", 0, 2e4},
		{"an offset", "", Offset, "is not nothing", 900, 2e4},
		{"exact", "", ThroughZero, "may be nothing", 0, 0},
		{"exact offset", "", Offset, "is not nothing", 10, 0},
		{"asked for the offset", Offset, Offset, "asked for, though", 0, 2e4},
		{"asked for zero", ThroughZero, ThroughZero, "do not lie on a line through zero", 900, 2e4},
	} {
		a := reckoned(t, taken(t, rig.AtSpecimen, truth{per: 0.0021, offset: c.offset, noise: c.noise, runs: 2}, 3), Options{Line: c.ask})
		if a.Taken != c.want || !strings.Contains(a.TakenWhy, c.because) {
			t.Errorf("%s: %s because %s", c.name, a.Taken, a.TakenWhy)
		}
		if l := a.Calibration.Line; l.ThroughZero != (c.want == ThroughZero) || math.Abs(l.Value(2e7)-(0.0021*2e7+c.offset)) > 100+c.offset*float64(b2i(c.ask == ThroughZero)) {
			t.Errorf("%s: saved line %+v gives %v", c.name, l, l.Value(2e7))
		}
		if _, err := example(t).Calibrated(&a.Calibration); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}

func b2i(b bool) int {
	if b {
		return 1
	}
	return 0
}

// TestSuspect: one bad point among good ones is named, with what would make it, and
// left in; a person can leave it out.
func TestSuspect(t *testing.T) {
	for _, c := range []struct {
		name string
		at   int
		bad  func(*Point)
		want string
	}{
		{"a slipped unit", 3, func(p *Point) { p.Reference /= si.PoundForce }, "a slipped unit"},
		{"two digits", 1, func(p *Point) { p.Reference = 23.4e3; p.Gauge = si.Pressure(24.3e3 / 0.0021) }, "two digits swapped would make that, 24.30 kN in place of 23.40 kN"},
		{"not settled", 2, func(p *Point) { p.Gauge *= 1.02; p.SD = 9e4 }, "before the reading had settled"},
		{"no cause seen", 4, func(p *Point) { p.Gauge *= 1.03 }, "see whether the reading had settled"},
	} {
		t.Run(c.name, func(t *testing.T) {
			run := taken(t, rig.AtSpecimen, truth{per: 0.0021, noise: 1e4, runs: 2}, 5)
			for i := range run.Points {
				run.Points[i].SD = 8e3
			}
			c.bad(&run.Points[c.at])
			a := reckoned(t, run, Options{})
			if a.Suspect != c.at || !strings.Contains(a.SuspectWhy, c.want) {
				t.Fatalf("suspect %d: %s", a.Suspect, a.SuspectWhy)
			}
			if a.Used().Points != 10 {
				t.Errorf("the line has %d points: one was dropped by itself", a.Used().Points)
			}
			b := reckoned(t, run, Options{Drop: []int{c.at}})
			if b.Suspect != -1 || b.Used().Points != 9 || b.Taken != ThroughZero || math.Abs(b.Used().Slope/0.0021-1) > 0.002 {
				t.Errorf("without it: suspect %d, %+v", b.Suspect, b.Used())
			}
			if r := b.Residuals[c.at]; r.Leverage != 0 || r.Student != 0 {
				t.Errorf("a point left out has %+v", r)
			}
		})
	}
}

// TestNoSuspect: of good runs no more than 5 % have a point named (Bonferroni).
func TestNoSuspect(t *testing.T) {
	named := 0
	const n = 1000
	for seed := range uint64(n) {
		a := reckoned(t, taken(t, rig.AtSpecimen, truth{per: 0.0021, noise: 3e4, runs: 2}, seed), Options{Line: ThroughZero})
		if a.Suspect >= 0 {
			named++
		}
	}
	t.Logf("%d of %d good runs have a point named", named, n)
	if named > 5*n/100+3*7 { // three standard deviations of a count of 50
		t.Errorf("%d of %d good runs have a point named", named, n)
	}
}

// TestFriction: over 200 runs with a known friction and area the stated 95 %
// interval has the true ones in it as often as it says, for both roles. 200 draws
// of 95 % lie between 184 and 196 with 95 % (binomial).
func TestFriction(t *testing.T) {
	for _, role := range []rig.Role{rig.SensorRam, rig.ActuatorRam} {
		for _, at := range []rig.Place{rig.AtRam, rig.AtSpecimen} {
			const true1, area, n = 0.018, 0.0042, 200
			in, inArea := 0, 0
			for seed := range uint64(n) {
				run := taken(t, at, truth{per: area, noise: 2e4}, 0)
				run.Rig.Ram.Role = role
				rnd := rand.New(rand.NewPCG(seed, uint64(len(role)*100+len(at))))
				f := true1
				if role == rig.ActuatorRam {
					f = -f
				}
				run.Points = nil
				for i := range 10 {
					v, d, k := float64(i+1)*10e3, Rising, 1+f
					if i >= 5 {
						v, d, k = float64(10-i)*10e3, Falling, 1-f
					}
					run.Points = append(run.Points, Point{Reference: v, Gauge: si.Pressure(v/(area*k) + 3e4*rnd.NormFloat64()), Direction: d, Run: 1})
				}
				run.Reference.U = 0
				m := reckoned(t, run, Options{}).Rubbing
				if m == nil {
					t.Fatal("no friction")
				}
				k := gum.T(0.95, m.DoF)
				if math.Abs(m.Friction-true1) <= k*m.FrictionU {
					in++
				}
				switch at {
				case rig.AtRam:
					if math.Abs(float64(m.Area)-area) <= k*float64(m.AreaU) {
						inArea++
					}
				default:
					if m.Area != 0 {
						t.Fatalf("an area of %v from the specimen's place", m.Area)
					}
					inArea = 190
				}
			}
			t.Logf("%s, at the %s: friction within its interval %d of %d, area %d", role, at, in, n, inArea)
			if in < 182 || in > 199 || inArea < 182 || inArea > 199 { // within 3.3 SD of 190
				t.Errorf("%s, at the %s: friction %d, area %d of %d", role, at, in, inArea, n)
			}
		}
	}
	if m := reckoned(t, taken(t, rig.AtGauge, truth{per: 1, noise: 2e4, falling: true}, 1).asGauge(), Options{}).Rubbing; m != nil {
		t.Errorf("a friction from a reference gauge: %+v", m)
	}
}

// asGauge makes pressures of a run's references.
func (r Run) asGauge() Run {
	r.At = rig.AtGauge
	for i := range r.Points {
		r.Points[i].Reference *= 1000
		r.Points[i].Gauge *= 1000
	}
	return r
}

// TestTooLittle: what is missing is said, with what to do.
func TestTooLittle(t *testing.T) {
	good := taken(t, rig.AtSpecimen, truth{per: 0.0021, noise: 1e4, falling: true}, 1)
	for name, c := range map[string]struct {
		change func(*Run, *Options)
		want   string
	}{
		"two rising":     {func(r *Run, _ *Options) { r.Points = r.Points[:2] }, "2 of 3 rising points"},
		"only falling":   {func(r *Run, _ *Options) { r.Points = r.Points[5:] }, "0 of 3 rising points"},
		"one pressure":   {func(r *Run, _ *Options) { same(r) }, "all rising points stand at one pressure"},
		"no reference":   {func(r *Run, _ *Options) { r.Reference.Text = " " }, "the reference has no name"},
		"nothing":        {func(r *Run, _ *Options) { r.Rig = nil }, "no rig"},
		"a negative":     {func(r *Run, _ *Options) { r.Points[0].Reference *= -1 }, "point 1"},
		"not a number":   {func(r *Run, _ *Options) { r.Points[2].Gauge = si.Pressure(math.NaN()) }, "point 3 is no number"},
		"falls":          {func(r *Run, _ *Options) { turn(r) }, "does not rise"},
		"a wrong drop":   {func(_ *Run, o *Options) { o.Drop = []int{10} }, "no point 11"},
		"all in lbf":     {func(r *Run, _ *Options) { scale(r, 1e-6) }, "make no calibration"},
		"wrong place":    {func(r *Run, _ *Options) { r.At = rig.AtSides }, "no place of a reference"},
		"far on one":     {func(r *Run, _ *Options) { r.At, r.Far = rig.AtRam, true }, "far side"},
		"due before":     {func(r *Run, o *Options) { o.Due = day.AddDate(0, 0, -1) }, "due before"},
		"unknown line":   {func(_ *Run, o *Options) { o.Line = "curved" }, "is no line"},
		"left too few":   {func(_ *Run, o *Options) { o.Drop = []int{0, 1, 2} }, "2 of 3 rising"},
		"no direction":   {func(r *Run, _ *Options) { r.Points[0].Direction = "up" }, "is no direction"},
		"too sure of it": {func(r *Run, _ *Options) { r.Reference.U = math.NaN() }, "uncertainty"},
	} {
		run, o := good, Options{}
		run.Points = append([]Point(nil), good.Points...)
		c.change(&run, &o)
		_, err := Reckon(run, o)
		m, ok := errors.AsType[*MissingError](err)
		if !ok || !strings.Contains(m.What, c.want) || m.Next() == "" {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}

// TestAllSlipped: a unit slipped in all points is named, in a remark.
func TestAllSlipped(t *testing.T) {
	run := taken(t, rig.AtSpecimen, truth{per: 0.0021, noise: 1e4, falling: true}, 1)
	if all := strings.Join(reckoned(t, run, Options{}).Remarks, "\n"); strings.Contains(all, "against the rig file") {
		t.Errorf("a good run: %s", all)
	}
	scale(&run, 1/si.PoundForce)
	all := strings.Join(reckoned(t, run, Options{}).Remarks, "\n")
	if !strings.Contains(all, "pounds-force taken for newtons") || !strings.Contains(all, "find out what before you trust either") {
		t.Errorf("remarks: %s", all)
	}
}

func same(r *Run) {
	for i := range r.Points {
		r.Points[i].Gauge = 1e7
	}
}

func turn(r *Run) {
	for i := range r.Points {
		r.Points[i].Gauge = 5e7 - r.Points[i].Gauge
	}
}

func scale(r *Run, by float64) {
	for i := range r.Points {
		r.Points[i].Reference *= by
	}
}
