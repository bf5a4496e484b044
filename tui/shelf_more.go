package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/pull"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// moreRows are what is known of a record in words, the most telling first.
func (m *ShelfScreen) moreRows(e *shelf.Entry) []helpRow {
	var rows []helpRow
	add := func(label, text string) {
		if text != "" {
			rows = append(rows, helpRow{label, text})
		}
	}
	if !e.Readable() {
		add("state", string(e.Condition)+": "+clean(e.Reason))
		add("next", nextStep(e.Condition))
		return rows
	}
	crush := crushText(e, m.units)
	add("result", crush) // before all else: what the bar is stands in the list
	add("bar", shelfBar(e, m.units))
	if e.Condition != shelf.Whole {
		add("state", shelfState(e))
		add("next", nextStep(e.Condition))
	}
	switch {
	case crush != "":
	case e.Peak == 0:
		add("result", clean(e.Result(m.units)))
	case e.Stress == 0 || e.Strength != 0 || e.AtLeast != 0:
		add("result", resultText(e, m.units)+"; drag hand "+e.Peak.Text(m.units))
	default:
		add("result", e.Peak.Text(m.units)+" at the drag hand, "+e.Stress.Text(m.units))
	}
	add("counts", moreCounts(e))
	if t := elongationText(e); t != "" {
		add("measured", "elongation "+t)
	}
	add("minimum", m.minimumText(e))
	if e.Remarks > 0 {
		add("remarks", m.remarksText(e))
	}
	if e.Condition == shelf.Whole {
		add("state", shelfState(e))
	}
	add("rig", clean(e.RigName))
	if e.Remarks == 0 { // "in the record": a reckoning has its own
		add("noted", "no remarks in the record")
	}
	add("tags", clean(strings.Join(e.Specimen.Tags, ", ")))
	if t := clean(e.Specimen.Stock); t != "" {
		add("check bar", "of "+t)
	}
	add("began", m.began(e, beganSeconds))
	add("source", clean(e.Source))
	return rows
}

// mostRemark bounds what is shown of one remark, in bytes.
const mostRemark = 400

// remarksText is how many remarks a record has, and what they say once they were read.
func (m *ShelfScreen) remarksText(e *shelf.Entry) string {
	t := m.traces.of(e.Dir)
	if t == nil || len(t.noted.Remarks) != e.Remarks { // not read, or others came since
		return fmt.Sprintf("%d: draghand results tells them", e.Remarks)
	}
	said := make([]string, 0, len(t.noted.Remarks))
	for _, r := range t.noted.Remarks {
		said = append(said, clean(strings.ToValidUTF8(r[:min(len(r), mostRemark)], "")))
	}
	return fmt.Sprintf("%d: %s", e.Remarks, strings.Join(said, "; "))
}

// minimumText is what the strength was held against, and what came of that, once it was
// read; empty where it was held against nothing.
func (m *ShelfScreen) minimumText(e *shelf.Entry) string {
	t := m.traces.of(e.Dir)
	if t == nil || !(t.noted.Minimum > 0) {
		return ""
	}
	words := t.noted.Minimum.Text(m.units)
	if says := verdictWord(t.noted.Says); says != "" {
		words = says + " at " + words
	}
	if from := clean(t.noted.MinimumFrom); from != "" {
		words += ", " + from
	}
	return words
}

// verdictWord is a verdict in the words of the results; empty: there is none.
func verdictWord(says string) string {
	switch says {
	case strength.Passes, strength.Fails:
		return says
	case strength.CannotTell:
		return "cannot tell"
	}
	return ""
}

// crushText is what came out of a crush in which the block was seen to give, that
// first; empty of any other pull.
func crushText(e *shelf.Entry, u si.System) string {
	if e.Condition != shelf.Whole || givingText(e, u) == "" {
		return ""
	}
	return clean(e.Result(u))
}

// moreCounts is whether a pull counts, and why.
func moreCounts(e *shelf.Entry) string {
	words := ""
	why := clean(e.Because)
	switch e.Counts {
	case strength.Counts:
		words = "yes"
	case strength.CountsWithRemarks:
		words = "with remarks"
	case strength.CountsNot:
		words = "no"
	default:
		if e.Open() {
			words, why = "open", "f writes down what was seen"
			if e.Outcome == pull.Broken {
				why = "f says where it broke"
			}
		}
	}
	if words == "" || why == "" {
		return words
	}
	return words + ": " + why
}

// shelfBar is who the bar is and what was measured on it.
func shelfBar(e *shelf.Entry, u si.System) string {
	parts := []string{barName(e)}
	if a := clean(e.Specimen.Alloy); a != "" {
		parts = append(parts, a)
	}
	if size := e.Specimen.SizeText(u); size != "" {
		parts = append(parts, size)
	}
	return strings.Join(parts, ", ")
}

// shelfState is kind, outcome and condition in one phrase.
func shelfState(e *shelf.Entry) string {
	kind := clean(string(e.Kind))
	switch e.Condition {
	case shelf.Writing:
		return kind + ", being written: a program writes to it now"
	case shelf.Unfinished:
		return kind + ", unfinished: it was cut off; what was saved is as good"
	}
	words := kind + ", " + strings.ReplaceAll(clean(string(e.Outcome)), "-", " ") + ", closed"
	if e.Outcome == pull.Slack {
		words = kind + ", " + strength.NoLoad(e.Imported) + ", closed"
	}
	switch {
	case e.Specimen.Simulated:
		words += ", simulated"
	case e.ByEye:
		words += "; no trace, a dial read by eye"
	case e.Imported:
		words += ", imported"
	}
	return words
}

// nextStep is what to do about a record that is not whole, and by which key.
func nextStep(c shelf.Condition) string {
	switch c {
	case shelf.Unfinished:
		return "R closes it with what is intact of its readings, then it has a result"
	case shelf.Writing:
		return "wait for the pull to end, then r reads the shelf again"
	case shelf.Damaged:
		return "draghand check says whether its readings are intact; x moves it to the trash"
	case shelf.Newer:
		return "update draghand; the record is not touched"
	}
	return "move it elsewhere, if it is not wanted here; x moves it to the trash"
}

// wrapUnits is wrap for texts with figures: a number keeps its unit.
func wrapUnits(s string, w, n int) []string { return wrapWords(bound(strings.Fields(s), w), w, n) }

// whole breaks a text into lines of w cells wherever they are full.
func whole(s string, w int) []string {
	return strings.Split(ansi.Hardwrap(s, max(1, w), false), "\n")
}
