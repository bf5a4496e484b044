package budget

import (
	"math"
	"testing"

	"draghand/internal/gum"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// What the drag hand has missed between the readings, by hand: from 1 to 2 bar of
// 100, evenly, the rms is √(1 + 1 + 1/3) = 1.527525 bar; from 0 to 3 bar 3/√3.
func TestReadingsApart(t *testing.T) {
	for _, c := range []struct{ lag, most, u float64 }{{1, 2, 1.527525}, {0, 3, math.Sqrt(3)}, {2, 2, 2}} {
		b := For(hand(), round(10, 0.01), Peak{Gauge: 100 * si.Bar, ApartLag: si.Pressure(c.lag * si.Bar), ApartMost: si.Pressure(c.most * si.Bar)}, 0, 0)
		l := line(t, b, "readings apart")
		near(t, "u", l.U, c.u*si.Bar, 1e-6)
		near(t, "of the strength", l.UPa/b.ValuePa, c.u/100, 1e-6)
		if l.Common || l.Dist != gum.Uniform || l.Unit != "Pa" {
			t.Errorf("%+v", l)
		}
	}
	if b := For(hand(), round(10, 0.01), Peak{Gauge: 100 * si.Bar}, 0, 0); len(of(b)) != len(of(For(hand(), round(10, 0.01), Peak{Gauge: 100 * si.Bar, ApartMost: 0}, 0, 0))) {
		t.Error("a line of nothing")
	}
}

// Under the points of a line with an offset the straight way from nothing is taken.
// Points from 20 bar up, 100 N + 50 N/bar: 1,100 N at 20 bar, so 550 N at 10 bar, where
// the line itself has 600 N. The 50 N between are a limit of error: 50/√3 N.
func TestBelowThePoints(t *testing.T) {
	r := calibrated(rig.AtSpecimen, 100, 0.5e-3, 30)
	b := For(r, round(10, 0.02), Peak{Gauge: 10 * si.Bar}, 0, 0)
	near(t, "strength", b.ValuePa, 550/78.539816e-6, 1e-7)
	l := line(t, b, "below the points")
	near(t, "u", l.U, 50/math.Sqrt(3), 1e-9)
	near(t, "of the strength", l.UPa*78.539816e-6, 50/math.Sqrt(3), 1e-6)
	if !l.Common || l.Dist != gum.Uniform || l.Unit != "N" {
		t.Errorf("%+v", l)
	}
	for _, bar := range []float64{20, 100, 300} {
		for _, l := range of(For(r, round(10, 0.02), Peak{Gauge: si.Pressure(bar * si.Bar)}, 0, 0)) {
			if l == "below the points" {
				t.Errorf("at %g bar: %q", bar, l)
			}
		}
	}
}

// Student's t of 2 degrees of freedom has no variance: no standard deviation of the
// draws is given then, and a note says why.
func TestNoStandardDeviation(t *testing.T) {
	for points, want := range map[int]bool{3: false, 4: false, 5: true} { // an offset takes two
		r := calibrated(rig.AtSpecimen, 100, 0.5e-3, 30)
		r.Calibration.Line.Points = points
		b := For(r, round(10, 0.02), Peak{Gauge: 100 * si.Bar}, 5000, 1)
		if got := b.MonteCarlo.SDPa != nil; got != want || noted(b, "no standard deviation") == want {
			t.Errorf("%d points: standard deviation %v, notes %q", points, b.MonteCarlo.SDPa, b.Notes)
		}
	}
}

// The effective degrees of freedom of a line are those of its points: n − 2, and of one
// through zero n − 1, since nothing but the line counts here.
func TestLineDoF(t *testing.T) {
	for zero, want := range map[bool]float64{false: 10, true: 11} {
		r := calibrated(rig.AtSpecimen, 0, 0.5e-3, 500)
		r.Calibration.Line.ThroughZero, r.Calibration.ReferenceU = zero, 1e-9
		b := For(r, round(10, 1e-9), Peak{Gauge: 100 * si.Bar}, 0, 0)
		if b.DoF == nil || math.Abs(*b.DoF-want) > 1e-3 {
			t.Errorf("through zero %v: %v degrees of freedom, want %v", zero, b.DoF, want)
		}
	}
}
