package tui

import (
	"fmt"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// View draws the frame.
func (m CompareScreen) View() string {
	return m.scratch.framed(m.width, m.height, m.theme, m.drawCompare, m.drawSmall)
}

// drawCompare draws from the top: whose bars, what must be read now, the answer and
// its figures; from the bottom the keys. Words, bars and plots take what is left.
func (m *CompareScreen) drawCompare(p *plate) {
	x := p.right(p.w-2, 0, 40, m.simulated()+"compare", strong)
	p.text(2, 0, x-5, m.title(x-5), plain)
	y := 2
	if lines, inks := alerts(m.look, m.units, p.w-4); len(lines) > 0 {
		y = 1 + len(lines)
		for i, l := range lines {
			p.band(1+i, inks[i])
			p.text(2, 1+i, p.w-4, l, inks[i])
		}
	}
	g := m.group()
	if g == nil {
		m.drawNone(p, y)
		m.drawKeys(p, p.h-1)
		return
	}
	r := m.rooms()
	m.drawAnswer(p, &r, g)
	for i, l := range r.sentence {
		k := plain
		if i < r.strong {
			k = strong
		}
		p.text(2, r.sentenceY+i, p.w-4, l, k)
	}
	if r.list.h > 1 {
		m.drawWords(p, &r, g)
	}
	if r.bars.h > 2 {
		m.drawBars(p, r.bars, g)
	}
	if r.dots.h > 2 {
		m.drawDots(p, r.dots)
	}
	if r.spread.h > 2 {
		m.drawSpread(p, r.spread, g, r.dots.h > 0)
	}
	m.drawTyping(p, r.end)
	m.drawKeys(p, p.h-1)
}

// simulated says that the group's bars are no metal.
func (m *CompareScreen) simulated() string {
	g := m.group()
	if g == nil {
		return ""
	}
	switch n, of := g.Simulated(); {
	case n == 0:
		return ""
	case n < of:
		return "partly simulated   "
	}
	return "simulated   "
}

// title is the group, which of several it is, and what is being done.
func (m *CompareScreen) title(w int) string {
	g := m.group()
	switch {
	case g == nil:
		return cut(fmt.Sprintf("%s by %s", pullsText(len(m.dirs)), byWord(m.by.Field)), w)
	case m.running:
		return joinFit(w, m.groupName(g), "reckoning anew …")
	}
	name := m.groupName(g)
	switch n, of := g.Simulated(); {
	case n > 0 && n < of:
		name += fmt.Sprintf(": %s, %d simulated", pullsText(of), n)
	default:
		name += ": " + pullsText(of)
	}
	which := fmt.Sprintf("%d of %d by %s", m.chosen+1, len(m.c.Groups), byWord(m.c.By.Field))
	switch {
	case m.c.By.Field == compare.ByAll:
		which = ""
	case len(m.c.Groups) > 1:
		which += ": left/right"
	}
	all := ""
	if len(m.c.Groups) > 1 {
		all = "of " + pullsText(len(m.pulls)-m.c.UnreadCount()) + " in all"
	}
	return joinFit(w, name, which, all)
}

func pullsText(n int) string {
	if n == 1 {
		return "1 pull"
	}
	return si.Number(float64(n), 0) + " pulls"
}

// byWord is what pulls are grouped by, in words.
func byWord(f compare.Field) string {
	switch f {
	case compare.ByAll:
		return "nothing, all together"
	case compare.ByMarked:
		return "mark"
	}
	return string(f)
}

// groupName is what a group is called where it stands alone.
func (m *CompareScreen) groupName(g *compare.Group) string {
	name := cut(clean(g.Name), 30)
	switch m.c.By.Field {
	case compare.ByAll:
		if one := g.OneMelt(); one != "" {
			return "melt " + cut(clean(one), 30)
		}
		return "all bars"
	case compare.ByMelt:
		return "melt " + name
	case compare.ByMarked:
		return "group " + name
	}
	return name
}

// drawNone says what is under way, or why there is nothing.
func (m *CompareScreen) drawNone(p *plate, y int) {
	text, k := m.none()
	for _, l := range wrap(text, min(p.w-4, 100), 6) {
		p.text(2, y, p.w-4, l, k)
		y++
	}
	if m.pulls != nil || m.failed != "" || len(m.dirs) == 0 {
		return
	}
	w := min(p.w-4, 60)
	full := w * min(m.done, len(m.dirs)) / len(m.dirs)
	for x := range w {
		r, k := '·', faint
		if x < full {
			r, k = '█', live
		}
		p.set(2+x, y+1, r, k)
	}
}

func (m *CompareScreen) none() (string, ink) {
	switch {
	case m.failed != "":
		return "the pulls could not be reckoned: " + clean(m.failed), stop
	case m.pulls == nil:
		return fmt.Sprintf("reckoning %s of %s …  from their readings, as they were recorded", si.Number(float64(min(m.done+1, len(m.dirs))), 0), si.Number(float64(len(m.dirs)), 0)), strong
	case m.running:
		return "setting them beside each other …", strong
	}
	return "nothing to compare: choose pulls on the shelf", strong
}

// drawAnswer draws the strength to count on and, beside it, what the group is.
func (m *CompareScreen) drawAnswer(p *plate, r *compareRooms, g *compare.Group) {
	a := m.answer(g)
	drawFigure(p, r.figure, a.text, "", a.unit, a.what, r.size, a.ink)
	for i, l := range m.factLines(g, r.facts.w) {
		if i < r.facts.h {
			l.draw(p, r.facts.x-2, r.facts.y+i, r.facts.w+2, compareFactWide)
		}
	}
}

// asking is what is typed now, or what is wrong with it, in lines.
func (m *CompareScreen) asking() []string {
	ask := "the bound, content/confidence in %, as 90/95 or 99/90:"
	if m.typing == typingMinimum {
		ask = "the minimum strength, as 40 ksi or 275 MPa; nothing: none"
	}
	if m.fault != "" {
		ask = "not usable: " + clean(m.fault)
	}
	return wrap(ask, m.width-4, 3)
}

// drawTyping is the line that is typed, and what is wrong with it.
func (m *CompareScreen) drawTyping(p *plate, y int) {
	if m.typing == typingNothing {
		return
	}
	k := strong
	if m.fault != "" {
		k = warning
	}
	for _, l := range m.asking() {
		p.text(2, y, p.w-4, l, k)
		y++
	}
	line := benchLine{mark: true, edit: &m.edit}
	line.draw(p, 2, y, p.w-4, 0)
}

// drawKeys is the last line: what is being done, a note, or the keys.
func (m *CompareScreen) drawKeys(p *plate, y int) {
	w := p.w - 4
	switch {
	case m.opening != "":
		p.text(2, y, w, "opening "+m.opening+" …", strong)
	case m.keeping:
		p.text(2, y, w, "writing the report …", strong)
	case m.note != "": // a path is needed whole: it may take the lines above
		lines := noteLines(clean(m.note), w)
		for i, l := range lines {
			row := y - len(lines) + 1 + i
			p.band(row, plain)
			p.text(2, row, w, l, m.noteInk)
		}
	default:
		p.text(2, y, w, closeKeys(m.line(), w), faint)
	}
}

// noteLines are a note in at most four lines of w cells, a path in it whole.
func noteLines(note string, w int) []string {
	lines := wrapWhole(note, w)
	if len(lines) > 4 {
		lines = wrap(troubleText(note, 3*w), w, 4)
	}
	return lines
}

// mostUrgent is the line that stays in sight under help.
func (m CompareScreen) mostUrgent(w int) (string, ink) {
	return firstAlert(m.look, m.units, w)
}

// drawSmall is the comparison of a terminal too small for it: the answer in words.
func (m *CompareScreen) drawSmall(p *plate) {
	c := column{p: p}
	say := c.say
	c.alerts(m.look, m.units, 2*p.w)
	if m.typing != typingNothing {
		say("typing: "+m.edit.text(), strong, 2)
		say(clean(m.fault), warning, 2)
	}
	if m.note != "" {
		say(clean(m.note), m.noteInk, 4)
	}
	say(m.title(p.w), strong, 1)
	if g := m.group(); g == nil {
		t, k := m.none()
		say(t, k, 4)
	} else {
		t, k := m.holds(g)
		say("minimum: "+t, k, 2)
		say(m.sentence(g), strong, 9)
		for _, l := range m.doubts(g) {
			if c.y < p.h-3 {
				say("△ "+l, caution, 2)
			}
		}
	}
	if c.y < p.h-1 {
		say(fmt.Sprintf("this screen needs %d columns and %d lines; here are %d and %d", minWidth, minHeight, p.w, p.h), faint, 3)
	}
	if c.y < p.h {
		p.text(0, p.h-1, p.w, closeKeys(m.line(), p.w), faint)
	}
}
