package compare_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// How bars were picked stands in the answer; what was left behind is told with the
// group whose melt it is of, and picking by the result makes the bound doubtful.
func TestChosen(t *testing.T) {
	behind := []compare.Behind{{Record: "r9", Bar: "M1-9", Melt: "M1"}, {Record: "r10", Bar: "M1-10", Melt: "M1"}, {Record: "r7", Bar: "", Melt: "m1"}, {Record: "x", Bar: "M2-1", Melt: "M2"}, {Record: "y", Bar: "Y", Melt: ""}}
	many := append(slices.Clone(behind), compare.Behind{Record: "r11", Bar: "M1-11", Melt: "M1"}, compare.Behind{Record: "r12", Bar: "M1-12", Melt: "M1"})
	for name, row := range map[string]struct {
		chosen   compare.Chosen
		says     []string
		not      []string
		doubtful string
	}{
		"nobody says":     {compare.Chosen{}, nil, []string{"Compared:", "CAUTION"}, ""},
		"the whole shelf": {compare.Chosen{How: "the whole shelf"}, []string{"Compared: the whole shelf."}, []string{"CAUTION", "not taken"}, ""},
		"left behind": {
			compare.Chosen{How: "named: M1-1", Behind: behind},
			[]string{"CAUTION: 3 more pulls of this melt that could be read were not taken: M1-9, M1-10 and r7; to leave a bar out needs a reason in the bar, never in its figure."},
			[]string{"M2-1"},
			"pulls of this melt that count were not taken",
		},
		"many left behind": {compare.Chosen{Behind: many}, []string{"5 more pulls of this melt that could be read were not taken: M1-9, M1-10, M1-11 and 2 more;"}, []string{"M1-12"}, "pulls of this melt that count were not taken"},
		"one left behind":  {compare.Chosen{Behind: behind[:1]}, []string{"1 more pull of this melt that could be read was not taken: M1-9;", "Count on 41.0 ksi, with caution: "}, nil, "a pull of this melt that counts was not taken"},
		"with a blank":     {compare.Chosen{Behind: []compare.Behind{{Record: "r5", Bar: "M 1-5", Melt: "M 1"}}}, []string{"1 more pull of this melt that could be read was not taken: M 1-5;"}, nil, "a pull of this melt that counts was not taken"},
		"another melt's":   {compare.Chosen{Behind: behind[3:]}, nil, []string{"CAUTION", "not taken"}, ""},
		"by the result": {
			compare.Chosen{How: `of the shelf, by the filter strength>43ksi`, ByResult: "strength>43ksi"},
			[]string{"CAUTION: bars were chosen by what came out (strength>43ksi): the bound holds for no melt.", "41.0 ksi comes out and should not be trusted, since bars were chosen by what came out: as this rig reads", "It holds for no melt, since the bars were chosen by what came out"},
			[]string{"It holds for bars"},
			"bars were chosen by what came out",
		},
	} {
		o := compare.NewOptions()
		o.Chosen = row.chosen
		c := compare.Of(worked("M1"), byMelt(), o)
		text := words(&c, si.US)
		has(t, text, row.says...)
		hasNot(t, text, row.not...)
		if k := c.Groups[0].CountOn; k == nil || k.Doubtful != row.doubtful {
			t.Errorf("%s: %+v", name, k)
		}
		if got := c.Options.Chosen.Line(); got != "" && !strings.HasPrefix(text, got) {
			t.Errorf("%s: %q is not first", name, got)
		}
		row.chosen.Behind = slices.Clone(row.chosen.Behind)
		slices.Reverse(row.chosen.Behind)
		o.Chosen = row.chosen
		if again := compare.Of(worked("M1"), byMelt(), o); words(&again, si.US) != text {
			t.Errorf("%s hangs on the order", name)
		}
	}
	o := compare.NewOptions()
	o.Chosen = compare.Chosen{How: "named: M1", ByResult: "counts:yes", Behind: behind[:1]}
	c := compare.Of(worked("M1"), byMelt(), o)
	b, err := json.Marshal(c.JSON())
	if err != nil {
		t.Fatal(err)
	}
	has(t, string(b), `"chosen":{"how":"named: M1","by_result":"counts:yes","not_taken":[{"record":"r9","bar":"M1-9","melt":"M1"}],"unreadable":[]}`)
	c = compare.Of(worked("M1"), byMelt(), compare.NewOptions())
	if b, err = json.Marshal(c.JSON()); err != nil {
		t.Fatal(err)
	}
	has(t, string(b), `"chosen":{"how":null,"by_result":null,"not_taken":[],"unreadable":[]}`)
}

// A simulated pull is not missing among real ones: the answer itself says to leave it
// out. Nor is a real one among simulated ones.
func TestNotTakenOfAnotherKind(t *testing.T) {
	behind := []compare.Behind{{Record: "s", Bar: "M1-8", Melt: "M1", Simulated: true}, {Record: "r", Bar: "M1-9", Melt: "M1"}}
	for _, row := range map[string]struct {
		simulated int // bars of five
		says      string
		not       string
	}{
		"real ones": {0, "1 more pull of this melt that could be read was not taken: M1-9;", "M1-8"},
		"simulated": {5, "1 more pull of this melt that could be read was not taken: M1-8;", "M1-9"},
		"both":      {2, "2 more pulls of this melt that could be read were not taken: M1-8 and M1-9;", ""},
	} {
		o := compare.NewOptions()
		o.Chosen.Behind = behind
		all := each(worked("M1"), func(i int, p *compare.Pull) { p.Simulated = i < row.simulated })
		c := compare.Of(all, byMelt(), o)
		has(t, words(&c, si.US), row.says)
		if row.not != "" {
			hasNot(t, words(&c, si.US), row.not)
		}
	}
}

// A minimum that bars lie under is not shown where there is no strength to count on.
func TestMinimumNotShown(t *testing.T) {
	o := compare.NewOptions()
	o.Minimum = 41 * si.KSI
	c := compare.Of(bars("M1", 40, 40.5), byMelt(), o)
	has(t, words(&c, si.US), "Minimum 41.0 ksi: NOT SHOWN, without a strength to count on: 2 of 2 bars are under it.")
	o.Minimum = 39 * si.KSI
	c = compare.Of(bars("M1", 40, 40.5), byMelt(), o)
	has(t, words(&c, si.US), "Minimum 39.0 ksi: cannot be told without a strength to count on; none of the 2 bars is under it.")
}
