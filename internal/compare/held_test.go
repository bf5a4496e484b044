package compare_test

import (
	"encoding/json"
	"strings"
	"testing"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// A minimum is held by the strength that is shown, rounded down, in ksi and in MPa: the
// verdict does not hang on the units somebody reads. 41.098733 ksi is 41.0 ksi and
// 283.366 MPa, shown as 283 MPa, which is 41.0457 ksi.
func TestMinimumAgainstWhatIsShown(t *testing.T) {
	for _, row := range []struct {
		up, minimum float64 // ksi; of the mean, of the minimum
		holds       bool
		us, metric  string
	}{
		{0, 41.0, true, "Minimum 41.0 ksi: the strength to count on holds it", "holds it"},
		{0, 41.05, false, "Minimum 41.05 ksi: NOT HELD", "NOT HELD"}, // 41.098733 itself is over it
		{0, 41.0001, false, "NOT HELD", "NOT HELD"},
		// 41.008733 ksi is shown as 41.0 ksi and as 282 MPa (of 282.745): 40.9007 ksi.
		{-0.09, 41.0, false, "NOT HELD by the strength to count on: 282 MPa, rounded down, is under it", "NOT HELD"},
		{-0.09, 40.9, true, "holds it", "holds it"},
		// 283 MPa are 41.04567 ksi: in MPa it would be held, in ksi 41.0 is under it.
		{0, 41.02, false, "NOT HELD", "NOT HELD by the strength to count on: 41.0 ksi, rounded down, is under it"},
	} {
		o := compare.NewOptions()
		o.Minimum = si.Stress(row.minimum * si.KSI)
		c := compare.Of(each(worked("M1"), func(_ int, p *compare.Pull) { p.Strength += si.Stress(row.up * si.KSI) }), byMelt(), o)
		k := c.Groups[0].CountOn
		if k.Holds == nil || *k.Holds != row.holds {
			t.Errorf("%+v: %+v", row, k)
		}
		has(t, words(&c, si.US), row.us)
		has(t, words(&c, si.Metric), row.metric)
	}
	c := compare.Of(worked("M1"), byMelt(), compare.NewOptions())
	near(t, "promised", float64(c.Groups[0].CountOn.Promised)/si.KSI, 41.0, 1e-9)
	js, err := json.Marshal(c.JSON())
	if err != nil || !strings.Contains(string(js), `"promised_pa":28268504`) { // 41.0 ksi
		t.Errorf("%v %s", err, js)
	}
}

// Bars that read alike have no scatter that is known: they are in no test between
// groups, and that is said. 40, 40, 40 against 44, 45, 46 was once a difference.
func TestAlikeGroupsAreNotTested(t *testing.T) {
	c := compare.Of(append(bars("M1", 40, 40, 40), bars("M2", 44, 45, 46)...), byMelt(), compare.NewOptions())
	if c.Difference != nil || c.Analysis != nil {
		t.Errorf("%+v %+v", c.Difference, c.Analysis)
	}
	has(t, words(&c, si.US), "all bars of M1 read alike, so their scatter is not known: not in the comparison of the groups")
	// Of three the other two are compared.
	c = compare.Of(append(append(bars("M1", 40, 40, 40), bars("M2", 44, 45, 46)...), bars("M3", 50, 51, 52)...), byMelt(), compare.NewOptions())
	if c.Analysis != nil || c.Difference == nil || c.Difference.From != "M2" || c.Difference.To != "M3" {
		t.Errorf("%+v %+v", c.Difference, c.Analysis)
	}
}

// What the readings cannot tell apart is no scatter: bars within one step of them, or
// within a millionth where no step is known.
func TestAlikeByTheReadings(t *testing.T) {
	for name, row := range map[string]struct {
		last, step float64 // ksi
		alike      bool
	}{
		"1 Pa off":               {44 + 1/si.KSI, 0, true},
		"a ten-thousandth off":   {44.0044, 0, false},
		"within a step":          {44.09, 0.1, true},
		"a step":                 {44.1, 0.1, true},
		"more than a step":       {44.11, 0.1, false},
		"of one bar it is known": {44.09, -0.1, true},
	} {
		all := bars("M1", 44, 44, 44, 44, row.last)
		each(all, func(i int, p *compare.Pull) {
			if row.step > 0 || i == 2 {
				p.Step = si.Stress(max(row.step, -row.step) * si.KSI)
			}
		})
		c := compare.Of(all, byMelt(), compare.NewOptions())
		g := &c.Groups[0]
		if g.Alike != row.alike || row.alike && (g.Outlier != nil || g.Weibull != nil || g.Bound != nil) {
			t.Errorf("%s: %+v", name, g)
		}
	}
}

// Simulated bars say nothing of a metal: mixed with real ones there is nothing to count
// on, and no minimum is held.
func TestMixedIsRefused(t *testing.T) {
	o := compare.NewOptions()
	o.Minimum = 20 * si.KSI
	all := worked("M1")
	all[2].Simulated = true
	c := compare.Of(all, byMelt(), o)
	g := &c.Groups[0]
	if g.CountOn != nil || !strings.HasPrefix(g.Refused, "1 of 5 bars is simulated") {
		t.Errorf("%+v, %q", g.CountOn, g.Refused)
	}
	text := words(&c, si.US)
	has(t, text, "There is no strength to count on: 1 of 5 bars is simulated", "cannot be told without a strength to count on")
	hasNot(t, text, "Count on ", "holds it")
	all[1].Simulated = true
	c = compare.Of(all, byMelt(), o)
	has(t, words(&c, si.US), "no strength to count on: 2 of 5 bars are simulated, and say nothing of a metal: leave them out")
}
