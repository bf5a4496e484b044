package batch

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// Grubbs judges the value that lies farthest from the mean on one side, or on
// either: G = |value − mean| / SD, held against the value that the farthest one of
// n normal values passes with the probability level at the most. Needs three
// values (ErrFew). Of equal values the first is named; of two equally far on
// either side the lower. Values that are all the same flag nothing: G is 0, P is 1.
//
// Critical and P are Bonferroni's: n (one-sided) or 2n (two-sided) times the tail
// of Student's t with n−2 degrees of freedom. P is an upper bound, and close.
// For three values G cannot pass 2/√3, so very little can be flagged at all.
func Grubbs(x []float64, side Side, level float64) (Outlier, error) {
	o := Outlier{Side: side, Level: level}
	n := len(x)
	switch {
	case side != Low && side != High && side != Either:
		return Outlier{}, fmt.Errorf("%w: the side of an outlier is %q, %q or %q, not %q", ErrValue, Low, High, Either, side)
	case n < 3:
		return Outlier{}, fmt.Errorf("%w: an outlier is looked for among 3 values or more, not among %d", ErrFew, n)
	}
	if err := refuseLevel("the level of an outlier", level); err != nil {
		return Outlier{}, err
	}
	if err := refuse("the values", x); err != nil {
		return Outlier{}, err
	}
	lists, _ := scaled(x)
	y := lists[0]
	mean, sd := moments(y)
	low, high := 0, 0
	for i, v := range x {
		if v < x[low] {
			low = i
		}
		if v > x[high] {
			high = i
		}
	}
	o.Index = low
	if side == High || side == Either && y[high]-mean > mean-y[low] {
		o.Index = high
	}
	o.Value = x[o.Index]

	times := float64(n) // tails looked at
	if side == Either {
		times *= 2
	}
	furthest := (float64(n) - 1) / math.Sqrt(float64(n)) // G cannot be more
	dof := float64(n) - 2
	// With w = dof / (dof + t²) both ways are exact: the two tails of t are I_w(dof/2, 1/2),
	// and G = furthest · √(1 − w).
	t := farOut(2*level/times, dof)
	o.Critical = furthest * t / math.Hypot(t, math.Sqrt(dof))
	o.P = 1
	if sd > 0 {
		o.G = min(math.Abs(y[o.Index]-mean)/sd, furthest)
		part := o.G / furthest
		o.P = min(1, times/2*mathext.RegIncBeta(dof/2, 0.5, (1-part)*(1+part)))
	}
	o.Flagged = o.G > o.Critical
	return o, nil
}

// farOut is the t outside ± of which Student's with dof degrees of freedom lies with a
// probability, however small: mathext.InvRegIncBeta loses it where that is under some
// 10⁻⁶ and dof over some 10⁴.
func farOut(p, dof float64) float64 {
	miss := func(u float64) float64 { return math.Log(tailT(math.Exp(u), dof)) - math.Log(p) }
	step := 1.0
	if miss(0) < 0 {
		step = -1
	}
	a, b, fa, fb, ok := bracket(miss, 0, step)
	if !ok {
		return math.NaN()
	}
	return math.Exp(root(miss, a, b, fa, fb))
}
