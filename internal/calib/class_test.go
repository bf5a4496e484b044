package calib

import (
	"math"
	"strings"
	"testing"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// The worked rows of checks.md 5.2 (constructed there from the formulas of ISO
// 7500-1, from memory of the standard).
func TestFigures(t *testing.T) {
	lbf := func(v ...float64) (out []pair) {
		for _, x := range v[1:] {
			out = append(out, pair{x, v[0]})
		}
		return out
	}
	for _, c := range []struct {
		pairs []pair
		q, b  float64 // %
		class string
	}{
		{lbf(10000, 10050, 10020, 10080), 0.5, 0.6, "1"},
		{lbf(2000, 1985, 1993, 1979), -0.716667, 0.7, "1"},
		{lbf(20000, 20180, 20250, 20110), 0.9, 0.7, "1"},
		{lbf(40000, 39900, 40010, 39870), -0.183333, 0.35, "0.5"},
		{[]pair{{10000, 9950}, {10000, 9980}, {10000, 9925}}, 0.485680, 0.552671, "1"},
	} {
		l := figures(c.pairs, 1)
		if math.Abs(100*l.Error-c.q) > 1e-6 || math.Abs(100*l.Repeatability-c.b) > 1e-6 {
			t.Errorf("%v: q %.6f %%, b %.6f %%, want %.6f and %.6f", c.pairs, 100*l.Error, 100*l.Repeatability, c.q, c.b)
		}
		if got := classOf(l, nil); got != c.class {
			t.Errorf("%v: class %q, want %q", c.pairs, got, c.class)
		}
	}
}

// Each column of the table of classes on its edge and past it (checks.md 5.2), and
// the lowest force of a class: resolution × 400, 200, 100, 66.67.
func TestClassEdges(t *testing.T) {
	for _, c := range []struct {
		name           string
		q, b, v, f0, a float64 // %
	}{
		{"0.5", 0.5, 0.5, 0.75, 0.05, 0.25},
		{"1", 1, 1, 1.5, 0.1, 0.5},
		{"2", 2, 2, 3, 0.2, 1},
		{"3", 3, 3, 4.5, 0.3, 1.5},
	} {
		for i := range 11 {
			f := []float64{c.q, c.b, c.v, c.f0, c.a}
			if i > 0 {
				f[(i-1)/2] *= 1.0001
			}
			if i > 0 && i%2 == 0 {
				f[(i-1)/2] *= -1 // a sign changes nothing, but of what has none
			}
			v, f0 := f[2]/100, f[3]/100
			l := Level{Error: f[0] / 100, Repeatability: f[1] / 100, Reversibility: &v, Resolution: f[4] / 100}
			if got := classOf(l, &f0); (got == c.name) != (i == 0) {
				t.Errorf("class %s, case %d: %q", c.name, i, got)
			}
		}
	}
	for name, factor := range map[string]float64{"0.5": 400, "1": 200, "2": 100, "3": 200.0 / 3} {
		if got := classOf(figures([]pair{{5 * factor, 5 * factor}}, 5), nil); got != name {
			t.Errorf("a resolution of 5 at %v: class %q, want %s", 5*factor, got, name)
		}
		if got := classOf(figures([]pair{{4.99 * factor, 4.99 * factor}}, 5), nil); got == name {
			t.Errorf("a resolution of 5 at %v is class %s still", 4.99*factor, name)
		}
	}
}

// The worked rows of checks.md 5.1 (constructed), ASTM E4.
func TestE4(t *testing.T) {
	for _, c := range []struct {
		said float64
		want bool
	}{{4965, true}, {5046, true}, {5055, false}, {4949, false}} {
		p := []pair{{c.said, 5000}}
		if got := withinE4(p, figures(p, 5)); got != c.want {
			t.Errorf("%v of 5000: %v", c.said, got)
		}
	}
	for ref, want := range map[float64]bool{1000: true, 999: false} { // resolution 5: from 1000 on
		p := []pair{{ref, ref}}
		if got := withinE4(p, figures(p, 5)); got != want {
			t.Errorf("a resolution of 5 at %v: %v", ref, got)
		}
	}
	two := []pair{{4955, 5000}, {5010, 5000}} // both within 1 %, 1.1 % apart
	if withinE4(two, figures(two, 5)) {
		t.Error("two runs 1.1 % apart are within E4")
	}
}

// TestClaims: a class needs a certificate whose expanded uncertainty is a third of
// it or less, five levels, three runs and the zero after them.
func TestClaims(t *testing.T) {
	base := truth{per: 0.0021, noise: 2e3, runs: 3, falling: true}
	for _, c := range []struct {
		name   string
		change func(*Run)
		want   []string // in the claims; a leading ! must not be there
		remark string
	}{
		{"all there", func(*Run) {}, []string{"ISO 7500-1 class 0.5, as found", "within ASTM E4", "no accredited", "10.00 kN to 50.00 kN", "C-17"}, ""},
		{"no certificate", func(r *Run) { r.Reference.Certificate = "" }, []string{"compared with a borrowed cell", "!class", "!E4"}, "no certificate: no class"},
		{"no uncertainty", func(r *Run) { r.Reference.U = 0 }, []string{"compared with", "!class", "!E4"}, "uncertainty is not stated"},
		{"a third of class 1", func(r *Run) { r.Reference.U = 0.0016 }, []string{"class 1,", "within ASTM E4", "!class 0.5"}, ""},
		{"a third of class 2", func(r *Run) { r.Reference.U = 0.003 }, []string{"class 2,", "!class 1", "!E4"}, "more than a third of ASTM E4's 1 %"},
		{"no zero after", func(r *Run) { r.ZeroAfter = nil }, []string{"within ASTM E4", "!ISO"}, "zero was not taken again"},
		{"the zero moved", func(r *Run) { v := *r.ZeroAfter + 30; r.ZeroAfter = &v }, []string{"class 2,"}, "the zero moved by"},
		{"four levels", func(r *Run) { drop(r, 10e3) }, []string{"compared with", "!class", "!E4"}, "4 levels: five"},
		{"two runs", func(r *Run) { r.Points = r.Points[:20] }, []string{"within ASTM E4", "!ISO"}, "ISO 7500-1 needs three"},
		{"off by 1.5 %", func(r *Run) { scale(r, 1/1.015) }, []string{"class 2,", "!E4"}, ""},
		{"at the gauge", func(r *Run) { *r = r.asGauge(); scaleGauge(r, 0.0021) }, []string{"compared with", "!class", "!E4"}, "are of forces"},
		{"no counts", func(r *Run) { sends(r) }, []string{"compared with", "!class"}, "resolution is not known"},
	} {
		t.Run(c.name, func(t *testing.T) {
			run := taken(t, rig.AtSpecimen, base, 9)
			run.Rig.Sensor.Bits, run.Rig.Sensor.Divisor = 16, 65536
			run.Zero *= 16
			*run.ZeroAfter *= 16
			c.change(&run)
			a := reckoned(t, run, Options{})
			all := strings.Join(a.Claims, "\n")
			for _, w := range c.want {
				if w, not := strings.CutPrefix(w, "!"); strings.Contains(all, w) == not {
					t.Errorf("claims %q, want %q %v", all, w, !not)
				}
			}
			if remarks := strings.Join(a.Remarks, "\n"); !strings.Contains(remarks, c.remark) {
				t.Errorf("remarks %q, want %q", remarks, c.remark)
			}
		})
	}
}

func drop(r *Run, reference float64) {
	var out []Point
	for _, p := range r.Points {
		if p.Reference != reference {
			out = append(out, p)
		}
	}
	r.Points = out
}

// scaleGauge makes the gauge pressures those that the references are.
func scaleGauge(r *Run, per float64) {
	for i := range r.Points {
		r.Points[i].Gauge *= si.Pressure(per)
	}
}

// sends makes the board send bar.
func sends(r *Run) {
	s := r.Rig.Sensor
	r.Rig.Sensor = rig.Sensor{Kind: rig.PressureOut, Low: s.Low, High: s.High, UnitFactor: si.Bar, Accuracy: s.Accuracy}
	r.Zero, *r.ZeroAfter = 0, 0
}
