package finish

import (
	"strings"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/specimen"
)

// Missing says what of a pull is still open since nobody measured it, a line
// each: "elongation not known: no final gauge length". Empty where all is there.
func Missing(h *record.Head) []string {
	var out []string
	var m record.Finished
	if last := h.Measured(); last != nil {
		m = *last
	}
	bar := &h.Specimen
	if c := h.Closing; c != nil && (c.Outcome == pull.LetOff || c.Outcome == pull.Ended || c.NeverLoaded) {
		return nil // nothing broke: there is nothing to measure
	}
	if h.Kind == pull.Tension {
		switch {
		case bar.GaugeLength == 0:
			out = append(out, "elongation not known: no gauge length was marked before the pull")
		case m.GaugeLength == 0:
			out = append(out, "elongation not known: no final gauge length")
		}
		switch {
		case bar.Area() == 0:
			out = append(out, "strength and reduction of area not known: no "+sizeWord(bar)+" was measured before the pull")
		case len(m.Diameters)+len(m.Sections) == 0:
			out = append(out, "reduction of area not known: no final "+sizeWord(bar))
		}
	}
	if h.Kind != pull.Crush && m.Where == specimen.NotLookedAt {
		out = append(out, "whether it counts is not known: nobody says where it broke")
	}
	if h.Kind == pull.Tension && m.Minimum == 0 {
		out = append(out, "no verdict: no minimum is stated")
	}
	return out
}

// sizeWord is what is measured across a bar.
func sizeWord(bar *specimen.Specimen) string {
	if bar.Shape == specimen.Round {
		return "diameter"
	}
	return "section"
}

// joined is an error on one line; several have semicolons between.
func joined(err error) string { return strings.ReplaceAll(err.Error(), "\n", "; ") }
