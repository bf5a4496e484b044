package batch

import (
	"fmt"
	"math"
	"slices"
)

// Normal tells how well a normal distribution with the batch's own mean and SD
// describes it, by Anderson and Darling's A². P is the approximation of D'Agostino
// and Stephens (Goodness-of-Fit Techniques, 1986, table 4.9; the constants are from
// memory) to the share of normal batches of this size that fit as badly or worse.
// Needs eight values: the approximation begins there (ErrFew). Values that are all
// the same have no distribution to compare with (ErrValue).
//
// A small P says that the batch is not normal; a large one does not say that it is:
// of few bars nearly all batches pass.
func Normal(x []float64) (Normality, error) {
	if len(x) < 8 {
		return Normality{}, fmt.Errorf("%w: whether a batch is normal shows in 8 values or more, not in %d", ErrFew, len(x))
	}
	if err := refuse("the values", x); err != nil {
		return Normality{}, err
	}
	lists, _ := scaled(x)
	y := lists[0]
	mean, sd := moments(y)
	if !(sd > 0) {
		return Normality{}, fmt.Errorf("%w: all %d values are the same, so they have no distribution", ErrValue, len(x))
	}
	slices.Sort(y)
	n := float64(len(y))
	var sum summed
	for i, v := range y {
		mirror := y[len(y)-1-i]
		sum.add((2*float64(i) + 1) * (logBelow((v-mean)/sd) + logBelow(-(mirror-mean)/sd)))
	}
	a := -n - sum.value()/n
	adjusted := a * (1 + 0.75/n + 2.25/(n*n))
	return Normality{N: len(x), A2: a, Adjusted: adjusted, P: andersonDarling(adjusted)}, nil
}

// logBelow is the logarithm of the standard normal distribution function.
func logBelow(z float64) float64 {
	switch {
	case z > 0:
		return math.Log1p(-0.5 * math.Erfc(z/math.Sqrt2))
	case z > -30:
		return math.Log(0.5 * math.Erfc(-z/math.Sqrt2))
	}
	// Where the function itself would vanish: the first terms of its expansion.
	return -z*z/2 - math.Log(-z*math.Sqrt(2*math.Pi)) + math.Log1p(-1/(z*z))
}

// andersonDarling is P of the adjusted statistic.
func andersonDarling(a float64) float64 {
	switch {
	case a >= 0.6:
		a = min(a, 10) // the polynomial turns up again far out; P is below 4e-24 there
		return min(1, math.Exp(1.2937-5.709*a+0.0186*a*a))
	case a >= 0.34:
		return math.Exp(0.9177 - 4.279*a - 1.38*a*a)
	case a >= 0.2:
		return 1 - math.Exp(-8.318+42.796*a-59.938*a*a)
	}
	return 1 - math.Exp(-13.436+101.14*a-223.73*a*a)
}
