package gum

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// T is the two-sided factor t of Student's distribution: the probability within
// ± t is p, between 0 and 1, with any positive number of degrees of freedom, +Inf
// for the normal distribution. NaN for anything else.
func T(p, dof float64) float64 {
	if !(dof > 0) || !(p > 0 && p < 1) {
		return math.NaN()
	}
	if math.IsInf(dof, 1) || dof > 1e8 {
		return distuv.UnitNormal.Quantile((1 + p) / 2)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: dof}.Quantile((1 + p) / 2)
}

// Factor is T for degrees of freedom that were reckoned and so are no whole
// number: they are rounded down (JCGM 100, G.4.2), which errs to the wide side;
// but for those below 2, where it would treble the interval.
func Factor(p, dof float64) float64 {
	if dof >= 2 {
		dof = math.Floor(dof)
	}
	return T(p, dof)
}
