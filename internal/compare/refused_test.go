package compare_test

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// A bound is shown, and yet nothing may be counted on where two bars alone tell of the
// scatter, or where too little is promised by it: then no minimum is held either. By
// checks.md 7.2 k of two is 20.581468; 45 − 20.581468·0.1·√2/2 of bars of 44.95 and
// 45.05 is 43.5447 ksi.
func TestRefused(t *testing.T) {
	for name, row := range map[string]struct {
		ksi                 []float64
		content, confidence float64
		why                 string // empty: there is one
	}{
		"two bars":     {[]float64{44.95, 45.05}, 0.90, 0.95, "two bars tell next to nothing of the scatter: pull at least 3, better 5 or more"},
		"three bars":   {[]float64{44.95, 45, 45.05}, 0.90, 0.95, ""},
		"80/95":        {[]float64{44.1, 45.3, 43.8, 46.0, 44.9}, 0.80, 0.95, "a bound under 90 % content or 90 % confidence is a bound, not a strength to count on"},
		"90/80":        {[]float64{44.1, 45.3, 43.8, 46.0, 44.9}, 0.90, 0.80, "a bound under 90 % content or 90 % confidence is a bound, not a strength to count on"},
		"just 90/90":   {[]float64{44.1, 45.3, 43.8, 46.0, 44.9}, 0.90, 0.90, ""},
		"two of 80/80": {[]float64{44.95, 45.05}, 0.80, 0.80, "two bars tell next to nothing of the scatter"},
	} {
		o := compare.NewOptions()
		o.Content, o.Confidence, o.Minimum = row.content, row.confidence, 20*si.KSI
		c := compare.Of(bars("M1", row.ksi...), byMelt(), o)
		g := &c.Groups[0]
		if g.Bound == nil {
			t.Fatalf("%s: no bound", name)
		}
		if (g.CountOn == nil) != (row.why != "") || !strings.HasPrefix(g.Refused, row.why) || (g.Refused == "") != (row.why == "") {
			t.Errorf("%s: %+v, refused %q", name, g.CountOn, g.Refused)
		}
		text := words(&c, si.US)
		js, err := json.Marshal(c.JSON())
		if err != nil {
			t.Fatal(err)
		}
		if row.why == "" {
			has(t, text, "Count on ", "the strength to count on holds it")
			has(t, string(js), `"refused":null`)
			continue
		}
		has(t, text, "There is no strength to count on: "+row.why, g.Bound.AtText(si.US), "Minimum 20.0 ksi: cannot be told without a strength to count on")
		hasNot(t, text, "Count on ", "holds it")
		has(t, string(js), `"refused":"`+row.why, `"count_on":null`)
	}
	c := compare.Of(bars("M1", 44.95, 45.05), byMelt(), compare.NewOptions())
	near(t, "bound of two", float64(c.Groups[0].Bound.At)/si.KSI, 45-20.581468*0.1*math.Sqrt2/2, 1e-4)
	has(t, words(&c, si.US), "The 90/95 bound of 2 bars is 43.54 ksi (k 20.58)")
}

// Where the scatter is not seen there is no interval of the mean, and no test of
// anything, in words and in JSON.
func TestAlikeHasNoInterval(t *testing.T) {
	o := compare.NewOptions()
	o.Minimum = 40 * si.KSI
	c := compare.Of(append(bars("M1", 44, 44, 44, 44, 44, 44, 44, 44), bars("M2", 44, 44, 44)...), compare.By{Field: compare.ByAll}, o)
	g := &c.Groups[0]
	if !g.Alike || !math.IsNaN(g.Strength.MeanLow) || !math.IsNaN(g.Strength.MeanHigh) || g.Outlier != nil || g.Normality != nil || g.Weibull != nil {
		t.Errorf("%+v", g)
	}
	hasNot(t, words(&c, si.US), "The mean lies between", "Grubbs", "Anderson", "Welch", "analysis of variance", "95 %", "Count on ")
	b, err := json.Marshal(c.JSON())
	if err != nil {
		t.Fatal(err)
	}
	has(t, string(b), `"mean_low_pa":null,"mean_high_pa":null`)
}
