package batch

import (
	"fmt"
	"math"
	"slices"
)

// refuse names the first value that is not finite.
func refuse(what string, x []float64) error {
	for i, v := range x {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%w: number %d of %s is %g", ErrValue, i+1, what, v)
		}
	}
	return nil
}

// refuseLevel names a probability that is none.
func refuseLevel(what string, p float64) error {
	if !(p > 0 && p < 1) {
		return fmt.Errorf("%w: %s must be above 0 and below 1, not %g", ErrValue, what, p)
	}
	return nil
}

// scaled are values divided by a power of two, the same for all, so that none of
// them is 1 or more in size and no square overflows. Dividing loses nothing. The
// order is kept.
func scaled(lists ...[]float64) (out [][]float64, exponent int) {
	var most float64
	for _, list := range lists {
		for _, v := range list {
			most = max(most, math.Abs(v))
		}
	}
	_, exponent = math.Frexp(most)
	out = make([][]float64, len(lists))
	for i, list := range lists {
		out[i] = make([]float64, len(list))
		for j, v := range list {
			out[i][j] = math.Ldexp(v, -exponent)
		}
	}
	return out, exponent
}

// ordered is a copy in order of size.
func ordered(x []float64) []float64 {
	out := slices.Clone(x)
	slices.Sort(out)
	return out
}

// summed adds with the rounding carried along (Neumaier), so that the sum is as
// good as the numbers; it is high + low.
type summed struct{ high, low float64 }

func (s *summed) add(v float64) {
	t := s.high + v
	if math.Abs(s.high) >= math.Abs(v) {
		s.low += (s.high - t) + v
	} else {
		s.low += (v - t) + s.high
	}
	s.high = t
}

func (s *summed) value() float64 { return s.high + s.low }

// moments are the mean and the standard deviation (n−1) of finite values below 1
// in size: NaN of none, and of fewer than two. They are added up in order of size,
// so the order they came in makes no difference. The mean is taken off before
// squaring, what its rounding left over with it: a small spread on a large mean
// stays right.
func moments(x []float64) (mean, sd float64) {
	if len(x) == 0 {
		return math.NaN(), math.NaN()
	}
	sorted := ordered(x)
	n := float64(len(x))
	if sorted[0] == sorted[len(x)-1] {
		if len(x) == 1 {
			return sorted[0], math.NaN()
		}
		return sorted[0], 0
	}
	var sum, left, squares summed
	for _, v := range sorted {
		sum.add(v)
	}
	mean = sum.value() / n
	for _, v := range sorted {
		d := v - mean
		left.add(d)
		squares.add(d * d)
	}
	rest := left.value() // what the rounding of the mean left over, n times
	mean = min(max(mean+rest/n, sorted[0]), sorted[len(x)-1])
	return mean, math.Sqrt(max(squares.value()-rest*rest/n, 0) / (n - 1))
}
