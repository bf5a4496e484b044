package compare_test

import (
	"testing"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// The interval of Weibull's modulus is held less often than it says of few bars, and by
// simulation that is known at 95 % alone (docs/statistics.md): the words say so.
func TestWeibullIntervalOfFewBars(t *testing.T) {
	many := []float64{44.1, 45.3, 43.8, 46, 44.9, 44.4, 45.1, 44.6, 45.6, 43.9}
	for name, row := range map[string]struct {
		n         int
		level     float64
		want, not string
	}{
		"five":         {5, 0.05, "(about 95 %, of five bars some 90 %)", ""},
		"nine":         {9, 0.05, "(about 95 %, of five bars some 90 %)", ""},
		"ten":          {10, 0.05, "(about 95 %)", "some 90 %"},
		"five at 99 %": {5, 0.01, "(about 99 %, of so few bars less)", "some 90 %"},
	} {
		o := compare.NewOptions()
		o.Level = row.level
		c := compare.Of(bars("M1", many[:row.n]...), byMelt(), o)
		has(t, name+": "+words(&c, si.US), row.want)
		if row.not != "" {
			hasNot(t, words(&c, si.US), row.not)
		}
	}
}
