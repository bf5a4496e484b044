package batch_test

import (
	"fmt"
	"math/rand/v2"

	"draghand/internal/batch"
)

// scatterTrials ask groups of one mean, the last of which may have another SD: how often
// Bartlett's test sees that, and how often the analysis of variance, which takes one SD
// for granted, calls the means different.
func scatterTrials() []trial {
	var all []trial
	for _, c := range []struct {
		sizes              []int
		times              float64 // SD of the last over that of the others
		bartlett, variance float64 // shares measured
	}{
		{[]int{5, 5, 5}, 1, 0.0486, 0.0505},
		{[]int{3, 6, 4, 10}, 1, 0.0483, 0.0504},
		{[]int{5, 5, 5}, 3, 0.5549, 0.0855},
		{[]int{10, 10, 3}, 3, 0.4788, 0.2737},
		{[]int{3, 3, 10}, 3, 0.4005, 0.0065},
	} {
		groups := func(r *rand.Rand) (out [][]float64) {
			for i, n := range c.sizes {
				sd := float64(trueSD)
				if i == len(c.sizes)-1 {
					sd *= c.times
				}
				out = append(out, normals(r, n, trueMean, sd))
			}
			return out
		}
		what := fmt.Sprintf("P < 0.05 of %v, SD of the last %g", c.sizes, c.times)
		all = append(all, trial{
			name: "Bartlett, " + what, nominal: 0.05, measured: c.bartlett,
			one: func(r *rand.Rand) (bool, bool) {
				p, err := batch.AlikeScatter(groups(r))
				return p < 0.05, err == nil
			},
		}, trial{
			name: "analysis of variance, " + what, nominal: 0.05, measured: c.variance,
			one: func(r *rand.Rand) (bool, bool) {
				a, err := batch.Variance(groups(r))
				return a.P < 0.05, err == nil
			},
		})
	}
	return all
}
