package batch

import (
	"math"

	"draghand/internal/gum"
)

// Summarize describes a batch; level is that of the interval of the mean, 0.95
// say. Where a value is not finite every figure but N is NaN; where the level is
// no probability the interval is.
func Summarize(x []float64, level float64) Summary {
	none := math.NaN()
	s := Summary{
		N: len(x), Mean: none, SD: none, CV: none, Median: none, Least: none, Most: none,
		MeanLow: none, MeanHigh: none, Level: level,
	}
	if len(x) == 0 || refuse("the values", x) != nil {
		return s
	}
	sorted := ordered(x)
	s.Least, s.Most, s.Median = sorted[0], sorted[len(x)-1], middle(sorted)
	y, exponent := scaled(x)
	mean, sd := moments(y[0])
	s.Mean, s.SD = math.Ldexp(mean, exponent), math.Ldexp(sd, exponent)
	if mean > 0 && s.Least >= 0 { // a share of a mean that is made of both signs says nothing
		s.CV = sd / mean
	}
	if len(x) >= 2 && refuseLevel("the level", level) == nil {
		half := gum.T(level, float64(len(x)-1)) * sd / math.Sqrt(float64(len(x)))
		s.MeanLow, s.MeanHigh = math.Ldexp(mean-half, exponent), math.Ldexp(mean+half, exponent)
	}
	return s
}

// middle is the median of sorted values, of an even number the mean of the two in
// the middle.
func middle(sorted []float64) float64 {
	n := len(sorted)
	if n%2 == 1 {
		return sorted[n/2]
	}
	low, high := sorted[n/2-1], sorted[n/2]
	if sum := low + high; !math.IsInf(sum, 0) {
		return sum / 2
	}
	return low/2 + high/2
}
