package strength_test

import (
	"math"
	"testing"

	"draghand/internal/si"
	"draghand/internal/strength"
)

// A promise is rounded down, to the step of ASTM E8/E8M (checks.md 4): under 50 ksi 0.1,
// under 100 0.5, else 1; under 500 MPa 1, under 1000 5, else 10.
func TestDown(t *testing.T) {
	for _, row := range []struct {
		pa   si.Stress
		sys  si.System
		want string
	}{
		{41.098733 * si.KSI, si.US, "41.0 ksi"},
		{41.1 * si.KSI, si.US, "41.1 ksi"}, // what is a multiple stays, whatever its binary form
		{49.99 * si.KSI, si.US, "49.9 ksi"},
		{50.49 * si.KSI, si.US, "50.0 ksi"},
		{62.99 * si.KSI, si.US, "62.5 ksi"},
		{131.9 * si.KSI, si.US, "131 ksi"},
		{283.9 * si.Megapascal, si.Metric, "283 MPa"},
		{504.9 * si.Megapascal, si.Metric, "500 MPa"},
		{1019 * si.Megapascal, si.Metric, "1,010 MPa"},
		{0.09 * si.KSI, si.US, "0.0 ksi"},
		{-0.05 * si.KSI, si.US, "-0.1 ksi"},
		{si.Stress(math.NaN()), si.US, "– ksi"},
		{si.Stress(math.Inf(1)), si.Metric, "– MPa"},
	} {
		if got := strength.Down(row.pa, row.sys).String(); got != row.want {
			t.Errorf("%v in %v: %q, want %q", float64(row.pa), row.sys, got, row.want)
		}
	}
}
