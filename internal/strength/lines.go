package strength

import (
	"fmt"
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// Lines is the result in a few lines of text for a person.
func (r Results) Lines(sys si.System, bar specimen.Specimen) []string {
	var out []string
	add := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	if r.Record != "" { // else it was saved nowhere
		add("record     %s", r.Record)
	}
	if bar.ID != "" || bar.Melt != "" || bar.Alloy != "" {
		add("specimen   %s", Who(bar))
	}
	if size := bar.SizeText(sys); size != "" {
		add("section    %s, %s", size, bar.Area().Text(sys))
	}
	add("outcome    %s", r.outcomeWords())
	if r.Peak != nil {
		words := fmt.Sprintf("%s on the %s", si.Force(r.Peak.SpecimenN).Text(sys), thing(pull.Kind(r.Kind)))
		if r.Peak.TS != nil {
			words += fmt.Sprintf(" at %.2f s", *r.Peak.TS)
		}
		if !r.noRam { // the ram of a table from elsewhere is made up
			words += fmt.Sprintf(" (gauge %s, ram %s)", si.Pressure(r.Peak.GaugePa).Text(sys), si.Force(r.Peak.RamN).Text(sys))
		}
		add("peak       %s", words)
	}
	if r.Kind == string(pull.Crush) && r.Peak != nil && r.Peak.StressPa != nil {
		add("stress     %s on the block at the peak, by its section before", si.Stress(*r.Peak.StressPa).Text(sys))
	}
	if y := r.FirstYield; y != nil {
		add("gave       first at %s, by %s", both(y.SpecimenN, y.StressPa, sys), methodWords(y.Method))
	}
	if y := r.YieldDrop; y != nil {
		add("yield      upper yield %s, lowest after it %s", both(y.UpperN, y.UpperPa, sys), both(y.LowerN, y.LowerPa, sys))
	}
	if r.Kind == string(pull.Proof) {
		add("hold       %s", r.holdWords(sys))
		if r.Hold != nil && r.Hold.Lost > 0 {
			add("lost       at most %.1f %% of the highest force while it was held", 100*r.Hold.Lost)
		}
	}
	if r.Break != nil {
		add("break      at %.2f s from %s, 90 to 10 %% %s", r.Break.TS, si.Force(r.Break.SpecimenN).Text(sys),
			fallWords(r.Break.FallS, r.spacing))
		if r.Peak != nil && r.Break.SpecimenN > r.Peak.SpecimenN {
			out[len(out)-1] += "; that is one reading, the peak a median of three"
		}
	}
	if r.StrengthPa != nil {
		add("strength   %s", r.StrengthText(sys))
	}
	if r.StrengthAtLeastPa != nil {
		add("strength   at least %s: %s", r.StrengthText(sys), r.AtLeastWhy())
	}
	out = append(out, r.finishLines(sys)...)
	if r.PacePaPerS != nil && r.TimeUnderLoadS != nil {
		add("pace       %s, mean over the %.1f s from the start of the load to the peak", si.StressRate(*r.PacePaPerS).Text(sys), *r.TimeUnderLoadS)
	}
	if n := r.Strokes.Count; n > 0 {
		words := count(n, "stroke")
		if r.Strokes.GainN != nil && r.Strokes.BestN != nil {
			words += fmt.Sprintf(", the last gained %s, the best %s", si.Force(*r.Strokes.GainN).Text(sys), si.Force(*r.Strokes.BestN).Text(sys))
		}
		add("pump       %s", words)
	}
	if r.eye {
		add("readings   none")
	} else {
		add("readings   %s, %s, %s", si.Number(float64(r.Samples), 0), count(r.Gaps, "gap"), count(r.BadLines, "bad line"))
	}
	for _, m := range r.Remarks {
		add("remark     %s", m)
	}
	for _, m := range r.Said {
		add("said       %s", m)
	}
	return out
}

// fallWords says how fast a fall was, and no finer than the readings stand
// apart.
func fallWords(fall, spacing float64) string {
	if fall < 2*spacing {
		return "within " + spanText(time.Duration(2*spacing*float64(time.Second)).Round(time.Millisecond/10)) + ", two readings"
	}
	return "in " + spanText(time.Duration(fall*float64(time.Second)).Round(time.Millisecond))
}

// spanText is a span of time with a blank before its unit, as all other figures.
func spanText(d time.Duration) string {
	if d < time.Second {
		return fmt.Sprintf("%g ms", float64(d)/float64(time.Millisecond))
	}
	return fmt.Sprintf("%g s", d.Seconds())
}

// both is a force with its stress, where that is known.
func both(n float64, pa *float64, sys si.System) string {
	if pa == nil {
		return si.Force(n).Text(sys)
	}
	return si.Stress(*pa).Text(sys) + " (" + si.Force(n).Text(sys) + ")"
}

// holdWords says how a proof was held.
func (r Results) holdWords(sys si.System) string {
	h := r.Hold
	switch {
	case r.eye:
		return "not known: there is no trace"
	case h == nil && r.target > 0:
		return "none: " + r.target.Text(sys) + " was not reached"
	case h == nil:
		return "none: the force was not held"
	}
	words := fmt.Sprintf("%s for %.1f s", si.Force(h.TargetN).Text(sys), h.HeldS)
	if h.AskedS != nil {
		words += " of " + si.Number(*h.AskedS, 1) + " s asked"
	}
	words += ", lowest " + si.Force(h.LowestN).Text(sys)
	switch {
	case h.TargetN > 0 && h.LowestN >= h.TargetN:
		words += " (nothing lost)"
	case h.TargetN > 0:
		words += fmt.Sprintf(" (%+.1f %%)", 100*(h.LowestN/h.TargetN-1))
	}
	switch {
	case h.AskedS == nil:
		return words
	case h.Met:
		return words + ": held"
	}
	return words + ": NOT held for as long as asked"
}

// thing is what is pulled, or pressed.
func thing(k pull.Kind) string {
	if k == pull.Crush {
		return "block"
	}
	return "specimen"
}

// Who names a bar in one phrase.
func Who(bar specimen.Specimen) string {
	out := ""
	for _, p := range []string{bar.Melt, bar.ID, bar.Alloy} {
		if p == "" {
			continue
		}
		if out != "" {
			out += " · "
		}
		out += p
	}
	if out == "" {
		return "unnamed specimen"
	}
	return out
}

func (r *Results) outcomeWords() string {
	phase, kind := pull.Phase(r.Phase), pull.Kind(r.Kind)
	switch phase {
	case pull.Broken:
		return "broken"
	case pull.Faded:
		return "faded: the force went down without a snap"
	case pull.LetOff:
		switch kind {
		case pull.Crush:
			return "let off: the load was taken away"
		case pull.Proof:
			return "let off: the load was taken away, nothing broke"
		}
		return "let off: the load was taken away, the bar did not break"
	case pull.Ended:
		if kind == pull.Crush {
			return "ended under load"
		}
		return "ended under load: no break was seen"
	case pull.Unclear:
		return "unclear"
	case pull.Slack:
		return NoLoad(r.imported)
	}
	return string(phase)
}
