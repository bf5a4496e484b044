package finish

import (
	"fmt"
	"strings"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/specimen"
)

// Missing says what of a pull is still open since nobody measured it, a line
// each: "elongation not known: no final gauge length". Empty where all is there,
// or where nothing broke that could be measured.
func Missing(h *record.Head) []string {
	if c := h.Closing; c != nil && (c.Outcome == pull.LetOff || c.Outcome == pull.Ended || c.NeverLoaded) {
		return nil
	}
	var m record.Finished
	if last := h.Measured(); last != nil {
		m = *last
	}
	var out []string
	add := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	if h.Kind == pull.Tension {
		if why := noElongation(&h.Specimen, &m); why != "" {
			add("elongation not known: %s", why)
		}
		if why := noReduction(&h.Specimen, &m); why != "" {
			add("reduction of area not known: %s", why)
		}
	}
	if h.Kind != pull.Crush && m.Where == specimen.NotLookedAt && m.Failed == "" {
		add("whether it counts is not known: nobody says where it broke")
	}
	if h.Kind == pull.Tension && m.Minimum == 0 {
		add("no verdict: no minimum is stated")
	}
	return out
}

// Missing says what stays open with what the form says now, a field that cannot be
// used left out.
func (f *Form) Missing() []string {
	h := f.head
	h.Finished = []record.Finished{{After: f.after, Dial: f.dial}}
	return Missing(&h)
}

// elsewhere says that the bar did not break between its ends; empty where it did.
func elsewhere(m *record.Finished) string {
	switch {
	case m.Where == specimen.InGrip:
		return "it broke in the grip"
	case m.Failed != "":
		return "another part gave way, " + m.Failed
	}
	return ""
}

func noElongation(bar *specimen.Specimen, m *record.Finished) string {
	switch why := elsewhere(m); {
	case why != "":
		return why
	case bar.GaugeLength == 0:
		return "no gauge length was marked before the pull"
	case m.GaugeLength == 0:
		return "no final gauge length"
	}
	return ""
}

func noReduction(bar *specimen.Specimen, m *record.Finished) string {
	size := "diameter"
	if bar.Shape != specimen.Round {
		size = "section"
	}
	switch why := elsewhere(m); {
	case why != "":
		return why
	case bar.Area() == 0:
		return "no " + size + " was measured before the pull"
	case len(m.Diameters)+len(m.Sections) == 0:
		return "no final " + size
	case reduced(bar, m) < 0:
		return "the final " + size + " is no smaller than the least before"
	}
	return ""
}

// reduced is by how much the section at the break is under the least before: of
// the mean of round bars' diameters, of the least of other sections; the sign
// alone is used.
func reduced(bar *specimen.Specimen, m *record.Finished) float64 {
	if bar.Shape != specimen.Round {
		after := specimen.Specimen{Shape: bar.Shape, Sections: m.Sections}
		return float64(bar.Area() - after.Area())
	}
	var over float64
	for _, d := range m.Diameters {
		over += float64(bar.Diameter() - d)
	}
	return over
}

// joined is an error on one line; several have semicolons between.
func joined(err error) string { return strings.ReplaceAll(err.Error(), "\n", "; ") }
