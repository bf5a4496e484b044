package compare_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"draghand/internal/batch"
	"draghand/internal/compare"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// What speaks against the figures of a group is said: in the notes, and with the
// strength to count on.
func TestCautions(t *testing.T) {
	one := func(i int, change func(p *compare.Pull)) []compare.Pull {
		all := worked("M1")
		change(&all[i])
		return all
	}
	grave := map[string]bool{ // the others leave what the bound rests on as it is
		"the alloys differ": true, "the sections differ": true, "its melts differ": true, "one bar lies apart": true, "the scatter is not normal": true,
		"what the rig may be off is not known of 1 of them": true, "more than one record is of the bar M1-1": true,
	}
	for name, row := range map[string]struct {
		pulls    []compare.Pull
		note     string // empty: none at all
		doubtful string
	}{
		"sound":            {worked("M1"), "", ""},
		"simulated mixed":  {one(2, func(p *compare.Pull) { p.Simulated = true }), "simulated and real bars are mixed: 1 of 5 are simulated", "simulated and real bars are mixed"},
		"all simulated":    {each(worked("M1"), func(_ int, p *compare.Pull) { p.Simulated = true }), "", ""},
		"alloys":           {one(2, func(p *compare.Pull) { p.Alloy = "C95400" }), "different alloys in one group: C90500 and C95400", "the alloys differ"},
		"an alloy missing": {one(2, func(p *compare.Pull) { p.Alloy = "" }), "no alloy is stated of 1 of 5 bars", ""},
		"sections":         {one(0, func(p *compare.Pull) { p.Area *= 1.11 }), "the sections differ by more than 10 %", "the sections differ"},
		"like sections":    {one(0, func(p *compare.Pull) { p.Area *= 1.09 }), "", ""},
		"rigs":             {one(0, func(p *compare.Pull) { p.RigName, p.CommonBy = "two", "rig two" }), "pulled on different rigs: one and two", "not all of one rig and calibration"},
		"calibrations":     {one(0, func(p *compare.Pull) { p.CommonBy = "rig one, cal b" }), "the rig was not the same for all bars", "not all of one rig and calibration"},
		"four bars":        {worked("M1")[:4], "fewer than 5 bars", "only 4 bars"},
		"no uncertainty":   {one(4, func(p *compare.Pull) { p.U, p.Common = 0, 0 }), "what the rig itself may be off is not known of 1 of 5 bars", "what the rig may be off is not known of 1 of them"},
		"break not seen":   {one(4, func(p *compare.Pull) { p.Counts = "" }), "nobody looked at the break of 1 of 5 bars yet: draghand finish", "nobody looked at the break of 1 of them"},
		"with remarks":     {one(4, func(p *compare.Pull) { p.Counts = strength.CountsWithRemarks }), "1 of 5 bars counts with remarks", ""},
		"which remarks": {each(worked("M1"), func(i int, p *compare.Pull) {
			p.Counts, p.Because = strength.CountsWithRemarks, [][]string{{"no zero was taken", "b"}, {"no zero was taken"}, {"a", "no zero was taken"}, {"a", "c"}, {"c"}}[i]
		}), "all 5 bars count with remarks: no zero was taken (3), a (2), and 2 more; draghand results has them", ""},
		"by eye":            {one(4, func(p *compare.Pull) { p.ByEye = true }), "1 of 5 bars: the peak was read off a dial by eye", ""},
		"imported":          {one(4, func(p *compare.Pull) { p.Imported = true }), "1 of 5 bars: the readings are an imported table", ""},
		"assumed":           {one(4, func(p *compare.Pull) { p.Assumed = 0.01 }), "the accuracy of the machine is assumed of 1 of 5 bars (1 % of the reading): nobody knows how far that machine is off", "how far the machine is off is assumed"},
		"a check bar":       {one(4, func(p *compare.Pull) { p.Stock = "drawn A" }), "check bars of bought stock are among them: 1 of 5", ""},
		"one label twice":   {one(4, func(p *compare.Pull) { p.Bar = "M1-1" }), "more than one record is of the bar M1-1", "more than one record is of the bar M1-1"},
		"one bar":           {worked("M1")[:1], "one bar is no batch", ""},
		"a low bar":         {bars("M1", 44.1, 45.3, 43.8, 46.0, 44.9, 20), "M1-6 lies apart from the others: look at the bar", "one bar lies apart"},
		"skewed":            {bars("M1", 40, 40.1, 40.2, 40.3, 40.4, 40.5, 44, 48, 60, 90), "the scatter does not look normal", "the scatter is not normal"},
		"melts that differ": {each(append(worked("M1"), bars("M2", 35, 35.4, 35.8)...), func(_ int, p *compare.Pull) { p.Tags = []string{"wet"} }), "the melts in this group differ (M1 and M2;", "its melts differ"},
		"melts alike":       {append(worked("M1"), bars("M2", 44.2, 45.1, 45.6)...), "", ""},
	} {
		c := compare.Of(row.pulls, compare.By{Field: compare.ByAll}, compare.NewOptions())
		g := &c.Groups[0]
		if n := len(g.Pulls) + len(g.Censored) + len(g.Left); n != len(row.pulls) {
			t.Errorf("%s: %d of %d pulls", name, n, len(row.pulls))
		}
		if row.note == "" && len(g.Notes) > 0 || row.note != "" && !slices.ContainsFunc(g.Notes, func(n string) bool { return strings.Contains(n, row.note) }) {
			t.Errorf("%s: notes %q, want %q", name, g.Notes, row.note)
		}
		if k := g.CountOn; k != nil && (row.doubtful == "" && k.Doubtful != "" || !strings.Contains(k.Doubtful, row.doubtful)) {
			t.Errorf("%s: doubtful %q, want %q", name, k.Doubtful, row.doubtful)
		}
		if k := g.CountOn; k != nil && k.Doubtful != "" && !k.Nothing(si.US) {
			says := ", with caution: "
			if grave[row.doubtful] {
				says = " comes out and should not be trusted, since " + row.doubtful
			}
			has(t, words(&c, si.US), says, "CAUTION")
			if trusted := k.Grade() != compare.NotTrusted; trusted == grave[row.doubtful] {
				t.Errorf("%s: %s", name, k.Grade())
			}
		}
	}
}

// Of bars all simulated that is said with the group, of some with how many.
func TestSimulatedIsSaid(t *testing.T) {
	all := each(worked("M1"), func(_ int, p *compare.Pull) { p.Simulated = true })
	c := compare.Of(all, byMelt(), compare.NewOptions())
	has(t, words(&c, si.US), "M1 (simulated): 5 bars count")
	all[0].Simulated = false
	c = compare.Of(all, byMelt(), compare.NewOptions())
	has(t, words(&c, si.US), "M1 (4 of 5 simulated): 5 bars count")
}

// A bar that did not break is in neither mean nor bound, and Weibull takes it. With
// five failures and one of at least 50 ksi the scale has to rise and no unbiased
// modulus be given.
func TestCensored(t *testing.T) {
	let := bars("M1", 50)[0]
	let.Record, let.Dir, let.Strength, let.AtLeast, let.Out, let.Counts = "let", "shelf/let", 0, 50*si.KSI, "it bore at least so much: no break was seen in these readings", strength.CountsNot
	plain := compare.Of(worked("M1"), byMelt(), compare.NewOptions())
	c := compare.Of(append(worked("M1"), let), byMelt(), compare.NewOptions())
	g, p := &c.Groups[0], &plain.Groups[0]
	if len(g.Pulls) != 5 || len(g.Censored) != 1 || !g.Censored[0].Censored() || g.Strength != p.Strength || *g.Bound != *p.Bound {
		t.Errorf("%+v", g)
	}
	if g.Weibull == nil || g.Weibull.N != 6 || g.Weibull.Failures != 5 || !math.IsNaN(g.Weibull.Unbiased) || !(g.Weibull.Scale > p.Weibull.Scale) || math.IsNaN(p.Weibull.Unbiased) {
		t.Errorf("%+v, without it %+v", g.Weibull, p.Weibull)
	}
	has(t, words(&c, si.US), "  M1-1 (let): at least 50.0 ksi: no break was seen", "of 5 bars and 1 more that bore at least so much")
	dots := strings.Join(c.Dots(si.US, 60), "\n")
	has(t, dots, ">")
}

// None, one, two, alike: what there is then, and never a promise.
func TestFew(t *testing.T) {
	of := func(ksi ...float64) *compare.Group {
		c := compare.Of(bars("M1", ksi...), compare.By{Field: compare.ByAll}, compare.NewOptions())
		t.Logf("%v: %s", ksi, words(&c, si.US))
		return &c.Groups[0]
	}
	if g := of(); g.Bound != nil || g.CountOn != nil || g.Weibull != nil || len(g.Notes) != 0 {
		t.Errorf("none: %+v", g)
	}
	if g := of(44); g.Bound != nil || g.CountOn != nil || g.Outlier != nil || g.Strength.Mean != 44*si.KSI {
		t.Errorf("one: %+v", g)
	}
	// By checks.md 7.2 k of two is 20.581468: 45 − 20.581468·√2 = 15.893 ksi.
	g := of(44, 46)
	near(t, "bound of two", float64(g.Bound.At)/si.KSI, 45-20.581468*math.Sqrt2, 1e-4)
	if g.Outlier != nil || g.CountOn != nil || g.Refused == "" {
		t.Errorf("two: %+v", g)
	}
	// Dust between units is no scatter.
	dusty := bars("M1", 44, 44, 44, 44, 44)
	dusty[2].Strength = si.Stress(math.Nextafter(float64(dusty[2].Strength), math.Inf(1)))
	dust := compare.Of(dusty, compare.By{Field: compare.ByAll}, compare.NewOptions())
	if !(dust.Groups[0].Strength.SD > 0) {
		t.Error("no dust to test with")
	}
	for _, g := range []*compare.Group{of(44, 44, 44, 44, 44), &dust.Groups[0]} {
		if g.Bound != nil || g.CountOn != nil || !g.Alike || g.Outlier != nil {
			t.Errorf("alike: %+v", g)
		}
		if !strings.Contains(strings.Join(g.Notes, "\n"), "all 5 bars read alike") {
			t.Errorf("alike: %q", g.Notes)
		}
	}
}

// A bound below nothing, or below what is taken off, is nothing to count on, and it is
// said what more bars would do: k of 5 is 3.41, of 10 is 2.35 (checks.md 7.2).
func TestNothingToCountOn(t *testing.T) {
	for name, row := range map[string]struct {
		ksi  []float64
		want string
	}{
		"below nothing":   {[]float64{30, 40, 50}, "the scatter of 3 bars is too large for so few: the 90/95 bound lies below zero. Pull more bars: of 5 the factor k is 3.41 and not 6.16, which would give about 5.3 ksi"},
		"hopeless":        {[]float64{5, 40, 80, 3, 70}, "Pull more bars: of 10 the factor k is 2.35 and not 3.41."},
		"under the doubt": {[]float64{34, 40, 46}, "at least 90 % of such bars stand 1.06 ksi or more, with 95 % confidence if their scatter is normal (90/95 bound of 3 bars, k 6.16), and 4.00 ksi is taken off"}, // 38 − 6.155·6 = 1.07
	} {
		o := compare.NewOptions()
		pulls := bars("M1", row.ksi...)
		if name == "under the doubt" {
			each(pulls, func(_ int, p *compare.Pull) { p.Common = 2 * si.KSI; p.Strength -= 2 * si.KSI })
		}
		c := compare.Of(pulls, byMelt(), o)
		g := &c.Groups[0]
		if !g.CountOn.Nothing(si.US) || g.CountOn.Text(si.US) != "none" {
			t.Errorf("%s: %+v", name, g.CountOn)
		}
		text := words(&c, si.US)
		has(t, text, "There is no strength to count on yet: ", row.want)
		hasNot(t, text, "Count on ")
	}
}

// A minimum is held by the strength to count on, 41.0987 ksi, never by the mean; and it
// cannot be told where what the rig may be off is not known.
func TestMinimum(t *testing.T) {
	for _, row := range []struct {
		ksi     float64
		unknown int
		holds   string
		want    string
	}{
		{41.0, 0, "yes", "Minimum 41.0 ksi: the strength to count on holds it; none of the 5 bars is under it."},
		{41.25, 0, "no", "Minimum 41.25 ksi: NOT SHOWN TO HOLD: the strength to count on is under it; none of the 5 bars is under it."},
		{44.5, 0, "no", "DOES NOT HOLD: the strength to count on is under it; 2 of 5 bars are under it."},
		{41.0, 2, "", "cannot be told, since what the rig itself may be off is not known"},
		{42.0, 5, "no", "NOT SHOWN TO HOLD"}, // the bound itself is under it
	} {
		o := compare.NewOptions()
		o.Minimum = si.Stress(row.ksi * si.KSI)
		pulls := each(worked("M1"), func(i int, p *compare.Pull) {
			if i < row.unknown {
				p.U, p.Common = 0, 0
			}
		})
		c := compare.Of(pulls, byMelt(), o)
		got := ""
		if h := c.Groups[0].CountOn.Holds; h != nil {
			got = map[bool]string{true: "yes", false: "no"}[*h]
		}
		if got != row.holds {
			t.Errorf("%v with %d unknown: %q", row.ksi, row.unknown, got)
		}
		has(t, words(&c, si.US), row.want)
	}
	o := compare.NewOptions()
	o.Minimum = 40 * si.KSI
	c := compare.Of(bars("M1", 44), byMelt(), o)
	has(t, words(&c, si.US), "cannot be told without a strength to count on; the one bar is not under it")
}

// Where nothing is known of the common part, nothing is taken off, and that is said.
func TestCommonUnknown(t *testing.T) {
	c := compare.Of(each(worked("M1"), func(_ int, p *compare.Pull) { p.U, p.Common = 0, 0 }), byMelt(), compare.NewOptions())
	k := c.Groups[0].CountOn
	if k.Common != 0 || k.Unknown != 5 || k.Strength != k.Bound.At {
		t.Errorf("%+v", k)
	}
	has(t, words(&c, si.US), "41.7 ksi comes out and should not be trusted, since what the rig may be off is not known of ", "NOTHING is taken off for what the rig itself may be off, since that is not known")
	// The largest of those that are known is taken off.
	c = compare.Of(each(worked("M1"), func(i int, p *compare.Pull) { p.Common = si.Stress(0.1*float64(i)) * si.KSI; p.U = p.Common }), byMelt(), compare.NewOptions())
	k = c.Groups[0].CountOn
	near(t, "common", float64(k.Common)/si.KSI, 0.8, 1e-9)
	if k.Unknown != 1 {
		t.Errorf("%+v", k)
	}
}

// Grubbs on the side and at the level that is asked for: NIST/SEMATECH e-Handbook
// 1.3.5.17.1 as in checks.md 8, G 2.468764611 of the last; nothing is dropped.
func TestOutlierSides(t *testing.T) {
	x := []float64{199.31, 199.53, 200.19, 200.82, 201.92, 201.95, 202.18, 245.57}
	for side, want := range map[batch.Side]struct {
		bar      string
		g        float64
		critical float64
		flagged  bool
	}{
		batch.High:   {"M1-8", 2.468764611, 2.031652, true},
		batch.Either: {"M1-8", 2.468764611, 2.126645, true},
		batch.Low:    {"M1-1", 0.449375244, 2.031652, false},
	} {
		o := compare.NewOptions()
		o.Side = side
		c := compare.Of(bars("M1", x...), byMelt(), o)
		g := &c.Groups[0]
		near(t, "G", g.Outlier.G, want.g, 1e-8)
		near(t, "critical", g.Outlier.Critical, want.critical, 1e-5)
		if g.Outlier.Flagged != want.flagged || g.Pulls[g.Outlier.Index].Bar != want.bar || len(g.Pulls) != 8 {
			t.Errorf("%s: %+v", side, g.Outlier)
		}
		if want.flagged {
			has(t, words(&c, si.US), "ONE BAR APART: M1-8, 245.6 ksi", "limit "+map[batch.Side]string{batch.High: "2.032", batch.Either: "2.127"}[side], "nothing was dropped")
		}
	}
}

// Where the scatter is too large for a bound and one bar lies apart, the look at that bar
// comes before the advice to pull more.
func TestLookFirst(t *testing.T) {
	all := bars("M1", 44, 44.1, 44.05, 43.95, 3)
	all[4].Seen = []string{"porous"}
	c := compare.Of(all, byMelt(), compare.NewOptions())
	has(t, words(&c, si.US), "There is no strength to count on yet: ", ". Look first at M1-5, which lies apart, of whose break its record says porous; then pull more bars: of 10 ")
	c = compare.Of(bars("M1", 30, 44, 50), byMelt(), compare.NewOptions())
	has(t, words(&c, si.US), ". Pull more bars: of 5 ")
}

// Of three bars nearly any two that are alike flag the third: that is said, and the grade
// is that of so few bars. Four can tell.
func TestThreeBarsAreNotGravelyApart(t *testing.T) {
	for name, row := range map[string]struct {
		ksi   []float64
		grade string
		says  bool
	}{
		"three, two alike": {[]float64{43.5, 44, 44}, compare.WithCaution, true},
		"four":             {[]float64{40.5, 44, 44.01, 44.02}, compare.NotTrusted, false},
	} {
		c := compare.Of(bars("M1", row.ksi...), byMelt(), compare.NewOptions())
		g := &c.Groups[0]
		if !g.Outlier.Flagged || g.CountOn.Grade() != row.grade {
			t.Errorf("%s: %q, %+v", name, g.CountOn.Grade(), g.Outlier)
		}
		has(t, words(&c, si.US), "CAUTION, ONE BAR APART")
		const hardly = "Three bars can hardly tell: nearly any two that are alike flag the third."
		if text := words(&c, si.US); row.says {
			has(t, text, hardly)
		} else {
			hasNot(t, text, hardly)
		}
	}
}
