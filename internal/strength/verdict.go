package strength

import (
	"fmt"

	"draghand/internal/gum"
	"draghand/internal/si"
)

// guard is the least guard band in standard uncertainties: with it a bar that passes
// is under the minimum with a probability of 5 % at most (JCGM 106:2012, 8.3.2; one
// side of the normal distribution).
const guard = 1.645

// guardAt is the guard band in standard uncertainties that are known with so many
// degrees of freedom: of few it takes more of them for the same 5 %, by Student's t
// (one side of 5 % is two of 10 %).
func guardAt(dof float64) float64 { return max(guard, gum.Factor(0.90, dof)) }

// judge holds a strength against a minimum. Of a lower bound, a bar that did not
// break or a test that does not count, it never says that it fails.
func judge(strength, u, dof, minimum float64, bound bool) (says string, band float64) {
	band = guardAt(dof) * u
	switch {
	case strength-band >= minimum:
		return Passes, band
	case !bound && strength+band < minimum:
		return Fails, band
	}
	return CannotTell, band
}

// decide gives the verdict against the minimum of the finish form, or says why there
// is none.
func (r *Results) decide(p Pull, sys si.System) (remark string) {
	if p.After == nil || !(p.After.Minimum > 0) {
		return ""
	}
	v := &Verdict{MinimumPa: float64(p.After.Minimum), From: p.After.MinimumFrom}
	s, bound := r.claimed()
	switch {
	case p.Damaged:
		return "no verdict against the minimum of " + v.minimum(sys) + ": the record is damaged"
	case s == nil:
		return "no verdict against the minimum of " + v.minimum(sys) + ": no strength is known"
	case r.StrengthUPa == nil:
		return "no verdict against the minimum of " + v.minimum(sys) + ": the uncertainty of the strength is not known"
	}
	v.Says, v.GuardPa = judge(*s, *r.StrengthUPa, r.Budget.EffectiveDoF(), v.MinimumPa, bound)
	r.Verdict = v
	v.Text = r.VerdictText(sys)
	return ""
}

// claimed is the strength that a verdict goes by, and whether it is a lower bound
// only; nil where there is none.
func (r *Results) claimed() (s *float64, bound bool) {
	if r.StrengthPa == nil {
		return r.StrengthAtLeastPa, true
	}
	return r.StrengthPa, r.Counts != nil && *r.Counts == CountsNot
}

// minimum is what the strength is held against, and where that is from.
func (v *Verdict) minimum(sys si.System) string {
	words := si.Stress(v.MinimumPa).Text(sys)
	if v.From != "" {
		words += " (" + v.From + ")"
	}
	return words
}

// VerdictText is the verdict in one sentence, in the units of display; empty where
// there is none.
func (r *Results) VerdictText(sys si.System) string {
	v := r.Verdict
	if v == nil {
		return ""
	}
	s, bound := r.claimed()
	if s == nil {
		return ""
	}
	is, least, g := si.Stress(*s).Text(sys), v.minimum(sys), fine(v.GuardPa, sys)
	switch {
	case v.Says == Passes && bound:
		return fmt.Sprintf("pass: it bore at least %s, which less a margin of %s is not under the minimum of %s", is, g, least)
	case v.Says == Passes:
		return fmt.Sprintf("pass: %s less a margin of %s is not under the minimum of %s", is, g, least)
	case v.Says == Fails:
		return fmt.Sprintf("fail: %s is under the minimum of %s by more than a margin of %s", is, least, g)
	case bound:
		return fmt.Sprintf("cannot tell: it bore %s, which is not enough for the minimum of %s, and what it would have borne is not known", is, least)
	}
	return fmt.Sprintf("cannot tell at this uncertainty: %s lies within a margin of %s of the minimum of %s", is, g, least)
}

// fine is a small stress with a decimal more.
func fine(pa float64, sys si.System) string {
	s := si.Stress(pa).In(sys)
	s.Decimals++
	return s.String()
}
