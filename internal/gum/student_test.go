package gum

import (
	"math"
	"testing"
)

// checks.md 7.2 and 10.1, computed there with scipy.
func TestT(t *testing.T) {
	for _, c := range []struct{ p, dof, want, tol float64 }{
		{0.95, 1, 12.706205, 1e-6},
		{0.95, 2, 4.302653, 1e-6},
		{0.95, 4, 2.776445, 1e-6},
		{0.95, 9, 2.262157, 1e-6},
		{0.95, 16, 2.119905, 1e-6},
		{0.95, 30, 2.042272, 1e-6},
		{0.95, 34, 2.032244509, 1e-8},
		{0.99, 16, 2.92078, 1e-5},
		{0.95, math.Inf(1), 1.959963985, 1e-8}, // from memory, no source
	} {
		if got := T(c.p, c.dof); math.Abs(got-c.want) > c.tol {
			t.Errorf("T(%g, %g) = %.9f, want %.9f", c.p, c.dof, got, c.want)
		}
	}
	for _, bad := range [][2]float64{{0, 4}, {1, 4}, {0.95, 0}, {0.95, -1}, {math.NaN(), 4}, {0.95, math.NaN()}} {
		if got := T(bad[0], bad[1]); !math.IsNaN(got) {
			t.Errorf("T(%g, %g) = %g, want NaN", bad[0], bad[1], got)
		}
	}
}
