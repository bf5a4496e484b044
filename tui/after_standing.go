package tui

import (
	"strings"

	"draghand/internal/strength"
)

// isStanding says that a line of the results stands right under the figures: what
// the pull was made for, whether the strength passes and whether the pull counts.
func isStanding(label string) bool { return label == "verdict" || label == "counts" }

// resultText is the line of the results with a label; empty: there is none.
func (m *AfterScreen) resultText(label string) string {
	for _, l := range m.ended.Lines {
		if of, text := cutLine(l); of == label {
			return text
		}
	}
	return ""
}

// standing are verdict and counts in w cells, the answer of each in capitals: a
// colour alone says nothing.
func (m *AfterScreen) standing(w int) (out []benchLine) {
	most := 2
	if m.mode == remarking && m.height < roomyBench {
		most = 1
	}
	for _, label := range []string{"verdict", "counts"} {
		k := m.standingInk(label)
		for i, t := range wrap(standingText(label, m.resultText(label)), max(1, w-2-afterWide), most) {
			line := benchLine{text: t, ink: k}
			if i == 0 {
				line.label = label
			}
			out = append(out, line)
		}
	}
	return out
}

// standingText is a line of the results with its answer in capitals.
func standingText(label, text string) string {
	text = clean(text)
	answers := []string{"pass", "fail", "cannot tell"}
	if label == "counts" {
		answers = []string{"yes", "with remarks", "not yet known", "no"}
	}
	for _, a := range answers {
		if rest, ok := strings.CutPrefix(text, a); ok {
			return strings.ToUpper(a) + rest
		}
	}
	return text
}

// standingInk is green only where nothing is left to think about.
func (m *AfterScreen) standingInk(label string) ink {
	r := &m.ended.Results
	switch {
	case label == "verdict" && r.Verdict != nil:
		switch r.Verdict.Says {
		case strength.Passes:
			return good
		case strength.Fails:
			return stop
		}
		return caution
	case label == "counts" && r.Counts != nil:
		switch *r.Counts {
		case strength.Counts:
			return good
		case strength.CountsNot:
			return stop
		}
		return caution
	}
	return plain
}
