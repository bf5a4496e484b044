package compare_test

import (
	"encoding/json"
	"strings"
	"testing"

	"draghand/internal/compare"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// A minimum that is just what may be counted on is held, by no more than dust of it is
// not, and a bar that is just the minimum is not under it.
func TestJustTheMinimum(t *testing.T) {
	o := compare.NewOptions()
	o.Minimum = 44 * si.KSI
	c := compare.Of(bars("M1", 44, 44, 44, 46, 46), byMelt(), o)
	has(t, words(&c, si.US), "NOT SHOWN TO HOLD: the strength to count on is under it; none of the 5 bars is under it.")
	c = compare.Of(bars("M1", 44), byMelt(), o)
	has(t, words(&c, si.US), "the one bar is not under it.")
	for minimum, holds := range map[si.Stress]bool{41 * si.KSI: true, 41.00001 * si.KSI: false} { // 41.0987, shown as 41.0
		o.Minimum = minimum
		c := compare.Of(worked("M1"), byMelt(), o)
		if k := c.Groups[0].CountOn; k.Holds == nil || *k.Holds != holds {
			t.Errorf("%v: %+v", minimum, k)
		}
	}
}

// What bore at least so much is in no bound, and what its rig may be off is not taken
// off it.
func TestCommonOfCensored(t *testing.T) {
	let := bars("M1", 50)[0]
	let.Record, let.Dir, let.Strength, let.AtLeast, let.Out, let.Common = "let", "shelf/let", 0, 50*si.KSI, "it bore at least so much: let off", 3*si.KSI
	c := compare.Of(append(worked("M1"), let), byMelt(), compare.NewOptions())
	near(t, "off", float64(c.Groups[0].CountOn.Common)/si.KSI, 0.68, 1e-9)
}

// A scatter of a fiftieth of a percent is one: 44 ksi ± 0.009.
func TestLittleScatterIsScatter(t *testing.T) {
	c := compare.Of(bars("M1", 44, 44.001, 44.002, 43.999, 43.998), byMelt(), compare.NewOptions())
	if g := &c.Groups[0]; g.Alike || g.Bound == nil {
		t.Errorf("%+v", g)
	}
}

// Chances by hand: p of Welch, in words.
func TestChanceInWords(t *testing.T) {
	for _, row := range []struct {
		less float64
		want string
	}{
		// SE 0.5646238, 8 degrees: t 1 has p 0.3466 (tables: 0.347), t 1.8595 p 0.1000.
		{0.5646238, "by chance in 35 of 100 comparisons (Welch: t -1.00 of 8.00 degrees of freedom, p 0.35)"},
		{1.859548 * 0.5646238, "by chance in 10 of 100 comparisons"},
		{2.306004 * 0.5646238, "by chance in 1 of 20 comparisons"},
		{3.355387 * 0.5646238, "by chance in 1 of 100 comparisons"},
		{0, "by chance more often than not"},
		{20, "by chance in fewer than 1 of 10,000 comparisons"},
	} {
		c := compare.Of(two(row.less, nil), byMelt(), compare.NewOptions())
		has(t, words(&c, si.US), row.want)
	}
}

// What is taken off is shown rounded up: 0.3251 ksi twice is 0.6502, shown 0.66. And
// what is shown can be followed: bound less that is no less than the strength shown.
func TestShownFiguresFollow(t *testing.T) {
	c := compare.Of(each(worked("M1"), func(_ int, p *compare.Pull) { p.Common = 0.3251 * si.KSI }), byMelt(), compare.NewOptions())
	has(t, words(&c, si.US), "and 0.66 ksi is taken off")
	// 42.7 MPa more of them all: bound 330.754, 12.75 off: 318.004; 330.7 − 12.8 would be
	// 317.9, under the 318 that may be counted on, so both get a decimal more.
	of := each(worked("M1"), func(_ int, p *compare.Pull) {
		p.Strength += 42.7 * si.Megapascal
		p.Common = 6.375 * si.Megapascal
	})
	c = compare.Of(of, byMelt(), compare.NewOptions())
	has(t, words(&c, si.Metric), "Count on 318 MPa", "stand 330.75 MPa or more", "and 12.75 MPa is taken off")
	for i := range 3000 {
		of := each(worked("M1"), func(_ int, p *compare.Pull) {
			p.Strength += si.Stress(i) * 37e3
			p.Common = 2*si.Megapascal + si.Stress(i)*1.7e3
		})
		c := compare.Of(of, byMelt(), compare.NewOptions())
		k := c.Groups[0].CountOn
		for _, sys := range []si.System{si.US, si.Metric} {
			first := func(text string) float64 {
				v, err := json.Number(strings.Fields(text)[0]).Float64()
				if err != nil {
					t.Fatal(err)
				}
				return v
			}
			if rest := first(k.BoundText(sys)) - first(k.CommonText(sys)); rest < first(k.Text(sys))-1e-9 {
				t.Fatalf("%s less %s is under %s", k.BoundText(sys), k.CommonText(sys), k.Text(sys))
			}
		}
	}
}

// Where some of the common parts are not known, what is taken off stands in the JSON;
// where all are, null does.
func TestUnknownCommonInJSON(t *testing.T) {
	for unknown, want := range map[int]string{0: `"common_expanded_pa":4688434`, 2: `"common_expanded_pa":4688434`, 5: `"common_expanded_pa":null`} {
		all := each(worked("M1"), func(i int, p *compare.Pull) {
			if i < unknown {
				p.U, p.Common = 0, 0
			}
		})
		c := compare.Of(all, byMelt(), compare.NewOptions())
		js, err := json.Marshal(c.JSON())
		if err != nil {
			t.Fatal(err)
		}
		has(t, string(js), want)
	}
}

// More bars are advised where k eats the bound, a calibration where the rig does: SD 1,
// k·SD is 3.4, and 20 ksi of 22 may be off.
func TestWhatWouldHelp(t *testing.T) {
	c := compare.Of(each(bars("M1", 21, 21.5, 22, 22.5, 23), func(_ int, p *compare.Pull) { p.Common = 11 * si.KSI }), byMelt(), compare.NewOptions())
	text := words(&c, si.US)
	has(t, text, "There is no strength to count on yet: as this rig reads, ", "More bars do not help, since that is the larger part: calibrate the rig.")
	hasNot(t, text, "Pull more bars", "It holds for bars")
}

// Remarks are told in whole sentences.
func TestRemarksInWords(t *testing.T) {
	for n, want := range map[int]string{1: "CAUTION: the bar counts with remarks", 5: "CAUTION: all 5 bars count with remarks"} {
		all := each(worked("M1")[:n], func(_ int, p *compare.Pull) { p.Counts = strength.CountsWithRemarks })
		c := compare.Of(all, byMelt(), compare.NewOptions())
		has(t, words(&c, si.US), want)
	}
}
