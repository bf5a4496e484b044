package specimen

import (
	"math"
	"testing"

	"draghand/internal/si"
)

// Source: the list of outside check values, section 2.7 (computed; formulas of
// ASTM E8/E8M and ISO 6892-1), in percent.
func TestDuctility(t *testing.T) {
	const inch, mm = si.Length(0.0254), si.Millimetre
	for _, c := range []struct {
		name          string
		of            func(before, after si.Length) float64
		before, after si.Length
		want, within  float64
	}{
		{"elongation", Elongation, 2.000 * inch, 2.310 * inch, 15.5, 1e-9},
		{"elongation", Elongation, 1.000 * inch, 1.085 * inch, 8.5, 1e-9},
		{"elongation", Elongation, 50.0 * mm, 58.7 * mm, 17.4, 1e-9},
		{"reduction of area", ReductionOfArea, 0.500 * inch, 0.400 * inch, 36.0, 1e-9},
		{"reduction of area", ReductionOfArea, 0.250 * inch, 0.215 * inch, 26.04, 1e-9},
		{"reduction of area", ReductionOfArea, 12.5 * mm, 9.8 * mm, 38.5344, 1e-9},
	} {
		if got := 100 * c.of(c.before, c.after); math.Abs(got-c.want) > c.within {
			t.Errorf("%s %v to %v: %.10f %%, want %v", c.name, c.before, c.after, got, c.want)
		}
	}
	if !math.IsNaN(Elongation(0, 1)) || !math.IsNaN(ReductionOfArea(-1, 1)) {
		t.Error("nothing before the pull gives a number")
	}
}
