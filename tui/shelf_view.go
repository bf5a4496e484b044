package tui

import (
	"draghand/internal/shelf"
	"draghand/internal/si"
)

// besideList is the least width of a screen with the chosen record beside the
// list; below it stands under it.
const besideList = 176

// View draws the frame.
func (m ShelfScreen) View() string {
	return m.scratch.framed(m.width, m.height, m.theme, m.drawShelf, m.drawSmall)
}

// keyHigh is how many lines the keys have: all of them stand there where the screen is
// high.
func (m *ShelfScreen) keyHigh() int {
	if m.height >= roomyBench && m.width < besideList {
		return 2
	}
	return 1
}

// below is what stands below the list: a blank line, the keys.
func (m *ShelfScreen) below() int { return 1 + m.keyHigh() }

// above is what stands above the list: the title, a blank line or what must be
// read first, the filter, the heads of the columns.
func (m *ShelfScreen) above() int {
	lines, _ := alerts(m.look, m.units, m.width-4)
	return 2 + max(1, len(lines)) + m.filterHigh()
}

// moreHigh is the height of the chosen record under the list, its rule included;
// 0 where it stands beside it.
func (m *ShelfScreen) moreHigh() int {
	if m.width >= besideList {
		return 0
	}
	return min(14, m.height/3)
}

// rows is how many records fit.
func (m *ShelfScreen) rows() int {
	return max(1, m.height-m.above()-m.below()-m.moreHigh())
}

func (m *ShelfScreen) drawShelf(p *plate) {
	p.right(p.w-2, 0, 10, "shelf", strong)
	p.text(2, 0, p.w-10, m.title(p.w-10), plain)
	lines, inks := alerts(m.look, m.units, p.w-4)
	for i, l := range lines {
		p.band(1+i, inks[i])
		p.text(2, 1+i, p.w-4, l, inks[i])
	}
	if len(m.all) == 0 {
		m.drawNothing(p)
		m.drawKeys(p, p.h-1)
		return
	}
	m.drawFilter(p, 1+max(1, len(lines)))
	w, more := p.w-4, m.moreRoom()
	if m.moreHigh() == 0 {
		w -= more.w + 3
	}
	m.drawList(p, w)
	m.drawMore(p, more)
	m.drawKeys(p, p.h-1)
}

// title is how much stands there and in which order, in w cells, and what is under
// way.
func (m *ShelfScreen) title(w int) string {
	if len(m.all) == 0 {
		return ""
	}
	n, all := len(m.shown), len(m.all)
	pulls := all - m.foreign
	count := si.Number(float64(pulls), 0) + " pull records"
	if pulls == 1 {
		count = "1 pull record"
	}
	if m.filter.text != "" {
		count = si.Number(float64(n-m.aside), 0) + " of " + count
	}
	aside := m.foreign
	if m.filter.text != "" {
		aside = m.aside
	}
	switch {
	case aside == 1:
		count += ", 1 other folder"
	case aside > 1:
		count += ", " + si.Number(float64(aside), 0) + " other folders"
	}
	if all > 1 {
		count += ", " + m.order.text()
	}
	place, reading := "", ""
	if n > m.rows() {
		place = "number " + si.Number(float64(m.chosen+1), 0) + " is chosen"
	}
	switch {
	case m.narrowing.behind:
		reading = "filtering …"
	case m.sorting.behind:
		reading = "sorting …"
	case m.reading && m.read:
		reading = "reading the shelf …"
	}
	return joinFit(w, count, m.markedText(), reading, place)
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
	case m.reading && !m.read:
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

func (m *ShelfScreen) drawList(p *plate, w int) {
	cols := m.columns(w)
	y := m.above() - 1
	x := 2 + listFrom
	for _, c := range cols {
		head, k := c.head, faint
		if c.by == m.order.by && len(m.all) > 1 {
			sign := m.order.sign()
			if len(head)+2 <= c.wide {
				sign = " " + sign
			}
			head, k = head+sign, strong
		}
		p.text(x, y, c.wide+1, head, k)
		x += c.wide + c.gap
	}
	if len(m.shown) == 0 {
		none := "the filter takes none of them: / changes it, esc takes it away"
		switch {
		case m.narrowing.behind:
			none = "filtering …"
		case m.mode == filtering:
			none = "the filter takes none of them: esc takes it away"
		}
		p.text(2+listFrom, y+2, w-listFrom, none, strong)
		return
	}
	for i := m.top; i < min(m.top+m.rows(), len(m.shown)); i++ {
		y++
		m.drawRow(p, y, w, cols, &m.all[m.shown[i]], i == m.chosen)
	}
}

// drawRow is one record. Of one that cannot be read the folder's name has the room of
// what is not known.
func (m *ShelfScreen) drawRow(p *plate, y, w int, cols []shelfColumn, e *shelf.Entry, chosen bool) {
	k, x := plain, 2+listFrom
	if chosen {
		k = strong
		p.text(2, y, 1, "▸", strong)
	}
	if g := m.marks[e.Dir]; g != 0 {
		p.text(4, y, 1, string(g), strong)
	}
	last := len(cols) - 1
	for at, c := range cols {
		switch {
		case !e.Readable() && at == 1:
			p.text(x, y, w+2-x-cols[last].wide-2, cutMiddle(c.text(m, e), w+2-x-cols[last].wide-2), k)
		case c.by == shelf.ByBar:
			p.text(x, y, c.wide, cutMiddle(c.text(m, e), c.wide), k)
		case at == last && e.Condition != shelf.Whole:
			p.text(x, y, c.wide, c.text(m, e), conditionInk(e.Condition))
		case e.Readable() || at == 0 || at == last:
			p.text(x, y, c.wide, c.text(m, e), k)
		}
		x += c.wide + c.gap
	}
}

// drawKeys is the last line: what is under way, a question, a note, or the keys; and
// the remark that is typed above it.
func (m *ShelfScreen) drawKeys(p *plate, y int) {
	w := p.w - 4
	if m.mode == noting {
		x := p.text(2, y-1, w/2, "remark on "+barName(&m.onto)+"  ", faint)
		m.edit.draw(p, x, y-1, p.w-2-x)
	}
	switch {
	case m.mode == trashing:
		p.band(y, noteBar)
		p.text(2, y, w, m.asked, noteBar)
	case m.opening != "":
		p.text(2, y, w, "opening "+clean(m.opening)+" …", strong)
	case m.busy != "":
		p.text(2, y, w, clean(m.busy)+" …", strong)
	case m.note != "" && m.mode == listing: // it may need the blank line above too
		lines := wrap(troubleText(m.note, 2*w-8), w, 2)
		for i, l := range lines {
			p.text(2, y-len(lines)+1+i, w, l, strong)
		}
	case m.note != "":
		p.text(2, y, w, troubleText(m.note, w), stop)
	default:
		lines := m.keys.lines(m.mode, w, m.keyHigh())
		if m.failed != "" && len(m.all) > 0 && m.mode != noting { // it stays, and so do the keys
			p.text(2, y-len(lines), w, troubleText("not read again: "+m.failed, w), stop)
		}
		for i, l := range lines {
			p.text(2, y-len(lines)+1+i, w, l, faint)
		}
	}
}

// mostUrgent is the line that stays in sight under help.
func (m ShelfScreen) mostUrgent(w int) (string, ink) {
	return firstAlert(m.look, m.units, w)
}
