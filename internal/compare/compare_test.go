package compare_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"draghand/internal/compare"
	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// bars are real ones of a melt, of one rig and calibration, that count. Strengths in ksi.
func bars(melt string, ksi ...float64) []compare.Pull {
	var out []compare.Pull
	for i, v := range ksi {
		id := fmt.Sprintf("%s-%d", melt, i+1)
		out = append(out, compare.Pull{
			Record: "rec-" + id, Dir: "shelf/rec-" + id, Bar: id, Melt: melt, Alloy: "C90500", Kind: pull.Tension,
			Diameter: 12.5 * si.Millimetre, Area: 122.718e-6, Strength: si.Stress(v * si.KSI), U: 0.5 * si.KSI, Expanded: 1 * si.KSI, Common: 0.34 * si.KSI,
			CommonBy: "rig one, cal a", RigName: "one", Calibration: "a", Counts: strength.Counts,
		})
	}
	return out
}

// each changes all of some pulls.
func each(all []compare.Pull, change func(i int, p *compare.Pull)) []compare.Pull {
	for i := range all {
		change(i, &all[i])
	}
	return all
}

// worked are the five of checks.md 7.2, constructed there, ksi.
func worked(melt string) []compare.Pull { return bars(melt, 44.1, 45.3, 43.8, 46.0, 44.9) }

func byMelt() compare.By { return compare.By{Field: compare.ByMelt} }

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %v, want %v ± %v", what, got, want, tol)
	}
}

func has(t *testing.T, text string, want ...string) {
	t.Helper()
	for _, w := range want {
		if !strings.Contains(text, w) {
			t.Errorf("no %q in:\n%s", w, text)
		}
	}
}

func hasNot(t *testing.T, text string, unwanted ...string) {
	t.Helper()
	for _, w := range unwanted {
		if strings.Contains(text, w) {
			t.Errorf("%q in:\n%s", w, text)
		}
	}
}

func words(c *compare.Comparison, sys si.System) string { return strings.Join(c.Lines(sys), "\n") }

// The figures of checks.md 7.2: mean 44.82, SD 0.892748565, B-bound 41.778733, A-bound
// 39.694655, interval 43.711506 to 45.928494. The median by hand. The common part, 0.34
// ksi standard, is made up: 0.68 off.
func TestWorked(t *testing.T) {
	c := compare.Of(worked("M1"), byMelt(), compare.NewOptions())
	if len(c.Groups) != 1 || c.Groups[0].Name != "M1" || len(c.Outside) != 0 || c.Difference != nil || c.Analysis != nil {
		t.Fatalf("%+v", c)
	}
	g := &c.Groups[0]
	for what, pair := range map[string][2]float64{
		"mean": {g.Strength.Mean, 44.82}, "SD": {g.Strength.SD, 0.892748565}, "median": {g.Strength.Median, 44.9},
		"low": {g.Strength.MeanLow, 43.711506}, "high": {g.Strength.MeanHigh, 45.928494},
		"bound": {float64(g.Bound.At), 41.778733}, "common": {float64(g.CountOn.Common), 0.68}, "count on": {float64(g.CountOn.Strength), 41.098733},
	} {
		near(t, what, pair[0]/si.KSI, pair[1], 1e-6)
	}
	near(t, "k", g.Bound.K, 3.406633, 1e-5)
	if g.CountOn.Doubtful != "" || len(g.Notes) != 0 || g.CountOn.Holds != nil || g.Normality != nil {
		t.Errorf("%+v %q", g.CountOn, g.Notes)
	}
	has(t, words(&c, si.US),
		"M1: 5 bars count, mean 44.8 ksi, scatter (SD) 0.89 ksi, 2.0 %, lowest 43.8, highest 46.0, median 44.9 ksi.",
		"The mean lies between 43.7 and 45.9 ksi (95 %).",
		// 41.098733 down to a step of 0.1; the bound down, what is taken off up.
		"Count on 41.0 ksi: as this rig reads, at least 90 % of such bars stand 41.77 ksi or more, with 95 % confidence if their scatter is normal (90/95 bound of 5 bars, k 3.41), and 0.68 ksi is taken off for what the rig itself may be off.",
		"not for a casting of another thickness", "replaces no code and no licensed practice", "No bar lies apart")
	// 41.098733 ksi are 283.366 MPa, the bound 288.054, 0.68 ksi 4.688.
	has(t, words(&c, si.Metric), "Count on 283 MPa", "of such bars stand 288.0 MPa or more", "and 4.7 MPa is taken off")

	o := compare.NewOptions()
	o.Content = 0.99
	c = compare.Of(worked("M1"), byMelt(), o)
	near(t, "A-bound", float64(c.Groups[0].Bound.At)/si.KSI, 39.694655, 1e-6)
}

// The groups of each way to make them, and what is in none.
func TestGroups(t *testing.T) {
	all := slices.Concat(worked("M2"), worked("M10"), bars("M1", 40, 41))
	each(all, func(i int, p *compare.Pull) {
		p.Tags = [][]string{{"wet"}, {"dry"}, {"dry", "wet"}, nil}[i%4]
		p.Marked = []string{"A", "B", ""}[i%3]
		if i == 0 {
			p.Melt, p.Alloy = "", ""
		}
	})
	all = append(all, compare.Unreadable("shelf/bad", fmt.Errorf("pull.json is missing")))
	for by, want := range map[string]string{
		"all":         "all 12 1 0",
		"melt":        "M1 2 0 0|M2 4 0 0|M10 5 0 0|(no melt) 1 0 0|outside 1",
		"alloy":       "C90500 11 0 0|(no alloy) 1 0 0|outside 1",
		"tag":         "dry 3 0 0|dry, wet 3 0 0|wet 3 0 0|(no tag) 3 0 0|outside 1",
		"tag:wet,dry": "dry 3 0 0|wet 3 0 0|outside 7",
		"tag:hot":     "hot 0 0 0|outside 13",
		"marks":       "A 4 0 0|B 4 0 0|outside 5",
	} {
		b, err := compare.ParseBy(by)
		if err != nil {
			t.Fatal(err)
		}
		c := compare.Of(all, b, compare.NewOptions())
		var got []string
		for i := range c.Groups {
			g := &c.Groups[i]
			got = append(got, fmt.Sprintf("%s %d %d %d", g.Name, len(g.Pulls), len(g.Left), len(g.Censored)))
		}
		if n := len(c.Outside); n > 0 {
			got = append(got, fmt.Sprintf("outside %d", n))
		}
		if s := strings.Join(got, "|"); s != want {
			t.Errorf("%s: %s, want %s", by, s, want)
		}
		for i := range c.Outside {
			if c.Outside[i].Out == "" {
				t.Errorf("%s: %s is outside for no reason", by, c.Outside[i].Record)
			}
		}
		has(t, words(&c, si.US), "it cannot be read: pull.json is missing")
	}
}

// A record counts once, however often it is named, and never in two groups.
func TestNamedTwice(t *testing.T) {
	all := append(worked("M1"), worked("M1")[2])
	c := compare.Of(all, byMelt(), compare.NewOptions())
	if g := &c.Groups[0]; len(g.Pulls) != 5 || len(g.Left) != 1 || !strings.Contains(g.Left[0].Out, "named twice") {
		t.Errorf("%+v", g)
	}
	each(all, func(i int, p *compare.Pull) { p.Marked = []string{"A", "B"}[i/5] })
	c = compare.Of(all, compare.By{Field: compare.ByMarked}, compare.NewOptions())
	if len(c.Groups) != 1 || len(c.Groups[0].Pulls) != 4 || len(c.Outside) != 2 || !strings.Contains(c.Outside[0].Out, "more than one group: A and B") {
		t.Errorf("%+v", c)
	}
}

// The order of names is that of people.
func TestOrder(t *testing.T) {
	var all []compare.Pull
	for _, m := range []string{"M10", "M2", "", "M2b", "M02", "m1", "Z", "M1"} {
		all = append(all, bars(m, 40)...)
	}
	c := compare.Of(all, byMelt(), compare.NewOptions())
	var got []string
	for i := range c.Groups {
		got = append(got, c.Groups[i].Name)
	}
	if s := strings.Join(got, " "); s != "M1 M02 M2 M2b M10 Z m1 (no melt)" {
		t.Error(s)
	}
}
