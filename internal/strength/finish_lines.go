package strength

import (
	"fmt"
	"strings"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// StrengthText is the strength, or what the bar bore at least, with its expanded
// uncertainty in the units of display; empty where neither is known.
func (r *Results) StrengthText(sys si.System) string {
	value, unit, doubt := r.StrengthParts(sys)
	switch {
	case value == "":
		return ""
	case doubt != "":
		return value + " " + unit + " " + doubt
	case r.StrengthPa == nil:
		return value + " " + unit
	}
	return value + " " + unit + " (uncertainty not stated)"
}

// StrengthParts is the same in parts: the number, its unit, and "± 5.1 MPa (95 %)",
// which is empty where it is not known.
func (r *Results) StrengthParts(sys si.System) (value, unit, doubt string) {
	s, _ := r.claimed()
	if s == nil {
		return "", "", ""
	}
	if r.StrengthExpandedPa != nil && r.Budget != nil {
		return figureParts(*s, *r.StrengthExpandedPa, r.Budget.Coverage, sys)
	}
	shown := si.Stress(*s).In(sys)
	return shown.Number(), shown.Unit, ""
}

// AtLeastWhy says why what the bar bore is a lower bound and no strength; empty
// where it is none.
func (r *Results) AtLeastWhy() string {
	switch {
	case r.StrengthAtLeastPa == nil:
		return ""
	case r.Where != nil && *r.Where == string(specimen.InGrip):
		return "it broke in the grip"
	case broke(pull.Phase(r.Phase)):
		return "part of the rig gave way, not the bar"
	case r.eye && pull.Phase(r.Phase) == pull.LetOff:
		return "it was let off before it broke"
	case r.eye:
		return "nobody says that it broke"
	}
	return "no break was seen in these readings"
}

// finishLines are those of what was measured after, and of what follows from it.
func (r *Results) finishLines(sys si.System) []string {
	var out []string
	add := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	o := r.round(sys) // Rounded is in the rig's own units
	if o != nil && o.StrengthE8 != "" {
		words := o.StrengthE8
		if o.ExpandedE8 != "" {
			words += " ± " + o.ExpandedE8
		}
		add("rounded    %s by ASTM E8/E8M, %s by ISO 6892-1", words, o.StrengthISO)
	}
	if t := r.VerdictText(sys); t != "" {
		add("verdict    %s", t)
	}
	if r.Elongation != nil {
		add("elongation %s", percents(*r.Elongation, o.ElongationE8, o.ElongationISO))
	}
	if r.ReductionOfArea != nil {
		add("reduction  %s of the area", percents(*r.ReductionOfArea, o.ReductionE8, o.ReductionISO))
	}
	if r.Where != nil || len(r.Looks) > 0 {
		add("fracture   %s", strings.Join(r.fractureWords(), ", "))
	}
	if d := r.Dial; d != nil {
		limit := "limit of error not stated"
		if d.ErrorN != nil {
			limit = "± " + si.Force(*d.ErrorN).Text(sys)
		}
		add("dial       %s (%s), %+.1f %% of the drag hand", si.Force(d.PeakN).Text(sys), limit, 100*d.Difference)
	}
	tension := r.Kind == string(pull.Tension)
	switch {
	case r.Counts != nil && (tension || *r.Counts != Counts):
		words := strings.ReplaceAll(*r.Counts, "-", " ")
		if len(r.CountsBecause) > 0 {
			words += ": " + strings.Join(r.CountsBecause, "; ")
		}
		add("counts     %s", words)
	case r.Counts == nil && tension && r.StrengthPa != nil:
		add("counts     not yet known: nobody has said where it broke")
	}
	return out
}

// percents is a fraction as measured and as each standard rounds it.
func percents(fraction float64, e8, iso string) string {
	words := fmt.Sprintf("%.2f %%, rounded %s", 100*fraction, e8)
	if iso != e8 {
		return words + " by ASTM E8/E8M, " + iso + " by ISO 6892-1"
	}
	return words
}

// fractureWords are where the bar broke and what the fracture looked like.
func (r *Results) fractureWords() []string {
	var out []string
	if r.Where != nil {
		out = append(out, strings.ReplaceAll(*r.Where, "-", " "))
	}
	for _, l := range r.Looks {
		out = append(out, strings.ReplaceAll(l, "-", " "))
	}
	return out
}

// methodWords says by what it was seen that a block gave.
func methodWords(method string) string {
	if method == pull.ByStroke {
		return "what a stroke of the pump gains"
	}
	return "the slope of the force"
}
