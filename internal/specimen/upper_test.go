package specimen

import (
	"testing"

	"draghand/internal/si"
)

// The one rule of the upper strength. Source: docs/plan.md.
func TestUpper(t *testing.T) {
	for _, c := range []struct {
		name string
		s    Specimen
		want si.Stress
	}{
		{"nothing", Specimen{}, 0},
		{"a range", Specimen{ExpectLow: 300e6, ExpectHigh: 350e6}, 350e6},
		{"one figure", Specimen{ExpectLow: 350e6, ExpectHigh: 350e6}, 420e6},
		{"of the table", Specimen{ExpectLow: 350e6, ExpectHigh: 350e6, ExpectFrom: "C90500"}, 350e6},
		{"a range of the table", Specimen{ExpectLow: 275e6, ExpectHigh: 413e6, ExpectFrom: "C90500"}, 413e6},
	} {
		if got := c.s.Upper(); got != c.want {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}
