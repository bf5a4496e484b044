package compare_test

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"draghand/internal/compare"
	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// figuresCase is a comparison with the figures that it has to come to, by
// testdata/figures.py: scipy's nct.ppf for k, t.interval and t.isf (Grubbs), anderson,
// ttest_ind(equal_var=False), f_oneway, chi2.ppf and brentq on the profile likelihood
// for Weibull, and none of this project's code.
type figuresCase struct {
	Name       string  `json:"name"`
	Level      float64 `json:"level"`
	MinimumPa  float64 `json:"minimum_pa"`
	Content    float64 `json:"content"`
	Confidence float64 `json:"confidence"`
	Pulls      []struct {
		Melt       string   `json:"melt"`
		StrengthPa float64  `json:"strength_pa"`
		AtLeastPa  float64  `json:"at_least_pa"`
		UPa        float64  `json:"u_pa"`
		ExpandedPa float64  `json:"expanded_pa"`
		CommonUPa  float64  `json:"common_u_pa"`
		CommonDoF  float64  `json:"common_dof"`
		CommonBy   string   `json:"common_by"`
		Elongation *float64 `json:"elongation"`
		ByEye      bool     `json:"by_eye"`
		StepPa     float64  `json:"step_pa"`
	} `json:"pulls"`
	Figures map[string]any `json:"figures"`
}

func figuresCases(t *testing.T) map[string]figuresCase {
	t.Helper()
	text, err := os.ReadFile("testdata/figures.json")
	if err != nil {
		t.Fatal(err)
	}
	var all []figuresCase
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	out := map[string]figuresCase{}
	for _, f := range all {
		out[f.Name] = f
	}
	return out
}

// comparison is the case by the program.
func (f *figuresCase) comparison(by compare.Field) compare.Comparison {
	var all []compare.Pull
	for i := range f.Pulls {
		p := &f.Pulls[i]
		id := fmt.Sprintf("%s-%d", p.Melt, i+1)
		one := compare.Pull{
			Record: "rec-" + id, Dir: "shelf/rec-" + id, Bar: id, Melt: p.Melt, Alloy: "C90500", Kind: pull.Tension, RigName: p.CommonBy,
			Diameter: 12.5 * si.Millimetre, Area: 122.718e-6, Strength: si.Stress(p.StrengthPa), U: si.Stress(p.UPa), Expanded: si.Stress(p.ExpandedPa),
			Common: si.Stress(p.CommonUPa), CommonDoF: p.CommonDoF, CommonBy: p.CommonBy, Elongation: p.Elongation, Counts: strength.Counts,
			ByEye: p.ByEye, Step: si.Stress(p.StepPa),
		}
		if p.AtLeastPa > 0 {
			one.AtLeast, one.Out = si.Stress(p.AtLeastPa), "it bore at least so much: it broke in the grip"
		}
		all = append(all, one)
	}
	o := compare.NewOptions()
	o.Level, o.Minimum, o.Content, o.Confidence = f.Level, si.Stress(f.MinimumPa), f.Content, f.Confidence
	return compare.Of(all, compare.By{Field: by}, o)
}

// leaves are all numbers and truths of a JSON value, by their path. Pulls, which are
// what was given, are left out.
func leaves(out map[string]any, at string, v any) {
	switch v := v.(type) {
	case map[string]any:
		for k, e := range v {
			if k != "pulls" && k != "censored" && k != "left" && k != "chosen" {
				leaves(out, strings.TrimPrefix(at+"."+k, "."), e)
			}
		}
	case []any:
		for i, e := range v {
			leaves(out, fmt.Sprintf("%s.%d", at, i), e)
		}
	case float64, bool:
		out[at] = v
	}
}

func inJSON(t *testing.T, c *compare.Comparison) (all any, flat map[string]any) {
	t.Helper()
	text, err := json.Marshal(c.JSON())
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	flat = map[string]any{}
	leaves(flat, "", all)
	return all, flat
}

// Every figure of the JSON is the one reckoned elsewhere, at three levels and bounds;
// none is missing, and none is there that was not reckoned.
func TestFiguresInJSON(t *testing.T) {
	cases := figuresCases(t)
	if len(cases) != 8 {
		t.Fatalf("%d cases", len(cases))
	}
	for name := range cases {
		f := cases[name]
		c := f.comparison(compare.ByMelt)
		_, got := inJSON(t, &c)
		for at, want := range f.Figures {
			have, there := got[at]
			w, number := want.(float64)
			if !there || !number && have != want {
				t.Errorf("%s: %s is %v, want %v", name, at, have, want)
				continue
			}
			// Ends of intervals that were searched for are good to some 1e-9; of p to 1e-7.
			if h, ok := have.(float64); number && !(ok && math.Abs(h-w) <= 2e-7*math.Abs(w)) {
				t.Errorf("%s: %s is %v, want %v", name, at, have, want)
			}
		}
		for at, v := range got {
			if _, reckoned := f.Figures[at]; !reckoned {
				t.Errorf("%s: %s, %v, was reckoned nowhere", name, at, v)
			}
		}
	}
}

// A pull stands in the JSON as it was given.
func TestPullsInJSON(t *testing.T) {
	f := figuresCases(t)["two"]
	c := f.comparison(compare.ByMelt)
	all, _ := inJSON(t, &c)
	group := all.(map[string]any)["groups"].([]any)[0].(map[string]any)
	weakest, held := group["pulls"].([]any)[0].(map[string]any), group["censored"].([]any)[0].(map[string]any)
	for k, want := range map[string]any{ // the ninth, and its own common part
		"strength_pa": 294.1e6, "strength_at_least_pa": nil, "strength_u_pa": 3.2e6, "strength_expanded_pa": 6.5e6, "common_u_pa": 2.52e6, "common_dof": 6.0,
		"diameter_m": 0.0125, "area_m2": 122.718e-6, "common_by": "rig one", "bar": "M1-9", "record": "rec-M1-9", "elongation": nil, "counts": "yes", "out": nil,
	} {
		if got, number := weakest[k].(float64); number && math.Abs(got/want.(float64)-1) > 1e-12 || !number && weakest[k] != want {
			t.Errorf("%s is %v, want %v", k, weakest[k], want)
		}
	}
	if held["strength_pa"] != nil || held["strength_at_least_pa"] != 315.5e6 {
		t.Errorf("%v", held)
	}
}

// A verdict in words goes by the level that was asked for: p is 0.03 of the two groups,
// 0.08 of the three, of their melts in one group too, and 0.10 of the scatter of M2
// (testdata/figures.json).
func TestLevels(t *testing.T) {
	cases := figuresCases(t)
	say := func(name string, by compare.Field) string {
		f := cases[name]
		c := f.comparison(by)
		return words(&c, si.US)
	}
	const (
		alike, unlike   = "NOT SETTLED whether M1 and M2 differ", "M1 AND M2 DIFFER"
		normal, bent    = "Nothing speaks against a normal scatter (Anderson–Darling, p 0.1)", "CAUTION: the scatter does NOT look normal (Anderson–Darling, p 0.1): do not trust"
		none, notAll    = "NOT SETTLED whether the 3 groups differ", "THE 3 GROUPS ARE NOT ALL ALIKE"
		differingMelts  = "the melts in this group differ (M1, M2 and M3; analysis of variance)"
		apart, notApart = "CAUTION, ONE BAR APART: M1-9", "No bar lies apart: the farthest is M1-9"
	)
	has(t, say("two", compare.ByMelt), unlike, normal, notApart, "(95 %)")
	has(t, say("two at 0.01", compare.ByMelt), alike, normal, notApart, "(99 %)")
	has(t, say("two at 0.2", compare.ByMelt), unlike, bent, apart, "Of 5 sound groups about one is flagged so", "(80 %)")
	has(t, say("three", compare.ByMelt), none)
	has(t, say("three at 0.01", compare.ByMelt), none)
	has(t, say("three at 0.2", compare.ByMelt), notAll)
	hasNot(t, say("three", compare.ByAll), differingMelts)
	has(t, say("three at 0.2", compare.ByAll), differingMelts)
}
