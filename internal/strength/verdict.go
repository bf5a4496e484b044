package strength

import (
	"fmt"

	"draghand/internal/si"
)

// guard is the guard band in standard uncertainties: with it a bar that passes is
// under the minimum with a probability of 5 % at most (JCGM 106:2012, 8.3.2; one
// side of the normal distribution).
const guard = 1.645

// judge holds a strength against a minimum. Of a lower bound, a bar that did not
// break or a test that does not count, it never says that it fails.
func judge(strength, u, minimum float64, bound bool) (says string, band float64) {
	band = guard * u
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
	least := float64(p.After.Minimum)
	held := si.Stress(least).Text(sys)
	if from := p.After.MinimumFrom; from != "" {
		held += " (" + from + ")"
	}
	s, bound := r.StrengthPa, r.Counts != nil && *r.Counts == CountsNot
	if s == nil {
		s, bound = r.StrengthAtLeastPa, true
	}
	switch {
	case s == nil:
		return "no verdict against the minimum of " + held + ": no strength is known"
	case r.StrengthUPa == nil:
		return "no verdict against the minimum of " + held + ": the uncertainty of the strength is not known"
	}
	says, band := judge(*s, *r.StrengthUPa, least, bound)
	v := &Verdict{MinimumPa: least, From: p.After.MinimumFrom, GuardPa: band, Says: says}
	is, g := si.Stress(*s).Text(sys), fine(band, sys)
	switch {
	case says == Passes && bound:
		v.Text = fmt.Sprintf("pass: it bore at least %s, less a guard of %s still the minimum of %s", is, g, held)
	case says == Passes:
		v.Text = fmt.Sprintf("pass: %s less a guard of %s is still the minimum of %s", is, g, held)
	case says == Fails:
		v.Text = fmt.Sprintf("fail: %s is under the minimum of %s by more than a guard of %s", is, held, g)
	case bound:
		v.Text = fmt.Sprintf("cannot tell: it bore %s, which is not enough for the minimum of %s, and what it would have borne is not known", is, held)
	default:
		v.Text = fmt.Sprintf("cannot tell at this uncertainty: %s lies within a guard of %s of the minimum of %s", is, g, held)
	}
	r.Verdict = v
	return ""
}

// fine is a small stress with a decimal more.
func fine(pa float64, sys si.System) string {
	s := si.Stress(pa).In(sys)
	s.Decimals++
	return s.String()
}
