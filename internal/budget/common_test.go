package budget_test

import (
	"math"
	"testing"

	"draghand/internal/budget"
)

// By hand: lines of 3 (2 degrees of freedom), 4 (without end) are common, u² = 25;
// 25²/(3⁴/2) = 15.432. With another of 2 (5 degrees): 29²/(81/2 + 16/5) = 19.245. What
// is the pull's own takes no part.
func TestCommonDoF(t *testing.T) {
	two, five := 2.0, 5.0
	own := budget.Line{UPa: 100, DoF: &two}
	b := budget.Budget{Lines: []budget.Line{{UPa: 3, DoF: &two, Common: true}, {UPa: 4, Common: true}, own}}
	if got := b.CommonDoF(); math.Abs(got-625/40.5) > 1e-9 {
		t.Errorf("%v", got)
	}
	b.Lines = append(b.Lines, budget.Line{UPa: 2, DoF: &five, Common: true})
	if got := b.CommonDoF(); math.Abs(got-841/(40.5+3.2)) > 1e-9 {
		t.Errorf("%v", got)
	}
	for _, lines := range [][]budget.Line{nil, {own}, {{UPa: 4, Common: true}, own}, {{UPa: 0, DoF: &two, Common: true}}} {
		b.Lines = lines
		if got := b.CommonDoF(); !math.IsInf(got, 1) {
			t.Errorf("%+v: %v", lines, got)
		}
	}
}

// Student's factors of 95 % from the tables: 12.706, 4.303, 3.182, 2.228 (10), 2.009
// (50); reckoned degrees are rounded down, and 2 is the least.
func TestCommonFactor(t *testing.T) {
	for dof, want := range map[float64]float64{1: 12.706, 2: 4.303, 2.9: 4.303, 3.5: 3.182, 10: 2.228, 50.7: 2.009, 500: 2, math.Inf(1): 2} {
		if got := budget.CommonFactor(dof); math.Abs(got-want) > 6e-4 {
			t.Errorf("%v degrees: %v, want %v", dof, got, want)
		}
	}
}

// A limit of ± 1 evenly likely within is u = 1/√3: half a count, or a division.
func TestStep(t *testing.T) {
	u := 1 / math.Sqrt(3)
	for of, want := range map[string]float64{"one count": 2, "dial, read by eye": 1, "zero": 0} {
		b := budget.Budget{Lines: []budget.Line{{Of: "reference", UPa: 7}, {Of: of, UPa: u}}}
		if got := b.StepPa(); math.Abs(got-want) > 1e-12 {
			t.Errorf("%s: %v, want %v", of, got, want)
		}
	}
}
