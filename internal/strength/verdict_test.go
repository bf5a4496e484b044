package strength

import (
	"math"
	"testing"
)

// The verdict at its edges, by hand: u of 1 MPa makes a guard of 1.645 MPa. Rule:
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
		if got, band := judge(c.strength, u, least, c.bound); got != c.want || band != g {
			t.Errorf("%s: %s with a guard of %v, want %s with %d", name, got, band, c.want, g)
		}
	}
}
