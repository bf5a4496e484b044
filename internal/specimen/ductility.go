package specimen

import (
	"math"

	"draghand/internal/si"
)

// Elongation is (Lu − L0)/L0, a fraction: L0 the gauge length before the pull, Lu
// the same between the marks after the break (ASTM E8/E8M, ISO 6892-1). NaN where
// L0 is not above 0.
func Elongation(before, after si.Length) float64 {
	if !(before > 0) {
		return math.NaN()
	}
	return float64((after - before) / before)
}

// ReductionOfArea is 1 − (du/d0)² of a round bar, a fraction: d0 the diameter
// before the pull, du the least at the break (ASTM E8/E8M, ISO 6892-1). NaN where
// d0 is not above 0.
func ReductionOfArea(before, after si.Length) float64 {
	if !(before > 0) {
		return math.NaN()
	}
	r := float64(after / before)
	return 1 - r*r
}
