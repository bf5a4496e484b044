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
	behind := []compare.Behind{{"r9", "M1-9", "M1"}, {"r10", "M1-10", "M1"}, {"r7", "", "m1"}, {"x", "M2-1", "M2"}, {"y", "Y", ""}}
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
		"another melt's":   {compare.Chosen{Behind: behind[3:]}, nil, []string{"CAUTION", "not taken"}, ""},
		"by the result": {
			compare.Chosen{How: `of the shelf, by the filter strength>43ksi`, ByResult: "strength>43ksi"},
			[]string{"CAUTION: bars were chosen by what came out (strength>43ksi): the bound holds for no melt.", "Count on 41.0 ksi, with caution: "},
			nil, "bars were chosen by what came out",
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
	has(t, string(b), `"chosen":{"how":"named: M1","by_result":"counts:yes","not_taken":[{"record":"r9","bar":"M1-9","melt":"M1"}]}`)
	c = compare.Of(worked("M1"), byMelt(), compare.NewOptions())
	if b, err = json.Marshal(c.JSON()); err != nil {
		t.Fatal(err)
	}
	has(t, string(b), `"chosen":{"how":null,"by_result":null,"not_taken":[]}`)
}
