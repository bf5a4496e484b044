package tui

import (
	"strings"

	"draghand/internal/pull"
	"draghand/internal/shelf"
	"draghand/internal/si"
)

// besideList is the least width of a screen with the chosen record beside the
// list; below it stands under it.
const besideList = 112

// View draws the frame.
func (m ShelfScreen) View() string {
	if m.width <= 0 || m.height <= 0 {
		return ""
	}
	p := &m.scratch.plate
	p.reset(m.width, m.height)
	if m.width < minWidth || m.height < minHeight {
		m.drawSmall(p)
	} else {
		m.drawShelf(p)
	}
	return p.frame(m.theme)
}

// shelfBelow is what stands below the list: a blank line, the keys.
const shelfBelow = 2

// above is what stands above the list: the title, a blank line or what must be
// read first, the heads of the columns.
func (m *ShelfScreen) above() int {
	lines, _ := alerts(m.look, m.units, m.width-4)
	return 2 + max(1, len(lines))
}

// moreHigh is the height of the chosen record under the list, its rule included;
// 0 where it stands beside it.
func (m *ShelfScreen) moreHigh() int {
	if m.width >= besideList {
		return 0
	}
	return min(8, m.height/3)
}

// rows is how many records fit.
func (m *ShelfScreen) rows() int {
	return max(1, m.height-m.above()-shelfBelow-m.moreHigh())
}

func (m *ShelfScreen) drawShelf(p *plate) {
	p.right(p.w-2, 0, 10, "shelf", strong)
	p.text(2, 0, p.w-16, m.title(), plain)
	m.drawKeys(p, p.h-1)
	lines, inks := alerts(m.look, m.units, p.w-4)
	for i, l := range lines {
		p.band(1+i, inks[i])
		p.text(2, 1+i, p.w-4, l, inks[i])
	}
	if len(m.all) == 0 {
		m.drawNothing(p)
		return
	}
	w, more := p.w-4, 0
	if m.moreHigh() == 0 {
		more = max(36, p.w*2/7)
		w -= more + 3
	}
	m.drawList(p, w)
	if more > 0 {
		m.drawMore(p, p.w-2-more, m.above()-1, more, p.h-shelfBelow-m.above()+1)
		return
	}
	y := p.h - shelfBelow - m.moreHigh() + 1
	m.drawMore(p, 2, y, w, m.moreHigh()-1)
}

// title is how much stands there, and what is under way.
func (m *ShelfScreen) title() string {
	words := ""
	switch n := len(m.all); {
	case n == 1:
		words = "1 pull record"
	case n > 1:
		words = si.Number(float64(n), 0) + " pull records, newest first"
		if n > m.rows() {
			words += "   number " + si.Number(float64(m.chosen+1), 0) + " is chosen"
		}
	}
	if m.reading && m.read {
		words += "   reading the shelf …"
	}
	return words
}

// drawNothing says why there is no list, and what to do.
func (m *ShelfScreen) drawNothing(p *plate) {
	y := m.above() - 1
	say := func(text string, k ink) {
		for _, l := range wrap(text, min(p.w-4, 100), 4) {
			p.text(2, y, p.w-4, l, k)
			y++
		}
	}
	switch {
	case m.reading:
		say("reading the shelf …", strong)
	case m.failed != "":
		say("the shelf cannot be read", stop)
		say(clean(m.failed), plain)
		y++
		say("see that the folder is there and may be read, then press r", plain)
	default:
		say("no pull records yet", strong)
		y++
		say("a pull that is armed on the bench stands here once it begins. To try it without a rig, choose sim: as the source there", plain)
	}
}

// shelfColumn is a column of the list.
type shelfColumn struct {
	head string
	wide int
	text func(m *ShelfScreen, e *shelf.Entry) string
}

// columns are as many as fit into w cells; the last takes what is left.
func (m *ShelfScreen) columns(w int) []shelfColumn {
	out := []shelfColumn{
		{"began", 16, func(m *ShelfScreen, e *shelf.Entry) string { return m.began(e, "2006-01-02 15:04") }},
		{"bar", 10, func(_ *ShelfScreen, e *shelf.Entry) string { return barName(e) }},
	}
	if w >= 100 {
		out[1].wide = 18
		out = append(out,
			shelfColumn{"alloy", 14, func(_ *ShelfScreen, e *shelf.Entry) string { return clean(e.Specimen.Alloy) }},
			shelfColumn{"diameter", 9, func(m *ShelfScreen, e *shelf.Entry) string {
				if d := e.Specimen.Diameter(); d > 0 {
					return d.Size(m.units)
				}
				if e.Specimen.Area() > 0 {
					return "not round"
				}
				return ""
			}},
		)
	}
	out = append(out,
		shelfColumn{"result", 18, func(m *ShelfScreen, e *shelf.Entry) string { return e.Result(m.units) }},
		shelfColumn{"outcome", 0, func(_ *ShelfScreen, e *shelf.Entry) string {
			return strings.Replace(clean(e.How()), string(pull.LetOff), "let off", 1)
		}},
	)
	last := &out[len(out)-1]
	last.wide = w - 2
	for _, c := range out[:len(out)-1] {
		last.wide -= c.wide + 2
	}
	return out
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

func (m *ShelfScreen) drawList(p *plate, w int) {
	cols := m.columns(w)
	y := m.above() - 1
	x := 4
	for _, c := range cols {
		p.text(x, y, c.wide, c.head, faint)
		x += c.wide + 2
	}
	for i := m.top; i < min(m.top+m.rows(), len(m.all)); i++ {
		y++
		e := &m.all[i]
		k, x := plain, 4
		if i == m.chosen {
			k = strong
			p.text(2, y, 1, "▸", strong)
		}
		for at, c := range cols {
			ck := k
			if at == len(cols)-1 && e.Condition != shelf.Whole {
				ck = conditionInk(e.Condition)
			}
			if !e.Readable() && at == 1 { // the folder's name needs the room of what is not known
				room := w - 2 - (x - 4) - cols[len(cols)-1].wide - 2
				p.text(x, y, room, c.text(m, e), k)
			} else if e.Readable() || at == 0 || at == len(cols)-1 {
				p.text(x, y, c.wide, c.text(m, e), ck)
			}
			x += c.wide + 2
		}
	}
}

// drawKeys is the last line: what is under way, a note, or the keys.
func (m *ShelfScreen) drawKeys(p *plate, y int) {
	w := p.w - 4
	switch {
	case m.opening != "":
		p.text(2, y, w, "opening "+clean(m.opening)+" …", strong)
	case m.note != "": // it may need the blank line above too
		lines := wrap(troubleText(m.note, 2*w-8), w, 2)
		for i, l := range lines {
			p.text(2, y-len(lines)+1+i, w, l, strong)
		}
	case m.failed != "" && len(m.all) > 0:
		p.text(2, y, w, troubleText("not read again: "+m.failed, w), stop)
	default:
		h := plainHelp(w)
		p.text(2, y, w, h.ShortHelpView(m.keys.line()), faint)
	}
}

// mostUrgent is the line that stays in sight under help.
func (m ShelfScreen) mostUrgent(w int) (string, ink) {
	if lines, inks := alerts(m.look, m.units, w); len(lines) > 0 {
		return lines[0], inks[0]
	}
	return "", plain
}
