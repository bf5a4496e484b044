package report

import (
	"fmt"
	"math"
	"strings"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// answer is the result in a line.
func (f *facts) answer() answer {
	res := &f.results
	var a answer
	a.Not = res.Counts != nil && *res.Counts == strength.CountsNot
	f.headline(&a)
	if v := res.Verdict; v != nil {
		a.Verdict, a.VerdictKind = tidy(v.Text), "open"
		switch {
		case a.Not: // whatever it says, neither a colour nor its first word promises anything
			a.Verdict = "Though it does not count, what it bore against the minimum: " + a.Verdict
		case v.Says == strength.Passes:
			a.VerdictKind = "pass"
		case v.Says == strength.Fails:
			a.VerdictKind = "fail"
		}
	}
	a.Counts = f.countsWords()
	a.Because = tidied(res.CountsBecause)
	return a
}

// headline is the figure that stands for the pull: the same as on the screen after
// it.
func (f *facts) headline(a *answer) {
	res, sys := &f.results, f.opt.Units
	crushed, what := res.Crushed()
	switch {
	case !f.started:
		a.Label, a.Value = strength.NoLoad(f.head.Imported != nil), "no result"
	case known(res.StrengthPa) && f.damage != nil:
		a.Label, a.Value = "stress at the peak of what can be read", si.Stress(*res.StrengthPa).Text(sys)
		a.Note = "the record is damaged: the strength is not known"
	case known(res.StrengthPa) && a.Not:
		a.Label, a.Value = "at least", si.Stress(*res.StrengthPa).Text(sys)
		a.Note = "this much was seen; the strength itself is not known"
	case known(res.StrengthPa):
		a.Label, a.Value = "tensile strength", si.Stress(*res.StrengthPa).Text(sys)
		a.Note = "its uncertainty is not stated"
		if r := res.Rounded; r != nil && r.StrengthE8 != "" {
			a.Value = r.StrengthE8
			if r.ExpandedE8 != "" {
				a.Value, a.Plain, a.Note = plusMinus(r.StrengthE8, r.ExpandedE8), f.within(r.ExpandedE8), f.coverage()
			}
		}
	case known(res.StrengthAtLeastPa):
		a.Label, a.Value = "at least", si.Stress(*res.StrengthAtLeastPa).Text(sys)
		a.Note = strings.TrimSuffix(res.AtLeastWhy(), " in these readings") + ": the strength itself is not known"
	case f.head.Kind == pull.Crush && known(crushed):
		a.Label, a.Value = what, si.Stress(*crushed).Text(sys)
		a.Note = "no yield was seen before it"
		if y := res.FirstYield; y != nil && crushed == y.StressPa {
			a.Note = "by " + tidy(y.Method)
			if res.Peak != nil && known(res.Peak.StressPa) {
				a.Note += "; stress on the block at the peak: " + si.Stress(*res.Peak.StressPa).Text(sys)
			}
		}
	case f.head.Kind == pull.Proof && res.Hold != nil:
		f.held(a)
	case res.Peak != nil:
		a.Label, a.Value = "peak force on the "+thing(f.head.Kind), si.Force(res.Peak.SpecimenN).Text(sys)
		if f.head.Specimen.Area() <= 0 {
			a.Note = "no section was measured: a force, and no stress"
		}
	default:
		a.Label, a.Value = "no force was seen", "no result"
	}
}

// held is the headline of a proof: the force, and how long, never more than it was.
func (f *facts) held(a *answer) {
	h, sys := f.results.Hold, f.opt.Units
	a.Label, a.Value = "held", fmt.Sprintf("%s for %s s", si.Force(h.TargetN).Text(sys), si.Number(math.Floor(h.HeldS), 0))
	switch {
	case h.AskedS == nil:
	case h.Met:
		a.Note = "as long as was asked, " + si.Number(*h.AskedS, 0) + " s"
	default:
		a.Label = "held, NOT LONG ENOUGH"
		a.Note = "NOT for as long as was asked, " + si.Number(*h.AskedS, 0) + " s"
	}
}

func (f *facts) countsWords() string {
	c := f.results.Counts
	switch {
	case c == nil && f.started:
		return "Whether this pull counts is not said yet: where it broke is not written down."
	case c == nil:
		return ""
	case *c == strength.Counts:
		return "This pull counts."
	case *c == strength.CountsWithRemarks:
		return "This pull counts, with remarks."
	case *c == strength.CountsNot:
		return "This pull DOES NOT COUNT."
	}
	return ""
}

// coverage says what the ± is.
func (f *facts) coverage() string {
	b := f.results.Budget
	if b == nil {
		return "± is the expanded uncertainty"
	}
	return fmt.Sprintf("± is the expanded uncertainty U, k = %s, coverage %s %%", si.Number(b.CoverageK, 2), si.Number(100*b.Coverage, 0))
}

// within says what the ± means, without a term of the trade.
func (f *facts) within(expanded string) string {
	b := f.results.Budget
	if b == nil {
		return ""
	}
	return fmt.Sprintf("%s times in 100 the true strength lies within ± %s of this, if what is stated of the rig holds.", si.Number(100*b.Coverage, 0), expanded)
}

// plusMinus joins two texts with units, the unit once where it is the same.
func plusMinus(v, u string) string {
	a, unitA, okA := strings.Cut(v, " ")
	b, unitB, okB := strings.Cut(u, " ")
	if okA && okB && unitA == unitB {
		return a + " ± " + b + " " + unitA
	}
	return v + " ± " + u
}
