package tui

import (
	"fmt"
	"slices"
	"strings"

	"draghand/internal/bench"
)

// mostRefusals are shown; how many more there are is said.
const mostRefusals = 3

// verdict is whether the pull may be armed, in w cells: that it is ready, or
// what stands in the way and what to do, those first that nothing can overrule.
func (m *BenchScreen) verdict(w int) []benchLine {
	var lines []benchLine
	say := func(k ink, t string, most int) {
		for _, l := range wrap(t, w-2, most) {
			lines = append(lines, benchLine{text: l, ink: k})
		}
	}
	if len(m.view.Unknown) > 0 && !m.columns() { // in columns the rig itself is in sight
		say(caution, "no known limit: "+unknownNames(m.view.Unknown), 1)
	}
	for _, t := range m.view.Cautions {
		say(caution, "▲ "+clean(t), 2)
	}
	if m.failed != "" {
		say(stop, "NOT ARMED: "+strings.TrimPrefix(clean(m.failed), "not armed: "), 2)
	}
	if m.view.TripNote != "" {
		say(caution, clean(m.view.TripNote), 1)
	}
	if l := m.view.LoadSeen; l != nil {
		say(caution, clean(l.Text(m.view.Units)), 1)
	}
	rs := m.refusals()
	final := anyFinal(rs)
	switch {
	case m.mode == asking:
		return append(lines, m.reason(rs)...)
	case len(rs) == 0:
		return append(lines, benchLine{text: "READY: a arms the pull; from then on everything is recorded", ink: noteBar})
	case final:
		say(warning, "cannot be armed yet:", 1)
	default:
		say(warning, "cannot be armed yet; o arms all the same, for a reason you give:", 1)
	}
	head := len(lines) - 1
	shown := rs[:min(len(rs), mostRefusals)]
	more := len(rs) - len(shown)
	each := 1
	if m.columns() || len(shown) == 1 {
		each = 2
	}
	for i, r := range shown {
		tail := ""
		if more > 0 && i == len(shown)-1 {
			tail = fmt.Sprintf("   and %d more", more)
		}
		dot := "· "
		room := w - 4 - len(tail)
		if each > 1 { // less what wrapping may leave empty
			room = each * (room - 8)
		}
		for _, l := range wrap(refusalText(&r, room), w-4-len(tail), each) {
			lines = append(lines, benchLine{text: dot + l, ink: plain})
			dot = "  "
		}
		if tail != "" {
			lines[len(lines)-1].text += tail
		}
	}
	if cutShort(lines[head+1:]) || more > 0 {
		h := headline{texts: []string{
			lines[head].text + "   (? tells all of it)",
			strings.Replace(lines[head].text, " you give", "", 1) + "  (? tells all)",
		}}
		lines[head].text = h.within(w - 2)
	}
	return lines
}

// cutShort says that words of some line had no room.
func cutShort(lines []benchLine) bool {
	return slices.ContainsFunc(lines, func(l benchLine) bool { return strings.Contains(l.text, "…") })
}

func finality(r bench.Refusal) int {
	if r.Final {
		return 0
	}
	return 1
}

// refusalText is a refusal and what to do, in w cells: cut in what is wrong
// before it is cut in what to do.
func refusalText(r *bench.Refusal, w int) string {
	what, next := clean(r.What), clean(r.Next)
	brief := clean(r.Brief)
	if brief == "" {
		brief, _, _ = strings.Cut(what, ": ")
	}
	h := headline{texts: []string{what + ": " + next, brief + ": " + next, cut(brief, w/2) + ": " + next}}
	if next == "" {
		h.texts = []string{what}
	}
	return cut(h.within(w), w)
}

// missing is why the pull is not armed, what nothing can overrule first, in w cells.
func (m *BenchScreen) missing(w int) string {
	const word = "not armed: "
	rs := m.refusals()
	if len(rs) == 0 {
		return word + "look again"
	}
	return word + refusalText(&rs[0], w-len(word))
}

// refusals are the reasons, those first that nothing can overrule.
func (m *BenchScreen) refusals() []bench.Refusal {
	rs := slices.Clone(m.view.Refusals)
	slices.SortStableFunc(rs, func(a, b bench.Refusal) int { return finality(a) - finality(b) })
	return rs
}

// wholeRows are the reasons, the cautions and the trouble with the source in full, for the help:
// the screen may have had no room for all their words.
func (m *BenchScreen) wholeRows() []helpRow {
	var rows []helpRow
	if m.view.Source == bench.SourceFailed {
		rows = append(rows, helpRow{"source", "FAILED: " + clean(m.view.SourceErr)})
	}
	for _, r := range m.refusals() {
		label := "overrule" // with o
		if r.Final {
			label = "needed"
		}
		rows = append(rows, helpRow{label, strings.TrimSuffix(clean(r.What)+": "+clean(r.Next), ": ")})
	}
	if len(rows) > 0 {
		rows = append(append([]helpRow{{"not armed, because", ""}}, rows...), helpRow{})
	}
	if len(m.view.Cautions) > 0 {
		rows = append(rows, helpRow{"to know before arming", ""})
		for _, t := range m.view.Cautions {
			rows = append(rows, helpRow{"caution", clean(t)})
		}
		rows = append(rows, helpRow{})
	}
	return rows
}

// reason is the line in which the person says why to arm all the same.
func (m *BenchScreen) reason(rs []bench.Refusal) []benchLine {
	what := ""
	if len(rs) > 0 {
		what = clean(rs[0].What)
	}
	if n := len(rs) - 1; n > 0 {
		what += fmt.Sprintf(", and %d more", n)
	}
	ask := "arm all the same: why? it is kept in the record"
	if m.short {
		ask = fmt.Sprintf("arm all the same: why? a reason needs at least %d letters", leastReason)
	}
	return []benchLine{
		{text: "in the way: " + what, ink: warning},
		{text: ask, ink: strong},
		{mark: true, edit: &m.edit},
	}
}
