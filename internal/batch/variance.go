package batch

import (
	"fmt"
	"math"
	"slices"
)

// Variance is the one-way analysis of variance of two groups or more: whether
// their means differ by more than the scatter within them explains. It takes the
// groups to have one SD. Every group needs a value, and all together more values
// than groups (ErrFew); some group needs spread (ErrValue).
func Variance(groups [][]float64) (Analysis, error) {
	a := Analysis{Groups: len(groups)}
	for i, g := range groups {
		if len(g) == 0 {
			return Analysis{}, fmt.Errorf("%w: group %d of %d has no value", ErrFew, i+1, len(groups))
		}
		if err := refuse(fmt.Sprintf("group %d", i+1), g); err != nil {
			return Analysis{}, err
		}
		a.N += len(g)
	}
	if a.Groups < 2 || a.N <= a.Groups {
		return Analysis{}, fmt.Errorf("%w: groups are compared from 2 groups with more values than groups; there are %d with %d values", ErrFew, a.Groups, a.N)
	}
	a.DoF1, a.DoF2 = a.Groups-1, a.N-a.Groups

	lists, exponent := scaled(groups...)
	grand, _ := moments(slices.Concat(lists...))
	// Each list of terms is added up in order of size: the order of the groups makes
	// no difference.
	var between, within, sizes []float64
	for _, g := range lists {
		n := float64(len(g))
		mean, sd := moments(g)
		between = append(between, n*square(mean-grand))
		if len(g) > 1 {
			within = append(within, (n-1)*sd*sd)
		}
		sizes = append(sizes, n*n)
	}
	ssBetween, ssWithin := addUp(between), addUp(within)
	if !(ssWithin > 0) {
		return Analysis{}, fmt.Errorf("%w: no group has any spread, so nothing says how sure their means are", ErrValue)
	}
	msBetween, msWithin := ssBetween/float64(a.DoF1), ssWithin/float64(a.DoF2)
	a.F = msBetween / msWithin
	a.P = tailF(a.F, float64(a.DoF1), float64(a.DoF2))
	a.WithinSD = math.Ldexp(math.Sqrt(msWithin), exponent)
	if a.F > 1 {
		typical := (float64(a.N) - addUp(sizes)/float64(a.N)) / float64(a.DoF1) // size of a group, for unequal ones
		a.AmongSD = math.Ldexp(math.Sqrt((msBetween-msWithin)/typical), exponent)
	}
	a.Between, a.Within = math.Ldexp(ssBetween, 2*exponent), math.Ldexp(ssWithin, 2*exponent)
	return a, nil
}

// addUp adds up terms in order of size; it sorts them.
func addUp(terms []float64) float64 {
	slices.Sort(terms)
	var s summed
	for _, v := range terms {
		s.add(v)
	}
	return s.value()
}
