package report

import (
	"fmt"

	"draghand/internal/compare"
)

// sure is what expanded uncertainties are stated for.
const sure = 0.95

// how says how everything on the page was reckoned, in words, each with where it is
// from. docs/statistics.md has the same with the published values it was checked on.
func (f *batchFacts) how() []pair {
	o := f.c.Options
	var r rows
	r.add("what counts", "Tension pulls whose strength is known and that are not ruled out. A pull that counts with remarks is in. Nothing is dropped for its value.")
	r.add("mean, SD, CV", "The mean; the standard deviation with n − 1; their ratio. The interval of the mean is Student's t at %s.", share(1-o.Level))
	r.add("bound", "Mean less k times SD, where k is exact: the quantile %s of the noncentral t distribution with n − 1 degrees of freedom and noncentrality z·√n, over √n; z is the normal quantile of %s. At least that share of such bars lies above it, with that confidence, if the scatter is normal.", share(o.Confidence), share(o.Content))
	r.add("strength to count on", "The bound less what the rig itself may be off (the common part of the uncertainty, the largest expanded one of the group; Student's factor of %s for its degrees of freedom, 2 at the least): it is the same in every bar and does not show in their scatter. Rounded down.", share(sure))
	r.add("one bar apart", "Grubbs' statistic G, the distance of the farthest bar from the mean over the SD, held against its limit at %s from Student's t (Bonferroni; Grubbs 1950, 1969, ASTM E178). It is for one bar, and drops none: two bad ones hide each other. %s by chance alone.", share(o.Level), compare.ApartByChance(o.Level))
	r.add("normal or not", "Anderson and Darling's A², for a mean and an SD estimated from the bars, times 1 + 0.75/n + 2.25/n², and its p by D'Agostino and Stephens (1986); from 8 bars on. Of few bars nearly all batches pass.")
	r.add("Weibull", "F(x) = 1 − exp(−(x/scale)^m), by maximum likelihood, those that bore at least so much taken as censored; intervals by profile likelihood at %s, too narrow of few bars (of five, 90 of 100 such intervals of 95 %% hold the true m). m is too large on average, the more so the fewer the bars: the unbiased one is m times a factor from the project's own simulations, of complete batches alone.", share(1-o.Level))
	r.add("probability plots", "The i-th lowest of n stands at the exact median rank; those that bore at least so much move what lies above them up (Johnson 1964). On the scale of the plot the distribution is the straight line. No spot on it is a proof: of few bars nearly any batch looks straight.")
	switch {
	case f.c.Analysis != nil:
		r.add("difference", "One-way analysis of variance: F is the mean square between the groups over that within, held against F of so many degrees of freedom at %s. It says whether all groups are alike, not which of them is not. It takes the scatter to be alike in all groups.", share(o.Level))
	case f.c.Difference != nil:
		r.add("difference", "Welch's t: the difference of the means over the root of the sum of SD²/n of each, with the degrees of freedom of Welch and Satterthwaite, two-sided at %s. It takes no equal scatter.", share(o.Level))
	}
	r.add("strength ± U", "The largest force on the bar over its smallest section before the pull; U is its expanded uncertainty (%s, by the factor of each pull's own degrees of freedom), of all that is known of rig, calibration and micrometer (first order, GUM).", share(sure))
	r.add("how often it is right", "docs/statistics.md of the program tells how often each of these was right in simulation, what it was checked against, and which sources were written down from memory (Johnson, D'Agostino and Stephens). A bound of one melt says nothing of the next: pull a few bars of each of several melts.")
	return r
}

// noTraces says why there is no picture of the pulls; empty where there is one.
func (f *batchFacts) noTraces(groups []groupPage) string {
	for i := range groups {
		if groups[i].Traces != nil {
			return ""
		}
	}
	if len(f.traces) == 0 {
		return "There is no trace of these pulls here: none was read, or their peaks were read off a dial."
	}
	return fmt.Sprintf("None of the %d traces that were read has a load.", len(f.traces))
}
