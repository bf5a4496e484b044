package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/pull"
)

// View draws the frame.
func (m AfterScreen) View() string {
	if m.width <= 0 || m.height <= 0 {
		return ""
	}
	p := &m.scratch.plate
	p.reset(m.width, m.height)
	switch {
	case m.width < minWidth || m.height < minHeight:
		m.drawSmall(p)
	case m.ended == nil:
		p.text(2, 0, p.w-4, "closing the pull and its record …", strong)
		m.drawKeys(p, p.h-1)
	default:
		m.drawAfter(p)
	}
	return p.frame(m.theme)
}

// ident is what was pulled, in the words of the bench and of the pull screen.
func (m *AfterScreen) ident(w int) string {
	bar := &m.ended.Bar
	var parts []string
	parts = append(parts, barWords(clean(bar.ID), pull.Kind(m.ended.Results.Kind), bar.Stock != ""))
	if bar.Melt != "" {
		parts = append(parts, "melt "+clean(bar.Melt))
	}
	parts = append(parts, clean(bar.Alloy))
	if d := bar.Diameter(); d > 0 {
		parts = append(parts, d.Size(m.view.Units))
	}
	if t := joinFit(w, parts...); t != "" {
		return t
	}
	return cut("no specimen named", w)
}

// cells is a text filled up or cut to w cells, the last of them blank.
func cells(s string, w int) string {
	s = cut(s, w-1)
	return s + strings.Repeat(" ", max(0, w-ansi.StringWidth(s)))
}

// drawAfter draws in the order of what must not be missed: a record that is not
// saved, load on the rig, how it came out, whether it passes and counts, where it
// is, what to know of it, and the other bars of the melt. It gives how many lines of
// the results there are, and how many are in sight.
func (m *AfterScreen) drawAfter(p *plate) (all, seen int) {
	e := m.ended
	roomy := p.h >= roomyBench
	right := "after the pull"
	if e.Bar.Simulated {
		right = "simulated   " + right
	}
	x := p.right(p.w-2, 0, p.w/2, right, strong)
	p.text(2, 0, x-5, m.ident(x-5), plain)
	y := 1
	words, _, _ := notKept(e)
	if words != "" {
		y = m.drawNotSaved(p, y, roomy)
	}
	if texts, k := alarmNow(m.view.Look, m.view.Units); texts != nil {
		h := headline{texts: texts}
		p.band(y, k)
		p.text(2, y, p.w-4, h.within(p.w-4), k)
		y++
	}
	if t := m.stillLoaded(); t != "" {
		p.band(y, warningBar)
		p.text(2, y, p.w-4, t, warningBar)
		y++
	}
	p.band(y, noteBar)
	p.text(2, y, p.w-4, outcomeLine(e), noteBar)
	y += 2 // a figure is not to touch a band
	y = m.drawResult(p, y, roomy)
	for _, l := range m.standing(p.w - 4) {
		l.draw(p, 2, y, p.w-4, afterWide)
		y++
	}
	if words == "" {
		t, k := savedLine(e, p.w-6-afterWide)
		p.text(4, y, 8, "saved", faint)
		p.text(4+afterWide, y, p.w-6-afterWide, t, k)
		y++
	}
	if roomy {
		y++
	}
	bottom := p.h - 1
	m.drawKeys(p, bottom)
	if m.mode == remarking {
		bottom -= 2
		p.text(2, bottom, p.w-4, "your remark, kept in the record:", strong)
		line := benchLine{mark: true, edit: &m.edit}
		line.draw(p, 2, bottom+1, p.w-4, 0)
	}
	if m.failed != "" {
		bottom--
		p.text(2, bottom, p.w-4, troubleText(m.failed, p.w-4), stop)
	}
	return m.drawLists(p, room{2, y, p.w - 4, bottom - y})
}

// drawLists are the results and the bars of the melt: side by side where there is
// room, else below each other.
func (m *AfterScreen) drawLists(p *plate, r room) (all, seen int) {
	title := "bars of this melt in this sitting"
	if melt := clean(m.ended.Bar.Melt); melt != "" {
		title = "bars of melt " + cut(melt, 20) + " in this sitting"
	}
	bars := m.barLines()
	if p.w >= wideBench {
		left := room{r.x, r.y, r.w*3/5 - 2, r.h}
		right := room{r.x + r.w*3/5, r.y, r.w - r.w*3/5, r.h}
		right.draw(p, title, false, bars, 0, 0, len(bars)-1)
		return m.drawKnow(p, left)
	}
	low := min(len(bars)+1, max(3, (2*r.h+4)/5))
	if r.h < 7 || len(bars) < 2 { // the only bar is the one above
		low = 0
	}
	upper, lower := r, r
	upper.h -= low
	lower.y, lower.h = r.y+upper.h, low
	lower.draw(p, title, false, bars, 0, 0, len(bars)-1)
	return m.drawKnow(p, upper)
}

// drawKnow are the results; where some are out of sight the heading says by which
// keys they come.
func (m *AfterScreen) drawKnow(p *plate, r room) (all, seen int) {
	lines := m.lines(r.w)
	if r.h <= 0 || r.w <= 4 {
		return len(lines), 0
	}
	more := r.list(p, lines, afterWide, m.from, -1)
	if more != "" {
		more += ": up/down"
	}
	r.heading(p, "what to know of it", false, more)
	return len(lines), max(0, r.h-1)
}

// drawNotSaved says first and large that the record is not where it should be.
func (m *AfterScreen) drawNotSaved(p *plate, y int, roomy bool) int {
	words, why, bar := notKept(m.ended)
	large := stop
	if bar != stopBar {
		large = warning
	}
	most := 1
	if roomy {
		most = 3
	}
	if size := fit(words, most, p.w-4, 8); size > 0 {
		p.figures(2, y, words, size, large)
		_, h := figureSize(words, size)
		y += h
	}
	for _, l := range wrap(why, p.w-4, 3) {
		p.band(y, bar)
		p.text(2, y, p.w-4, l, bar)
		y++
	}
	return y
}

// drawResult are the two figures: what came out, and the drag hand. Where nothing
// came out but a force, the drag hand stands alone.
func (m *AfterScreen) drawResult(p *plate, y int, roomy bool) int {
	u := m.view.Units
	size := 2
	switch {
	case roomy && p.h >= 52 && p.w >= 150:
		size = 4
	case roomy:
		size = 3
	case m.mode == remarking:
		size = 1
	default:
		if words, _, _ := notKept(m.ended); words != "" {
			size = 1
		}
	}
	out, have := resultFigure(m.ended, u)
	top, seen := handFigure(m.ended, u)
	half := p.w / 2
	switch {
	case have && seen:
		drawFigure(p, room{half + 2, y, p.w - half - 4, 0}, top.text, "", top.unit, top.what, size, hand)
		return drawFigure(p, room{2, y, half - 4, 0}, out.text, "", out.unit, out.what, size, strong)
	case have:
		return drawFigure(p, room{2, y, half - 4, 0}, out.text, "", out.unit, out.what, size, strong)
	case seen:
		return drawFigure(p, room{2, y, p.w - 4, 0}, top.text, "", top.unit, top.what, size, hand)
	}
	p.text(2, y, p.w-4, "no force was measured", strong)
	return y + 1
}

// drawKeys is the last line: a note, or the keys.
func (m *AfterScreen) drawKeys(p *plate, y int) {
	w := p.w - 4
	if m.mode == parting {
		p.band(y, noteBar)
		p.text(2, y, w, m.leaveQuestion(), noteBar)
		return
	}
	if m.note != "" {
		p.text(2, y, w, troubleText(m.note, w), strong)
		return
	}
	p.text(2, y, w+1, closeKeys(m.keys.line(m.mode), w+1), faint)
}

// mostUrgent is the line that stays in sight under help.
func (m AfterScreen) mostUrgent(w int) (string, ink) {
	if m.ended == nil {
		return "", plain
	}
	if words, why, k := notKept(m.ended); words != "" {
		return cut(words+": "+why, w), k
	}
	if texts, k := alarmNow(m.view.Look, m.view.Units); texts != nil {
		h := headline{texts: texts}
		return cut(h.within(w), w), k
	}
	if t := m.stillLoaded(); t != "" {
		return cut(t, w), warningBar
	}
	return cut(outcomeLine(m.ended), w), strong
}

// drawSmall is the screen of a terminal too small for figures.
func (m *AfterScreen) drawSmall(p *plate) {
	y := 0
	say := func(t string, k ink, most int) {
		for _, l := range wrap(t, p.w, most) {
			p.text(0, y, p.w, l, k)
			y++
		}
	}
	if e := m.ended; e == nil {
		say("closing the pull and its record", strong, 2)
	} else {
		if words, why, k := notKept(e); words != "" {
			say(words+": "+why, k, 4)
		}
		if texts, k := alarmNow(m.view.Look, m.view.Units); texts != nil {
			say(texts[0], k, 3)
		}
		if t := m.stillLoaded(); t != "" {
			say(t, warningBar, 3)
		}
		say(outcomeLine(e), strong, 2)
		u := m.view.Units
		if r, ok := resultFigure(e, u); ok {
			say(r.text+" "+r.unit+" "+r.what, strong, 2)
		}
		if r, ok := handFigure(e, u); ok {
			say("drag hand "+r.text+" "+r.unit, hand, 1)
		}
		for _, label := range []string{"verdict", "counts"} {
			if t := m.resultText(label); t != "" {
				say(label+": "+standingText(label, t), m.standingInk(label), 2)
			}
		}
		if t, k := savedLine(e, 2*p.w-9); k == good {
			say("saved as "+t, k, 2)
		}
	}
	if m.failed != "" {
		say(clean(m.failed), stop, 3)
	}
	if m.mode == remarking {
		say("your remark: "+m.edit.text(), strong, 3)
	}
	if m.mode == parting {
		say(m.leaveQuestion(), noteBar, 3)
	}
	if m.note != "" {
		say(clean(m.note), strong, 1)
	}
	if y < p.h {
		say(fmt.Sprintf("this screen needs %d columns and %d lines; here are %d and %d", minWidth, minHeight, p.w, p.h), faint, 3)
	}
	if y < p.h && m.mode != parting {
		p.text(0, p.h-1, p.w, closeKeys(m.keys.line(m.mode), p.w), faint)
	}
}
