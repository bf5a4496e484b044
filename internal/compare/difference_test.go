package compare_test

import (
	"math"
	"strings"
	"testing"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// less takes something off the strengths of the second group.
func two(less float64, change func(p *compare.Pull)) []compare.Pull {
	second := each(worked("M2"), func(_ int, p *compare.Pull) {
		p.Strength -= si.Stress(less * si.KSI)
		if change != nil {
			change(p)
		}
	})
	return append(worked("M1"), second...)
}

// By hand: both groups have the variance 0.797 ksi² of checks.md 7.2, so the standard
// error is √(2·0.797/5) = 0.5646238 with 8 degrees of freedom; t(0.975, 8) is 2.306004.
func TestDifference(t *testing.T) {
	se := math.Sqrt(2 * 0.797 / 5)
	c := compare.Of(two(2, nil), byMelt(), compare.NewOptions())
	d := c.Difference
	if d == nil || d.From != "M1" || d.To != "M2" || c.Analysis != nil {
		t.Fatalf("%+v", c)
	}
	near(t, "difference", d.Diff/si.KSI, -2, 1e-9)
	near(t, "standard error", d.SE/si.KSI, se, 1e-9)
	near(t, "freedom", d.DoF, 8, 1e-9)
	near(t, "low", d.Low/si.KSI, -2-2.306004*se, 1e-6)
	near(t, "high", d.High/si.KSI, -2+2.306004*se, 1e-6)
	has(t, words(&c, si.US), "M1 AND M2 DIFFER: the mean of M2 is 2.0 ksi lower, between 0.7 and 3.3 ksi lower (95 %)", "Were they alike, a difference so large or larger would come up by chance in 1 of ")

	c = compare.Of(two(-1, nil), byMelt(), compare.NewOptions())
	text := words(&c, si.US)
	has(t, text, "NOT SETTLED whether M1 and M2 differ: the mean of M2 is 1.0 ksi higher, and anything from 0.3 ksi lower to 2.3 ksi higher fits", "That does not show that they are alike.")

	// Coarse dials give like means.
	c = compare.Of(two(0, nil), byMelt(), compare.NewOptions())
	has(t, words(&c, si.US), "NOT SETTLED whether M1 and M2 differ: the mean of M2 is that of M1, and anything from 1.3 ksi lower to 1.3 ksi higher fits")
}

// Two and two bars that scatter widely tell nothing: by hand the interval of 30 and 60
// against 40 and 50 ksi is far wider than their mean.
func TestTooFewToTell(t *testing.T) {
	c := compare.Of(append(bars("M1", 30, 60), bars("M2", 40, 50)...), byMelt(), compare.NewOptions())
	has(t, words(&c, si.US), "TOO FEW BARS TO TELL whether M1 and M2 differ: the mean of M2 is that of M1, and anything from ", "That does not show that they are alike.")
	hasNot(t, words(&c, si.US), "NO DIFFERENCE", "NOT SETTLED")
}

// What the rig may be off cancels for one rig and calibration alone.
func TestCommonPartOfADifference(t *testing.T) {
	for name, row := range map[string]struct {
		change      func(p *compare.Pull)
		same, known bool
		common      float64 // ksi
		want        string
	}{
		"same":           {nil, true, true, 0, "Both were pulled on the same rig by the same calibration: what the rig itself may be off is the same in both, and is not in the difference"},
		"no calibration": {func(p *compare.Pull) { p.Calibration = "" }, true, true, 0, "Both were pulled on the same rig, which has no calibration: what the rig itself may be off is the same in both, and is not in the difference"},
		"another":        {func(p *compare.Pull) { p.CommonBy = "rig one, cal b" }, false, true, 0.34 * math.Sqrt2, "± 0.97 ksi of the difference, comes on top and is not in this interval"},
		"unknown":        {func(p *compare.Pull) { p.CommonBy, p.U, p.Common = "rig two", 0, 0 }, false, false, 0, "and what the rigs themselves may be off is not known"},
		"one of them another": {func(p *compare.Pull) {
			if p.Bar == "M2-1" { // neither the lowest nor the highest
				p.CommonBy = "rig one, cal b"
			}
		}, false, true, 0.34 * math.Sqrt2, "comes on top"},
	} {
		c := compare.Of(two(2, row.change), byMelt(), compare.NewOptions())
		d := c.Difference
		if d.SameRig != row.same || d.Known != row.known {
			t.Errorf("%s: %+v", name, d)
		}
		near(t, name, float64(d.Common)/si.KSI, row.common, 1e-9)
		has(t, words(&c, si.US), row.want)
	}
}

// A calibration is claimed only where both have one.
func TestNoCalibrationIsClaimed(t *testing.T) {
	for _, from := range []int{0, 5} {
		all := two(2, nil)
		all[from+2].Calibration = ""
		c := compare.Of(all, byMelt(), compare.NewOptions())
		has(t, words(&c, si.US), "Both were pulled on the same rig, which has no calibration")
	}
}

// Three groups, by hand: means 44.82, 42.82, 43.82 of 5 each; between groups
// 5·(1+0+1) = 10 over 2, within 12·0.797 = 9.564 over 12: F = 5/0.797 = 6.273526. The
// tail of F for 2 and n degrees of freedom is (1 + 2F/n)^(−n/2).
func TestThreeGroups(t *testing.T) {
	all := append(two(2, nil), each(worked("M3"), func(_ int, p *compare.Pull) { p.Strength -= 1 * si.KSI })...)
	c := compare.Of(all, byMelt(), compare.NewOptions())
	a := c.Analysis
	if a == nil || c.Difference != nil {
		t.Fatalf("%+v", c)
	}
	f := 5 / 0.797
	near(t, "F", a.F, f, 1e-6)
	near(t, "p", a.P, math.Pow(1+2*f/12, -6), 1e-9)
	has(t, words(&c, si.US), "THE 3 GROUPS ARE NOT ALL ALIKE (which of them, the test does not tell)", "by chance in 1 of ", "F 6.27 of 2 and 12 degrees of freedom")

	// A group of one bar is told, and the other two are compared.
	c = compare.Of(append(two(2, nil), bars("M3", 40)...), byMelt(), compare.NewOptions())
	if c.Difference == nil || c.Analysis != nil || len(c.Notes) != 1 {
		t.Fatalf("%+v", c)
	}
	has(t, words(&c, si.US), "fewer than two bars count in M3: not in the comparison of the groups")
}

// What else differs between groups is told.
func TestUnlikeGroups(t *testing.T) {
	for want, change := range map[string]func(p *compare.Pull){
		"simulated and real bars are compared":                     func(p *compare.Pull) { p.Simulated = true },
		"the groups are not all of one alloy: C90500 and C95400":   func(p *compare.Pull) { p.Alloy = "C95400" },
		"the sections of the groups differ by more than 10 %":      func(p *compare.Pull) { p.Area *= 1.2 },
		"what the rigs themselves may be off, ±":                   func(p *compare.Pull) { p.CommonBy = "rig two" },
		"M1 AND M2 DIFFER: the mean of M2 is 2.0 ksi lower, betwe": func(*compare.Pull) {},
	} {
		c := compare.Of(two(2, change), byMelt(), compare.NewOptions())
		has(t, words(&c, si.US), want)
	}
	c := compare.Of(two(2, nil), byMelt(), compare.NewOptions())
	if len(c.Notes) != 0 {
		t.Errorf("%q", c.Notes)
	}
	// Groups without any scatter: nothing can be said, and that is said.
	c = compare.Of(append(bars("M1", 40, 40), bars("M2", 41, 41)...), byMelt(), compare.NewOptions())
	if c.Difference != nil || !strings.Contains(strings.Join(c.Notes, " "), "read alike") {
		t.Errorf("%+v", c.Notes)
	}
}

// The analysis of variance takes the groups to scatter alike: where they do not it may call
// too many different, or too few, and that is said. Of 10, 10 and 3 bars with three times
// the SD it calls like groups different in 27 of 100 comparisons (docs/statistics.md).
func TestGroupsThatScatterDifferently(t *testing.T) {
	const unlike = "CAUTION: the groups do not scatter alike (Bartlett, p 0.0"
	of := func(times float64) compare.Comparison {
		return compare.Of(append(two(0, nil), each(worked("M3"), func(_ int, p *compare.Pull) { p.Strength += (p.Strength - 44.82*si.KSI) * si.Stress(times-1) })...), byMelt(), compare.NewOptions())
	}
	c := of(4)
	has(t, words(&c, si.US), unlike, "the analysis of variance takes them to, and may call too many groups different or too few: look at two of them at a time")
	c = of(2)
	hasNot(t, words(&c, si.US), "Bartlett")
	// Of two groups nothing hangs on it.
	c = compare.Of(append(worked("M1"), bars("M2", 20, 44, 60, 80, 10)...), byMelt(), compare.NewOptions())
	hasNot(t, words(&c, si.US), "Bartlett")
}
