package batch

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"
	"gonum.org/v1/gonum/stat/distuv"
)

// NormalPlot places the values on a normal probability plot, the least first. The
// positions are median ranks, exact: value i of n in order of size stands at the
// median of the share that lies below the i-th of n. Nil where a value is not
// finite.
func NormalPlot(x []float64) []Plotted {
	if refuse("the values", x) != nil {
		return nil
	}
	return ranked(x, nil)
}

// WeibullPlot places the values on a Weibull probability plot, the least first,
// together with bars that held to what stands in censored: these are not plotted
// themselves but move what lies above them up, by Johnson's adjusted ranks (from
// memory: Johnson 1964). A bar that held to just a value counts as stronger than
// that value. The positions are exact median ranks. An index is one into values.
// Nil where a value is not finite or not above zero.
func WeibullPlot(values, censored []float64) []Plotted {
	if refusePositive("the values", values) != nil || refusePositive("the censored values", censored) != nil {
		return nil
	}
	return ranked(values, censored)
}

func ranked(values, censored []float64) []Plotted {
	type one struct {
		index int // −1: censored
		value float64
	}
	all := make([]one, 0, len(values)+len(censored))
	for i, v := range values {
		all = append(all, one{i, v})
	}
	for _, v := range censored {
		all = append(all, one{-1, v})
	}
	slices.SortStableFunc(all, func(a, b one) int { return cmp.Compare(a.value, b.value) }) // values before censored
	n := float64(len(all))
	out := make([]Plotted, 0, len(values))
	var rank float64
	for j, o := range all {
		if o.index < 0 {
			continue
		}
		rank += (n + 1 - rank) / (n + 1 - float64(j)) // 1 as long as nothing was censored
		out = append(out, Plotted{Index: o.index, Value: o.value, Position: medianRank(rank, n)})
	}
	return out
}

// medianRank is the median of the beta distribution (rank, n − rank + 1): Newton's
// steps from Benard's (rank − 0.3)/(n + 0.4), which lies within 1 % of it.
func medianRank(rank, n float64) float64 {
	a, b := rank, n-rank+1
	if a > b { // both halves of a plot are mirrors to the last digit
		return 1 - medianRank(b, n)
	}
	p := (rank - 0.3) / (n + 0.4)
	log := mathext.Lbeta(a, b)
	for range 20 {
		density := math.Exp((a-1)*math.Log(p) + (b-1)*math.Log1p(-p) - log)
		next := p - (mathext.RegIncBeta(a, b, p)-0.5)/density
		if !(next > 0 && next < 1) {
			return p
		}
		if math.Abs(next-p) <= 1e-14*p {
			return next
		}
		p = next
	}
	return p
}

// NormalScore is where a position stands on the axis of a normal plot: in SDs from
// the mean. NaN outside 0 to 1.
func NormalScore(p float64) float64 {
	if !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	return distuv.UnitNormal.Quantile(p)
}

// WeibullScore is where a position stands on the axis of a Weibull plot, on which
// the logarithms of Weibull values make a straight line of slope Shape:
// ln(−ln(1 − p)). NaN outside 0 to 1.
func WeibullScore(p float64) float64 {
	if !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	return math.Log(-math.Log1p(-p))
}
