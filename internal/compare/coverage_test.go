package compare_test

import (
	"encoding/json"
	"math"
	"testing"

	"draghand/internal/budget"
	"draghand/internal/compare"
	"draghand/internal/si"
)

// A common part of 2 degrees of freedom is taken by Student's 4.302653, not by 2:
// 0.34 ksi makes 1.462902, and 41.778733 less that 40.315831. Of 500 degrees it is 2.
func TestCommonOfFewDegrees(t *testing.T) {
	few := each(worked("M1"), func(_ int, p *compare.Pull) { p.CommonDoF = 2.37 })
	c := compare.Of(few, byMelt(), compare.NewOptions())
	k := c.Groups[0].CountOn
	near(t, "factor", k.Coverage, 4.302653, 1e-5)
	near(t, "off", float64(k.Common)/si.KSI, 1.462902, 1e-5)
	near(t, "count on", float64(k.Strength)/si.KSI, 40.315831, 1e-5)
	near(t, "degrees", k.DoF, 2.37, 0)
	has(t, words(&c, si.US), "Count on 40.3 ksi", "What the rig itself may be off is multiplied by 4.30 (t of 2 whole degrees of freedom of 2.3) and not by 2, since its calibration has few points: more points would make it less.")
	if got := k.CoverageText(); got != "k 4.30, t of 2 whole degrees of freedom of 2.3" {
		t.Errorf("%q", got)
	}

	many := compare.Of(each(worked("M1"), func(_ int, p *compare.Pull) { p.CommonDoF = 500 }), byMelt(), compare.NewOptions())
	if k := many.Groups[0].CountOn; k.Coverage != 2 || k.CoverageText() != "k 2.00" {
		t.Errorf("%+v", k)
	}
	hasNot(t, words(&many, si.US), "and not by 2")
}

// The largest when expanded counts: 0.2 ksi by 12.7062 (1 degree of freedom) is 2.541,
// more than 0.34 by 2.
func TestLargestExpandedCommonPart(t *testing.T) {
	all := worked("M1")
	all[3].Common, all[3].CommonDoF = 0.2*si.KSI, 1
	c := compare.Of(all, byMelt(), compare.NewOptions())
	near(t, "off", float64(c.Groups[0].CountOn.Common)/si.KSI, 2.541240, 1e-5)
}

// Of a difference the degrees of freedom are those of both: 0.34 ksi of 2 and 0.34 of
// 6 make (2·0.34²)²/(0.34⁴/2 + 0.34⁴/6) = 6, Student's factor 2.446912.
func TestDifferenceOfFewDegrees(t *testing.T) {
	all := two(2, func(p *compare.Pull) { p.CommonBy, p.CommonDoF = "rig two", 6 })
	each(all[:5], func(_ int, p *compare.Pull) { p.CommonDoF = 2 })
	c := compare.Of(all, byMelt(), compare.NewOptions())
	d := c.Difference
	near(t, "degrees", d.CommonDoF, 6, 1e-9)
	near(t, "factor", d.Coverage, 2.446912, 1e-5)
	near(t, "expanded", float64(d.Expanded())/si.KSI, 0.34*math.Sqrt2*2.446912, 1e-5)
	has(t, words(&c, si.US), "± 1.18 ksi of the difference, comes on top and is not in this interval (that ± by its own k 2.45, t of 6 degrees of freedom).") // 1.17656, up
}

// The factors are in the JSON, and null where degrees of freedom are without end.
func TestCoverageInJSON(t *testing.T) {
	all := two(2, func(p *compare.Pull) { p.CommonBy = "rig two" })
	each(all[:5], func(_ int, p *compare.Pull) { p.CommonDoF = 2 })
	c := compare.Of(all, byMelt(), compare.NewOptions())
	text, err := json.Marshal(c.JSON())
	if err != nil {
		t.Fatal(err)
	}
	var got struct {
		Groups []struct {
			CountOn struct {
				K   float64  `json:"coverage_k"`
				DoF *float64 `json:"coverage_dof"`
			} `json:"count_on"`
			Pulls []struct {
				Expanded float64  `json:"strength_expanded_pa"`
				DoF      *float64 `json:"common_dof"`
			} `json:"pulls"`
		} `json:"groups"`
		Difference struct {
			K   float64 `json:"common_coverage_k"`
			DoF float64 `json:"common_dof"`
		} `json:"difference"`
	}
	if err := json.Unmarshal(text, &got); err != nil {
		t.Fatal(err)
	}
	one, other := got.Groups[0], got.Groups[1]
	near(t, "few", one.CountOn.K, 4.302653, 1e-5)
	if one.CountOn.DoF == nil || *one.CountOn.DoF != 2 || *one.Pulls[0].DoF != 2 || one.Pulls[0].Expanded != 1*si.KSI {
		t.Errorf("%+v", one)
	}
	if other.CountOn.K != 2 || other.CountOn.DoF != nil || other.Pulls[0].DoF != nil {
		t.Errorf("%+v", other)
	}
	near(t, "degrees of the difference", got.Difference.DoF, 8, 1e-9) // 4·u⁴/(u⁴/2)
	near(t, "its factor", got.Difference.K, 2.306004, 1e-5)
}

// PullOf takes the degrees of freedom from the common lines of the budget, and the
// expanded uncertainty as the record has it.
func TestPullOfDegrees(t *testing.T) {
	rec, res := saved(t)
	two := 2.0
	res.Budget = &budget.Budget{UPa: 5, ExpandedPa: 17, CommonPa: 5, Lines: []budget.Line{{UPa: 3, DoF: &two, Common: true}, {UPa: 4, Common: true}}}
	p := compare.PullOf(rec, res, nil)
	near(t, "degrees", p.CommonDoF, 625/40.5, 1e-9)
	if p.Expanded != 17 {
		t.Errorf("%+v", p)
	}
}
