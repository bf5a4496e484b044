package tui

import (
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/pull"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// shelfColumn is a column of the list.
type shelfColumn struct {
	head string
	by   shelf.SortKey
	wide int
	text func(m *ShelfScreen, e *shelf.Entry) string
}

// shelfWidths is how wide the widest text of a column is, over all records, so that
// columns stand still while the list is moved through.
type shelfWidths struct{ bar, alloy, result, how int }

// widthsOf looks at all records. It is called outside Update where there may be many.
func widthsOf(all []shelf.Entry, u si.System) shelfWidths {
	w := shelfWidths{bar: 5, alloy: 5, result: 8, how: 9}
	for i := range all {
		e := &all[i]
		w.how = max(w.how, min(24, ansi.StringWidth(howText(e))))
		if !e.Readable() {
			continue
		}
		w.bar = max(w.bar, min(18, ansi.StringWidth(barName(e))))
		w.alloy = max(w.alloy, min(14, ansi.StringWidth(clean(e.Specimen.Alloy))))
		w.result = max(w.result, min(26, ansi.StringWidth(resultText(e, u))))
	}
	return w
}

// The least width of a list with all columns, and of one with whole words in them.
const (
	allColumns   = 104
	roomyColumns = 128
)

// columns are as many as fit into w cells, with a gap between them; the last takes what
// is left.
func (m *ShelfScreen) columns(w int) (out []shelfColumn, gap int) {
	had := m.widest
	began := shelfColumn{"began", shelf.ByBegan, 16, func(m *ShelfScreen, e *shelf.Entry) string { return m.began(e, "2006-01-02 15:04") }}
	bar := shelfColumn{"bar", shelf.ByBar, had.bar, func(_ *ShelfScreen, e *shelf.Entry) string { return barName(e) }}
	alloy := shelfColumn{"alloy", shelf.ByAlloy, had.alloy, func(_ *ShelfScreen, e *shelf.Entry) string { return clean(e.Specimen.Alloy) }}
	diameter := shelfColumn{"diameter", shelf.ByDiameter, 9, func(m *ShelfScreen, e *shelf.Entry) string { return diameterText(e, m.units) }}
	result := shelfColumn{"strength", shelf.ByStrength, had.result, nil}
	elongation := shelfColumn{"elongation", shelf.ByElongation, 10, func(_ *ShelfScreen, e *shelf.Entry) string { return elongationText(e) }}
	counts := shelfColumn{"counts", shelf.ByCounts, 6, func(_ *ShelfScreen, e *shelf.Entry) string { return countsShort(e) }}
	if w >= roomyColumns {
		counts.wide, counts.text = 15, func(_ *ShelfScreen, e *shelf.Entry) string { return countsText(e) }
	}
	outcome := shelfColumn{"outcome", shelf.ByOutcome, had.how, func(_ *ShelfScreen, e *shelf.Entry) string { return howText(e) }}

	out = []shelfColumn{began, bar, result, counts, outcome}
	if w >= allColumns {
		out = []shelfColumn{began, bar, alloy, diameter, result, elongation, counts, outcome}
	}
	gap = 2
	left := w - listFrom - gap*(len(out)-1)
	for _, c := range out {
		left -= c.wide
	}
	if left < 0 {
		gap, left = 1, left+len(out)-1
	}
	for _, least := range []struct {
		by   shelf.SortKey
		wide int
	}{{shelf.ByStrength, 17}, {shelf.ByBar, 8}, {shelf.ByAlloy, 6}, {shelf.ByBar, 7}} {
		for i := range out {
			if short := min(-left, out[i].wide-least.wide); out[i].by == least.by && short > 0 {
				out[i].wide -= short
				left += short
			}
		}
	}
	out[len(out)-1].wide += left
	for i := range out {
		if wide := out[i].wide; out[i].by == shelf.ByStrength {
			out[i].text = func(m *ShelfScreen, e *shelf.Entry) string { return resultIn(e, m.units, wide) }
		}
	}
	return out, gap
}

// listFrom is how many cells stand before the columns: the sign of the chosen record,
// the letter of a mark, blanks.
const listFrom = 4

// resultText is the strength with its expanded uncertainty, or what stands for it.
func resultText(e *shelf.Entry, u si.System) string {
	v := max(e.Strength, e.AtLeast)
	if v == 0 || e.Expanded == 0 || e.Condition != shelf.Whole {
		return clean(e.Result(u))
	}
	number, doubt, unit := strength.Doubted(v, e.Expanded, u)
	text := number + " ± " + doubt + " " + unit
	if e.Strength == 0 {
		text = "at least " + text
	}
	return text
}

// resultIn is the same in w cells: half a number would be another one, so the
// uncertainty gives way first.
func resultIn(e *shelf.Entry, u si.System, w int) string {
	if t := resultText(e, u); ansi.StringWidth(t) <= w {
		return t
	}
	return clean(e.Result(u))
}

// howText is the outcome in words.
func howText(e *shelf.Entry) string {
	return strings.Replace(clean(e.How()), string(pull.LetOff), "let off", 1)
}

func diameterText(e *shelf.Entry, u si.System) string {
	if d := e.Specimen.Diameter(); d > 0 {
		return d.Size(u)
	}
	if e.Specimen.Area() > 0 {
		return "not round"
	}
	return ""
}

// elongationText is the elongation after the break; empty where it was not measured.
func elongationText(e *shelf.Entry) string {
	if e.Elongation == nil {
		return ""
	}
	return si.Number(100**e.Elongation, 1) + " %"
}

// countsShort is a sign and a word: whether a pull is a strength of its bar.
func countsShort(e *shelf.Entry) string {
	switch e.Counts {
	case strength.Counts:
		return "+ yes"
	case strength.CountsWithRemarks:
		return "! with"
	case strength.CountsNot:
		return "× no"
	}
	if e.Kind == pull.Tension && e.Condition == shelf.Whole {
		return "? open"
	}
	return ""
}

// countsText is the same where there is room.
func countsText(e *shelf.Entry) string {
	if e.Counts == strength.CountsWithRemarks {
		return "! with remarks"
	}
	return countsShort(e)
}

// began is when a pull began, in the time here.
func (m *ShelfScreen) began(e *shelf.Entry, layout string) string {
	if e.When().IsZero() {
		return "–"
	}
	return e.When().In(m.zone).Format(layout)
}

// barName is what a list calls a bar; of a record that cannot be read, its
// folder.
func barName(e *shelf.Entry) string {
	melt, id := clean(e.Specimen.Melt), clean(e.Specimen.ID)
	switch {
	case !e.Readable():
		return clean(e.Name)
	case melt == "" && id == "":
		return "–"
	case melt == "" || id == "":
		return melt + id
	}
	return melt + "-" + id
}

// conditionInk marks what cannot be trusted whole; its word is beside it.
func conditionInk(c shelf.Condition) ink {
	switch c {
	case shelf.Damaged:
		return stop
	case shelf.Unfinished, shelf.Newer:
		return caution
	case shelf.Writing:
		return live
	case shelf.Foreign:
		return faint
	}
	return plain
}
