package batch

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"
)

// AlikeScatter is how often groups of one SD scatter as differently as these or more, by
// Bartlett's test (1937): what the analysis of variance takes for granted. The formula is
// from memory and no published value was held against it; the tests have cases worked by
// hand, and how often it speaks of like groups. It is approximate, and goes by normal
// values. It needs two groups (ErrFew), each of two
// values (ErrFew) that are not the same (ErrValue).
func AlikeScatter(groups [][]float64) (p float64, err error) {
	if len(groups) < 2 {
		return math.NaN(), fmt.Errorf("%w: scatter is compared from 2 groups on, there are %d", ErrFew, len(groups))
	}
	for i, g := range groups {
		if len(g) < 2 {
			return math.NaN(), fmt.Errorf("%w: group %d of %d has %d values, and 2 have a scatter", ErrFew, i+1, len(groups), len(g))
		}
		if err := refuse(fmt.Sprintf("group %d", i+1), g); err != nil {
			return math.NaN(), err
		}
	}
	var all, within, logs, shares []float64 // terms, to be added up in order of size
	lists, _ := scaled(groups...)
	for i, g := range lists {
		dof := float64(len(g) - 1)
		_, sd := moments(g)
		if !(sd*sd > 0) {
			return math.NaN(), fmt.Errorf("%w: the values of group %d of %d are all the same", ErrValue, i+1, len(groups))
		}
		all, within = append(all, dof), append(within, dof*sd*sd)
		logs, shares = append(logs, dof*2*math.Log(sd)), append(shares, 1/dof)
	}
	dof, more := addUp(all), float64(len(groups)-1)
	unlike := dof*math.Log(addUp(within)/dof) - addUp(logs)
	unlike /= 1 + (addUp(shares)-1/dof)/(3*more)
	return mathext.GammaIncRegComp(more/2, max(0, unlike)/2), nil
}
