package strength

import (
	"math"
	"testing"
)

// The verdict at its edges, by hand: u of 1 MPa makes a margin of 1.645 MPa. Rule:
// JCGM 106:2012, guarded acceptance (from memory).
func TestJudge(t *testing.T) {
	const least, u, g = 300e6, 1e6, 1_645_000
	under, over := func(v float64) float64 { return math.Nextafter(v, 0) }, func(v float64) float64 { return math.Nextafter(v, math.Inf(1)) }
	for name, c := range map[string]struct {
		strength float64
		bound    bool
		want     string
	}{
		"at the upper edge":              {least + g, false, Passes},
		"a hair under it":                {under(least + g), false, CannotTell},
		"at the minimum":                 {least, false, CannotTell},
		"at the lower edge":              {least - g, false, CannotTell},
		"a hair over it":                 {over(least - g), false, CannotTell},
		"a hair under the lower edge":    {under(least - g), false, Fails},
		"let off, at the upper edge":     {least + g, true, Passes},
		"let off, a hair under it":       {under(least + g), true, CannotTell},
		"let off, far under the minimum": {100e6, true, CannotTell},
	} {
		if got, band := judge(c.strength, u, math.Inf(1), least, c.bound); got != c.want || band != g {
			t.Errorf("%s: %s with a margin of %v, want %s with %d", name, got, band, c.want, g)
		}
	}
}

// With few degrees of freedom it takes more of u for the same 5 %. Student's t, 95 %
// one-sided (tables in every textbook; JCGM 100:2008, table G.2, has the two-sided
// 90 % with it): 6.314 of 1, 2.920 of 2, 2.132 of 4, 1.812 of 10; the degrees are
// rounded down from 2 up.
func TestGuard(t *testing.T) {
	for dof, want := range map[float64]float64{1: 6.314, 2: 2.920, 2.9: 2.920, 4: 2.132, 4.99: 2.132, 10: 1.812, 1e9: 1.645, math.Inf(1): 1.645} {
		if got := guardAt(dof); math.Abs(got-want) > 5e-4 {
			t.Errorf("%v degrees of freedom: %v, want %v", dof, got, want)
		}
	}
	if says, _ := judge(302e6, 1e6, 4, 300e6, false); says != CannotTell {
		t.Errorf("2 u over the minimum with 4 degrees of freedom: %s", says)
	}
}
