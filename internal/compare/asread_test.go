package compare_test

import (
	"math"
	"testing"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// Groups that differ by less than what other rigs may be off, together with their
// scatter, differ as they read, and no more is claimed. The interval reaches 1.302025 ksi
// to either side (checks.md 7.2: 2.306004·0.5646238).
func TestDifferAsRead(t *testing.T) {
	const asRead, rigs, machines = "M1 AND M2 DIFFER AS READ, ", "and the rigs may be why: ", "and the machines may be why: "
	for name, row := range map[string]struct {
		less   float64
		change func(p *compare.Pull)
		want   string
	}{
		"same rig":                {2, func(*compare.Pull) {}, "M1 AND M2 DIFFER: the mean"},
		"another, little off":     {2, func(p *compare.Pull) { p.CommonBy = "rig two" }, "M1 AND M2 DIFFER: the mean"}, // ± 0.96167: √(1.302² + 0.962²) = 1.6187
		"another, much off":       {2, func(p *compare.Pull) { p.CommonBy, p.Common = "rig two", 0.8*si.KSI }, asRead + rigs},
		"another, just too much":  {2, func(p *compare.Pull) { p.CommonBy, p.Common = "rig two", off(1.001) }, asRead + rigs},
		"another, just not":       {2, func(p *compare.Pull) { p.CommonBy, p.Common = "rig two", off(0.999) }, "M1 AND M2 DIFFER: the mean"},
		"the other way":           {-2, func(p *compare.Pull) { p.CommonBy, p.Common = "rig two", 0.8*si.KSI }, asRead + rigs},
		"nobody knows":            {20, func(p *compare.Pull) { p.CommonBy, p.U, p.Common = "rig two", 0, 0 }, asRead + rigs},
		"no machine told":         {2, func(p *compare.Pull) { p.CommonBy, p.Assumed, p.Common = "x", 0.01, 0.8*si.KSI }, asRead + machines},
		"nothing shown anyway":    {0.5, func(p *compare.Pull) { p.CommonBy, p.Common = "rig two", 0.8*si.KSI }, "NOT SETTLED whether M1 and M2 differ"},
		"same rig, though unsure": {2, func(p *compare.Pull) { p.U, p.Common = 0, 0 }, "M1 AND M2 DIFFER: the mean"},
	} {
		c := compare.Of(two(row.less, row.change), byMelt(), compare.NewOptions())
		has(t, name+": "+words(&c, si.US), row.want)
	}
}

// off is the common part of the second group that makes twice that of the difference a
// factor times what a difference of 2 ksi leaves beside its interval.
func off(factor float64) si.Stress {
	half := 2.306004 * math.Sqrt(2*0.797/5)
	u := factor * math.Sqrt(4-half*half) / 2
	return si.Stress(math.Sqrt(u*u-0.34*0.34) * si.KSI)
}

// Of bars of which no melt is stated nobody says that they are of one.
func TestHoldsForNoStatedMelt(t *testing.T) {
	all := each(worked("M1"), func(_ int, p *compare.Pull) { p.Melt = "" })
	c := compare.Of(all, byMelt(), compare.NewOptions())
	has(t, words(&c, si.US), "It holds for bars of the melt or melts these are of, which nobody states, of this section (")
	hasNot(t, words(&c, si.US), "of this melt")
}

// Strengths so large that a bound has no number give none, and no broken JSON; nor does an
// elongation that is no number.
func TestBoundThatIsNoNumber(t *testing.T) {
	all := bars("M1", 1, 1, 1)
	nan := math.NaN()
	all[1].Elongation = &nan
	each(all, func(i int, p *compare.Pull) { p.Strength = si.Stress([]float64{1, 1e308, 1.7e308}[i]) })
	c := compare.Of(all, byMelt(), compare.NewOptions())
	if g := &c.Groups[0]; g.Bound != nil || g.CountOn != nil {
		t.Errorf("%+v", g.Bound)
	}
	inJSON(t, &c)
}
