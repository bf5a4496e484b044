package compare_test

import (
	"testing"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// A minimum that stands in all records is offered where none was given.
func TestOffersMinimum(t *testing.T) {
	for name, row := range map[string]struct {
		given, first, others si.Stress
		want                 string // empty: nothing is offered
	}{
		"in all":     {0, 40, 40, "Minimum: none given; 40.0 ksi stands in the records of all 5 bars that count: --minimum \"40.0 ksi\" takes it."},
		"in none":    {0, 0, 0, ""},
		"not in all": {0, 0, 40, "Minimum: none given; 40.0 ksi stands in the records of 4 of 5 bars that count: --minimum \"40.0 ksi\" takes it."},
		"two":        {0, 38, 40, ""},
		"given":      {38, 40, 40, ""},
	} {
		o := compare.NewOptions()
		o.Minimum = row.given * si.KSI
		c := compare.Of(each(worked("M1"), func(i int, p *compare.Pull) {
			if p.Minimum = row.others * si.KSI; i == 0 {
				p.Minimum = row.first * si.KSI
			}
		}), byMelt(), o)
		if row.want != "" {
			has(t, name+": "+words(&c, si.US), row.want)
			continue
		}
		hasNot(t, name+": "+words(&c, si.US), "none given")
	}
}

// What is offered is never below what is stated: 276 MPa are 40.0304 ksi, which no three
// decimals are, so it is offered in MPa; a figure that is exact in neither is rounded up.
func TestOfferIsNotBelowWhatIsStated(t *testing.T) {
	for stated, want := range map[si.Stress]string{
		276 * si.Megapascal:      "276 MPa",
		276.5 * si.Megapascal:    "276.5 MPa",
		40 * si.KSI:              "40.0 ksi",
		38.125 * si.KSI:          "38.125 ksi",
		276.0301 * si.Megapascal: "40.035 ksi", // 40.034782
		1e6 / 3.0:                "0.049 ksi",  // 0.048347
	} {
		for _, sys := range []si.System{si.US, si.Metric} {
			got := compare.OfferedText(stated, sys)
			v, err := si.ParseStress(got)
			if err != nil || float64(v) < float64(stated)*(1-1e-12) || float64(v) > float64(stated)+float64(0.001*si.KSI) {
				t.Errorf("%v: %q is %v, %v", stated, got, v, err)
			}
			if sys == si.US && got != want {
				t.Errorf("%v: %q, want %q", stated, got, want)
			}
		}
	}
	o := compare.NewOptions()
	c := compare.Of(each(worked("M1"), func(_ int, p *compare.Pull) { p.Minimum = 276 * si.Megapascal }), byMelt(), o)
	has(t, words(&c, si.US), "Minimum: none given; 276 MPa stands in the records of all 5 bars that count: --minimum \"276 MPa\" takes it.")
}

// What the record says of the break of a bar that lies apart stands beside it.
func TestApartWithWhatItsRecordSays(t *testing.T) {
	all := bars("M1", 44.1, 45.3, 43.8, 46.0, 44.9, 20)
	all[5].Seen = []string{"porous", "flat"}
	c := compare.Of(all, byMelt(), compare.NewOptions())
	has(t, words(&c, si.US), "Its record says of the break porous and flat, look at the bar; nothing was dropped.")
	has(t, c.Groups[0].Notes[0], "M1-6 lies apart from the others: its record says of the break porous and flat, look at the bar")
}

// Grubbs' G of three bars comes near its limit, 1.1543 at 5 %: they are told apart.
func TestApartTexts(t *testing.T) {
	c := compare.Of(bars("M1", 44, 44.01, 30), byMelt(), compare.NewOptions())
	o := c.Groups[0].Outlier
	if at, limit := compare.ApartTexts(o, 2); at == limit || !o.Flagged {
		t.Errorf("%s against %s", at, limit)
	}
	if at, limit := compare.ApartTexts(c.Groups[0].Outlier, 3); at != "1.155" || limit != "1.154" {
		t.Errorf("%s against %s", at, limit)
	}
}

// Of bars whose machine nobody told none is spoken of as a rig, and why there is no
// unbiased modulus is said.
func TestWordsOfThreeImported(t *testing.T) {
	c := compare.Of(each(bars("M1", 43.2, 43.5, 44.1), func(_ int, p *compare.Pull) { p.Assumed, p.RigName = 0.01, "" }), byMelt(), compare.NewOptions())
	has(t, words(&c, si.US), "as that machine reads", "what that machine itself may be off", "(no unbiased one: that takes 4 bars)")
	hasNot(t, words(&c, si.US), "this rig")
}

// A group of all bars is called by their melt where it is one, as it is by melt.
func TestAllOfOneMelt(t *testing.T) {
	by := compare.By{Field: compare.ByAll}
	c := compare.Of(worked("M1"), by, compare.NewOptions())
	if name := c.Groups[0].Name; name != "M1" {
		t.Error(name)
	}
	c = compare.Of(append(worked("M1"), worked("M2")...), by, compare.NewOptions())
	if name := c.Groups[0].Name; name != "all" {
		t.Error(name)
	}
	c = compare.Of(each(worked("M1"), func(_ int, p *compare.Pull) { p.Melt = "" }), by, compare.NewOptions())
	if name := c.Groups[0].Name; name != "all" {
		t.Error(name)
	}
}
