package gum

import (
	"math"
	"testing"
)

// JCGM 100:2008 (GUM), Table G.2, column 95 %, as printed to two places (three
// at 100).
func TestTAgainstTheTable(t *testing.T) {
	for dof, want := range map[float64]float64{
		1: 12.71, 2: 4.30, 3: 3.18, 4: 2.78, 5: 2.57, 6: 2.45, 7: 2.36, 8: 2.31, 9: 2.26, 10: 2.23, 20: 2.09, 30: 2.04, 50: 2.01,
	} {
		if got := T(0.95, dof); math.Abs(got-want) > 0.005 {
			t.Errorf("t at %g degrees of freedom is %.4f, the table has %.2f", dof, got, want)
		}
	}
	if got := T(0.95, 100); math.Abs(got-1.984) > 0.0005 {
		t.Errorf("t at 100 is %.5f", got)
	}
}

// With 1 and 2 degrees of freedom the distribution can be turned round: t is
// tan(πp/2), and p·√2/√(1 − p²). So at many p, to rounding.
func TestTInClosedForm(t *testing.T) {
	for p := 0.05; p < 0.9999; p += 0.01 {
		if got, want := T(p, 1), math.Tan(math.Pi*p/2); math.Abs(got/want-1) > 1e-9 {
			t.Errorf("p %g, 1 degree: %.12g, want %.12g", p, got, want)
		}
		if got, want := T(p, 2), p*math.Sqrt2/math.Sqrt(1-p*p); math.Abs(got/want-1) > 1e-9 {
			t.Errorf("p %g, 2 degrees: %.12g, want %.12g", p, got, want)
		}
	}
}

// Between whole numbers it falls smoothly, and towards the normal distribution's
// 1.959964.
func TestTFalls(t *testing.T) {
	last := math.Inf(1)
	for dof := 1.0; dof < 1e5; dof *= 1.1 {
		got := T(0.95, dof)
		if !(got < last && got > 1.959963) {
			t.Fatalf("t at %g is %g, before it %g", dof, got, last)
		}
		last = got
	}
	if math.Abs(last-1.959964) > 1e-4 {
		t.Errorf("it ends at %g", last)
	}
	if !math.IsNaN(T(0.95, 0)) || !math.IsNaN(T(1, 3)) || !math.IsNaN(T(0.95, math.NaN())) {
		t.Error("a number where there is none")
	}
}
