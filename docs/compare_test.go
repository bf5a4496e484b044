package docs_test

import (
	"encoding/json"
	"fmt"
	"slices"
	"strings"
	"testing"

	"draghand/internal/batch"
	"draghand/internal/compare"
	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// The factors of compare.md, by the program's own code; checks.md has them published.
func TestCompareFactors(t *testing.T) {
	for _, row := range table(t, "compare.md", "k") {
		for i, content := range []float64{0.90, 0.99} {
			k, err := batch.ToleranceK(int(number(t, row[0])), content, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			same(t, row[0]+" bars", row[i+1], k)
		}
	}
}

// exampleBars are those of the example of compare.md.
func exampleBars(t *testing.T) []compare.Pull {
	t.Helper()
	var all []compare.Pull
	for _, row := range table(t, "compare.md", "compare example") {
		v := si.Stress(number(t, row[1]) * si.Megapascal)
		p := compare.Pull{
			Record: "2026-11-25-" + row[0], Bar: row[0], Melt: row[0][:2], Alloy: "C90500", Kind: pull.Tension, Diameter: 12.5 * si.Millimetre,
			Area: 122.718e-6, U: 6e6, Common: si.Stress(number(t, row[2]) * si.Megapascal), CommonBy: "the rig", RigName: "example rig",
			Counts: strength.CountsWithRemarks, Simulated: true,
		}
		if row[3] == "" {
			p.Strength = v
		} else {
			p.AtLeast, p.Out, p.Counts = v, "it bore at least so much: no break was seen in these readings", strength.CountsNot
		}
		all = append(all, p)
	}
	return all
}

// The answer in the example is the program's, word for word but for where lines break.
func TestCompareExample(t *testing.T) {
	o := compare.NewOptions()
	o.Minimum = 40 * si.KSI
	c := compare.Of(exampleBars(t), compare.By{Field: compare.ByMelt}, o)
	want := strings.Join(append(append(c.Lines(si.US), c.Dots(si.US, 78)...), "("+c.DotsLegend()+")"), "\n")
	_, rest, _ := strings.Cut(read(t, "compare.md"), "<!-- compare example -->\n```\n")
	got, _, found := strings.Cut(rest, "```\n")
	a, b := strings.Fields(want), strings.Fields(got)
	if !found || !slices.Equal(a, b) {
		for i := range a {
			if i >= len(b) || a[i] != b[i] {
				t.Fatalf("the document parts from the program at %q, the program says %q", b[min(i, len(b)):min(i+9, len(b))], a[i:min(i+9, len(a))])
			}
		}
		t.Fatal("the document says more than the program")
	}
	for _, l := range c.Dots(si.US, 78) {
		if !strings.Contains(got, l+"\n") {
			t.Errorf("the document lacks the line %q", l)
		}
	}
	for l := range strings.Lines(got) {
		if len([]rune(strings.TrimRight(l, "\n"))) > 80 {
			t.Errorf("wider than 80: %q", l)
		}
	}
}

// Every field of the JSON is in the document, and no other.
func TestCompareFields(t *testing.T) {
	documented := map[string]map[string]bool{}
	for _, row := range table(t, "compare.md", "compare json") {
		fields := map[string]bool{}
		for i, f := range strings.Split(row[1], "`") {
			if i%2 == 1 {
				fields[f] = true
			}
		}
		for i, name := range strings.Split(row[0], "`") {
			if i%2 == 1 {
				documented[name] = fields
			}
		}
		if row[0] == "the answer" {
			documented[""] = fields
		}
	}
	met := map[string]map[string]bool{}
	var walk func(at string, v any)
	walk = func(at string, v any) {
		switch v := v.(type) {
		case []any:
			for _, e := range v {
				walk(at, e)
			}
		case map[string]any:
			if met[at] == nil {
				met[at] = map[string]bool{}
			}
			for k, e := range v {
				met[at][k] = true
				walk(k, e)
			}
		}
	}
	// Two groups have a difference, three an analysis; ten bars a normality; one has
	// the fields that are there where there is something.
	two := exampleBars(t)
	for i := range 6 {
		p := two[i]
		p.Record, p.Bar, p.Strength = fmt.Sprint(i), fmt.Sprint(i), p.Strength+si.Stress(1e6*i)
		p.Stock, p.Marked, p.Assumed, p.Because = "drawn A", "A", 0.01, []string{"a remark"}
		two = append(two, p)
	}
	two[0].Out = "left out" // and so one
	three := slices.Clone(two)
	for i := range 3 {
		three[i+2].Melt = "M3"
	}
	none := compare.Unreadable("x", nil) // outside
	for _, all := range [][]compare.Pull{append(two, none), append(three, none)} {
		o := compare.NewOptions()
		o.Chosen.Behind = []compare.Behind{{Record: "y", Bar: "M1-9", Melt: "M1"}}
		c := compare.Of(all, compare.By{Field: compare.ByMelt}, o)
		b, err := json.Marshal(c.JSON())
		if err != nil {
			t.Fatal(err)
		}
		var v any
		if err := json.Unmarshal(b, &v); err != nil {
			t.Fatal(err)
		}
		walk("", v)
	}
	for at, fields := range documented {
		if len(met[at]) == 0 {
			t.Errorf("nothing is seen of %q", at)
		}
		for f := range fields {
			if at != "outside" && at != "left" && at != "censored" && !met[at][f] {
				t.Errorf("%s of %q is documented and is not there", f, at)
			}
		}
	}
	for at, fields := range met {
		for f := range fields {
			if !documented[at][f] {
				t.Errorf("%s of %q is not documented", f, at)
			}
		}
	}
}
