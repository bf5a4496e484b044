package compare_test

import (
	"encoding/json"
	"strings"
	"testing"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// A minimum is held by the strength that is shown in the units the minimum was stated in,
// rounded down: figure and verdict never contradict each other, and the verdict does not
// hang on the units somebody reads. 41.098733 ksi is 41.0 ksi and 283.366 MPa, shown as
// 283 MPa, which is 41.0457 ksi.
func TestMinimumAgainstWhatIsShown(t *testing.T) {
	const not = ": NOT SHOWN TO HOLD: the strength to count on"
	for _, row := range []struct {
		up, minimum float64   // ksi; of the mean, of the minimum
		in          si.System // that the minimum is stated in
		holds       bool
		us, metric  string
	}{
		{0, 41.0, si.US, true, "Minimum 41.0 ksi: the strength to count on holds it;", "Minimum 41.0 ksi: the strength to count on, 41.0 ksi, rounded down, holds it;"},
		{0, 41.05, si.US, false, "Minimum 41.05 ksi" + not + " is under it", "Minimum 41.05 ksi" + not + ", 41.0 ksi, rounded down, is under it"}, // 41.098733 itself is over it
		{0, 41.0001, si.US, false, "Minimum 41.0001 ksi" + not, not},
		// 41.008733 ksi is shown as 41.0 ksi, which it holds, and as 282 MPa (of 282.745).
		{-0.09, 41.0, si.US, true, "Minimum 41.0 ksi: the strength to count on holds it;", "the strength to count on, 41.0 ksi, rounded down, holds it"},
		{-0.09, 40.9, si.US, true, "holds it", "holds it"},
		{-0.09, 282, si.Metric, true, "Minimum 282 MPa: the strength to count on, 282 MPa, rounded down, holds it", "Minimum 282 MPa: the strength to count on holds it;"},
		{-0.09, 282.5, si.Metric, false, "Minimum 282.5 MPa" + not + ", 282 MPa, rounded down, is under it", "Minimum 282.5 MPa" + not + " is under it"},
		// 283 MPa are 41.04567 ksi: in MPa it would be held, in ksi 41.0 is under it.
		{0, 41.02, si.US, false, not, not + ", 41.0 ksi, rounded down, is under it"},
		{0, 45, si.US, false, "DOES NOT HOLD: the strength to count on is under it; 3 of 5 bars are under it", "DOES NOT HOLD: the strength to count on, 41.0 ksi, rounded down, is under it; 3 of 5"},
	} {
		o := compare.NewOptions()
		if o.Minimum = si.Stress(row.minimum * si.KSI); row.in == si.Metric {
			o.Minimum = si.Stress(row.minimum * si.Megapascal)
		}
		c := compare.Of(each(worked("M1"), func(_ int, p *compare.Pull) { p.Strength += si.Stress(row.up * si.KSI) }), byMelt(), o)
		k := c.Groups[0].CountOn
		if k.Holds == nil || *k.Holds != row.holds {
			t.Errorf("%+v: %+v", row, k)
		}
		has(t, words(&c, si.US), row.us)
		has(t, words(&c, si.Metric), row.metric)
	}
	// Without a minimum it is the lower of the two.
	c := compare.Of(worked("M1"), byMelt(), compare.NewOptions())
	near(t, "promised", float64(c.Groups[0].CountOn.Promised)/si.KSI, 41.0, 1e-9)
	js, err := json.Marshal(c.JSON())
	if err != nil || !strings.Contains(string(js), `"promised_pa":28268504`) { // 41.0 ksi
		t.Errorf("%v %s", err, js)
	}
}

// What is promised never lies above what comes out, and reaches a minimum just where that
// is said to be held; the figure in the minimum's own units says the same.
func TestPromisedIsNeverAbove(t *testing.T) {
	for tenths := range 60 {
		for _, unit := range []si.Stress{si.KSI, si.Megapascal} {
			o := compare.NewOptions()
			if o.Minimum = si.Stress(38+0.1*float64(tenths)) * unit; unit == si.Megapascal {
				o.Minimum = si.Stress(270+0.5*float64(tenths)) * unit
			}
			c := compare.Of(worked("M1"), byMelt(), o)
			k := c.Groups[0].CountOn
			if k.Promised > k.Strength || *k.Holds && o.Minimum > k.Strength*(1+1e-9) || *k.Holds != (float64(k.Promised) >= float64(o.Minimum)*(1-1e-9)) {
				t.Errorf("minimum %v: %+v", o.Minimum, k)
			}
		}
	}
}

// A minimum stands in the units it was stated in, with what it needs; in MPa and rounded
// up where it was stated in others.
func TestStatedText(t *testing.T) {
	for v, want := range map[si.Stress]string{
		40.8 * si.KSI: "40.8 ksi", 276 * si.Megapascal: "276 MPa", 41.0001 * si.KSI: "41.0001 ksi", 38.125 * si.KSI: "38.125 ksi",
		275.85 * si.Megapascal: "275.85 MPa", 40805 * si.PSI: "40.805 ksi", 28.1 * 9.80665e6: "275.567 MPa", // 275.566865
	} {
		if got := compare.StatedText(v); got != want {
			t.Errorf("%v: %q, want %q", v, got, want)
		}
	}
}

// Where there is nothing to count on a minimum is told in one way, whether two bars read
// alike, a bound lies below zero or two bars are too few.
func TestMinimumWithoutCountOn(t *testing.T) {
	for name, of := range map[string][]compare.Pull{
		"below zero": bars("M1", 30, 44, 50), "alike": bars("M1", 44, 44, 44), "two": bars("M1", 44, 45), "one": bars("M1", 44),
	} {
		for minimum, want := range map[si.Stress]string{20: "cannot be told without a strength to count on; ", 60: "NOT SHOWN, without a strength to count on: "} {
			o := compare.NewOptions()
			o.Minimum = minimum * si.KSI
			c := compare.Of(of, byMelt(), o)
			g := &c.Groups[0]
			has(t, name+": "+words(&c, si.US), want)
			if v := g.Verdict(o.Minimum); v != map[si.Stress]compare.Verdict{20: compare.CannotBeTold, 60: compare.UnderWithout}[minimum] || g.CountOn != nil && g.CountOn.Holds != nil {
				t.Errorf("%s: %q %+v", name, v, g.CountOn)
			}
		}
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

// A figure in MPa that reads as a round one in ksi and is not quite that was not stated in
// ksi; a bar that is the minimum but for the last bit of the arithmetic is not under it.
func TestStatedInAndJustUnder(t *testing.T) {
	var c compare.CountOn
	c.Strength = 300 * si.Megapascal
	for v, stated := range map[si.Stress]si.System{282.68505 * si.Megapascal: si.Metric, 41 * si.KSI: si.US, 40.25 * si.KSI: si.US, 276 * si.Megapascal: si.Metric} {
		for _, read := range []si.System{si.US, si.Metric} {
			if got := c.AsStated(v, read) == ""; got != (read == stated) {
				t.Errorf("%v: stated in what is read as %v: %v", v, read, got)
			}
		}
	}
	g := compare.Group{Pulls: []compare.Pull{{Strength: 40 * si.KSI * (1 - 1e-15)}, {Strength: 39.9 * si.KSI}}}
	if got := g.Under(40 * si.KSI); got != 1 {
		t.Errorf("%d bars under", got)
	}
}
