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
	gap  int // behind it
	text func(m *ShelfScreen, e *shelf.Entry) string
}

// shelfWidths is how wide the widest text of a column is, over all records, so that
// columns stand still while the list is moved through.
type shelfWidths struct {
	bar, alloy, result, how int
	seconds                 bool // two pulls of a bar of the same name began within one minute
}

// How the begin of a pull is written, and where two must be told apart.
const (
	beganMinutes = "2006-01-02 15:04"
	beganSeconds = "2006-01-02 15:04:05"
)

// widthsOf looks at all records. It is called outside Update where there may be many.
func widthsOf(all []shelf.Entry, u si.System) shelfWidths {
	w := shelfWidths{bar: 5, alloy: 5, result: 8, how: 9}
	type look struct {
		minute   int64
		melt, id string
	}
	seen := make(map[look]bool, len(all))
	for i := range all {
		e := &all[i]
		w.how = max(w.how, min(24, ansi.StringWidth(howText(e))))
		if !e.Readable() {
			continue
		}
		alike := look{e.When().Unix() / 60, e.Specimen.Melt, e.Specimen.ID}
		w.seconds, seen[alike] = w.seconds || seen[alike], true
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

// columns are as many as fit into w cells; the last takes what is left. Where room is
// short the gaps give way, the uncertainty of what bars bore at least and the names.
func (m *ShelfScreen) columns(w int) []shelfColumn {
	had := m.widest
	column := func(by shelf.SortKey, wide int, text func(m *ShelfScreen, e *shelf.Entry) string) shelfColumn {
		return shelfColumn{head: string(by), by: by, wide: wide, gap: 2, text: text}
	}
	layout := beganMinutes
	if had.seconds {
		layout = beganSeconds
	}
	began := column(shelf.ByBegan, len(layout), func(m *ShelfScreen, e *shelf.Entry) string { return m.began(e, layout) })
	bar := column(shelf.ByBar, had.bar, func(_ *ShelfScreen, e *shelf.Entry) string { return barName(e) })
	result := column(shelf.ByStrength, had.result, nil)
	counts := column(shelf.ByCounts, 6, func(_ *ShelfScreen, e *shelf.Entry) string { return countsShort(e) })
	if w >= allColumns {
		counts.wide, counts.text = 9, func(_ *ShelfScreen, e *shelf.Entry) string { return countsMiddle(e) }
	}
	if w >= roomyColumns {
		counts.wide, counts.text = 14, func(_ *ShelfScreen, e *shelf.Entry) string { return countsText(e) }
	}
	outcome := column(shelf.ByOutcome, had.how, func(_ *ShelfScreen, e *shelf.Entry) string { return howText(e) })
	out := []shelfColumn{began, bar, result, counts, outcome}
	if w >= allColumns {
		alloy := column(shelf.ByAlloy, had.alloy, func(_ *ShelfScreen, e *shelf.Entry) string { return clean(e.Specimen.Alloy) })
		diameter := column(shelf.ByDiameter, 9, func(m *ShelfScreen, e *shelf.Entry) string { return diameterText(e, m.units) })
		elongation := column(shelf.ByElongation, 10, func(_ *ShelfScreen, e *shelf.Entry) string { return elongationText(e) })
		out = []shelfColumn{began, bar, alloy, diameter, result, elongation, counts, outcome}
	}
	last := len(out) - 1
	out[last].gap = 0
	left := w - listFrom
	for _, c := range out {
		left -= c.wide + c.gap
	}
	give := func(by shelf.SortKey, least int) {
		for i := range out {
			if short := min(-left, out[i].wide-least); out[i].by == by && short > 0 {
				out[i].wide -= short
				left += short
			}
		}
	}
	if w < allColumns {
		give(shelf.ByStrength, leastResult)
	}
	for i := 0; i < last && left < 0; i++ {
		out[i].gap, left = 1, left+1
	}
	give(shelf.ByStrength, leastResult)
	give(shelf.ByBar, 8)
	give(shelf.ByAlloy, 6)
	give(shelf.ByBar, 7)
	out[last].wide = max(0, out[last].wide+left)
	for i := range out {
		if wide := out[i].wide; out[i].by == shelf.ByStrength {
			out[i].text = func(m *ShelfScreen, e *shelf.Entry) string { return resultIn(e, m.units, wide) }
		}
	}
	return out
}

// leastResult has room for "at least 44.7 ksi".
const leastResult = 17

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
	t := clean(e.Result(u))
	if gave := givingText(e, u); gave != "" && ansi.StringWidth(t) > w { // the peak is not what a crush is about
		return gave
	}
	return t
}

// givingText is where a block first gave in a crush; empty where that was not seen.
func givingText(e *shelf.Entry, u si.System) string {
	gave, _, ok := strings.Cut(clean(e.Result(u)), ", peak ")
	if !ok {
		return ""
	}
	return gave
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
		return "! rem."
	case strength.CountsNot:
		return "× no"
	}
	if e.Open() {
		return "? open"
	}
	return ""
}

// countsMiddle is the same where there is some room.
func countsMiddle(e *shelf.Entry) string {
	if e.Counts == strength.CountsWithRemarks {
		return "! remarks"
	}
	return countsShort(e)
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
		return unsure
	case shelf.Writing:
		return live
	case shelf.Foreign:
		return faint
	}
	return plain
}
