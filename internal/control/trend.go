package control

import (
	"math"

	"draghand/internal/gum"
)

// Figures of what counts as a steady drift.
const (
	// TrendLeast values are needed.
	TrendLeast = 8
	// trendSure is how sure a slope must be, two-sided. Zeros of one day lie nearer
	// to each other than by chance, so it is more than the usual 0.95.
	trendSure = 0.999
)

// Trend is the straight line through values in their order by least squares, and
// whether its slope is other than nothing with a probability of 99.9 % (Student's
// t, n−2 degrees of freedom). move is how far the line goes from the first to the
// last. Values that are no numbers make no trend.
func Trend(values []float64) (move float64, steady bool) {
	n := float64(len(values))
	if len(values) < 3 {
		return 0, false
	}
	var mean float64
	for _, v := range values {
		mean += v / n
	}
	mid := (n - 1) / 2
	var sxx, sxy float64
	for i, v := range values {
		d := float64(i) - mid
		sxx += d * d
		sxy += d * (v - mean)
	}
	slope := sxy / sxx
	var left float64 // sum of squares about the line
	for i, v := range values {
		r := v - mean - slope*(float64(i)-mid)
		left += r * r
	}
	move = slope * (n - 1)
	if math.IsNaN(move) || math.IsInf(move, 0) {
		return 0, false
	}
	u := math.Sqrt(left / (n - 2) / sxx)
	return move, len(values) >= TrendLeast && math.Abs(slope) > gum.T(trendSure, n-2)*u && slope != 0
}
