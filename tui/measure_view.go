package tui

import (
	"fmt"

	"draghand/internal/watch"
)

// View draws the frame.
func (m MeasureScreen) View() string {
	return m.scratch.framed(m.width, m.height, m.theme, m.drawMeasure, m.drawSmall)
}

// ident is whose bar it is.
func (m *MeasureScreen) ident(w int) string {
	bar := m.of.Bar()
	parts := []string{"measure the bar"}
	for _, t := range []string{bar.ID, bar.Melt, bar.Alloy} {
		if t = clean(t); t != "" {
			parts = append(parts, cut(t, 24))
		}
	}
	if size := bar.SizeText(m.view.Units); size != "" {
		parts = append(parts, size+" before")
	}
	return joinFit(w, parts...)
}

// measureWide is the room of the labels.
const measureWide = 16

// wideMeasure is from what width on what is open stands beside the fields.
const wideMeasure = 110

// drawMeasure draws in the order of what must not be missed: load on the rig, what
// went wrong, the fields, and what stays open.
func (m *MeasureScreen) drawMeasure(p *plate) {
	right := "after the pull"
	if m.of.Bar().Simulated {
		right = "simulated   " + right
	}
	x := p.right(p.w-2, 0, p.w/2, right, strong)
	p.text(2, 0, x-5, m.ident(x-5), plain)
	y := 1
	if texts, k := alarmNow(m.view.Look, m.view.Units); texts != nil {
		h := headline{texts: texts}
		p.band(y, k)
		p.text(2, y, p.w-4, h.within(p.w-4), k)
		y++
	}
	if t := m.loaded(); t != "" {
		p.band(y, warningBar)
		p.text(2, y, p.w-4, t, warningBar)
		y++
	}
	p.text(2, y, p.w-4, "record "+clean(m.of.Name()), faint)
	y += 2
	bottom := p.h - 1
	m.drawKeys(p, bottom)
	if m.failed != "" { // at the foot: the fields stay where they are
		lines := wrap(clean(m.failed), p.w-4, 2)
		bottom -= len(lines)
		for i, l := range lines {
			p.text(2, bottom+i, p.w-4, l, stop)
		}
	}
	l := fieldList{label: measureWide, fields: m.fields, at: m.field(), active: true}
	if m.mode == writing {
		l.edit = &m.edit
	}
	if p.w >= wideMeasure {
		left := room{2, y, (p.w-4)*3/5 - 2, bottom - y}
		lines, focus := l.lines(left.w)
		left.draw(p, "measured and seen", true, lines, measureWide, 0, focus)
		side := room{2 + left.w + 2, y, p.w - 4 - left.w - 2, bottom - y}
		side.draw(p, "still open", false, m.openLines(side.w), 0, 0, -1)
		return
	}
	r := room{2, y, p.w - 4, bottom - y}
	open := m.openLines(r.w)
	low := min(len(open)+1, max(3, r.h/3))
	upper, lower := r, r
	upper.h -= low
	lower.y, lower.h = r.y+upper.h, low
	lines, focus := l.lines(r.w)
	upper.draw(p, "measured and seen", true, lines, measureWide, 0, focus)
	lower.draw(p, "still open", false, open, 0, 0, -1)
}

// openLines are what stays unknown.
func (m *MeasureScreen) openLines(w int) (out []benchLine) {
	for _, t := range m.missing {
		for _, l := range wrap(clean(t), max(1, w-2), 2) {
			out = append(out, benchLine{text: l, ink: caution})
		}
	}
	if len(out) > 0 {
		return out
	}
	for i := range m.fields {
		if m.fields[i].Text != "" {
			return []benchLine{{text: "nothing: all is written", ink: good}}
		}
	}
	return []benchLine{{text: "nothing is needed", ink: plain}}
}

// loaded says that there is load on the rig; empty: no sign of it.
func (m *MeasureScreen) loaded() string {
	if m.view.Look != nil && watch.Loaded(m.view.Look.State.Phase) {
		return "▲ LOAD ON THE RIG: release the pressure before anybody reaches in"
	}
	return ""
}

// measureQuestion is what going back asks.
const measureQuestion = "what is written is not kept: go back without it?  y / n"

// drawKeys is the last line: a question, a note, or the keys.
func (m *MeasureScreen) drawKeys(p *plate, y int) {
	w := p.w - 4
	switch {
	case m.mode == measureLeaving:
		p.band(y, noteBar)
		p.text(2, y, w, measureQuestion, noteBar)
	case m.note != "":
		p.text(2, y, w, troubleText(m.note, w), strong)
	default:
		p.text(2, y, w+1, closeKeys(m.keys.line(m.mode == writing), w+1), faint)
	}
}

// mostUrgent is the line that stays in sight under help.
func (m MeasureScreen) mostUrgent(w int) (string, ink) {
	if texts, k := alarmNow(m.view.Look, m.view.Units); texts != nil {
		h := headline{texts: texts}
		return cut(h.within(w), w), k
	}
	if t := m.loaded(); t != "" {
		return cut(t, w), warningBar
	}
	return m.ident(w), plain
}

// drawSmall is the screen of a terminal too small for the fields.
func (m *MeasureScreen) drawSmall(p *plate) {
	y := 0
	say := func(t string, k ink, most int) {
		for _, l := range wrap(t, p.w, most) {
			p.text(0, y, p.w, l, k)
			y++
		}
	}
	if texts, k := alarmNow(m.view.Look, m.view.Units); texts != nil {
		say(texts[0], k, 3)
	}
	if t := m.loaded(); t != "" {
		say(t, warningBar, 3)
	}
	if m.failed != "" {
		say(clean(m.failed), stop, 3)
	}
	if f := m.field(); f != nil {
		text := clean(f.Text)
		if m.mode == writing {
			text = m.edit.text() + "▏"
		}
		say(fmt.Sprintf("▸ %s: %s", clean(f.Label), text), strong, 3)
		if f.Fault != "" {
			say("not usable: "+clean(f.Fault), warning, 3)
		}
	}
	if m.mode == measureLeaving {
		say(measureQuestion, noteBar, 3)
	}
	if m.note != "" {
		say(clean(m.note), strong, 1)
	}
	if y < p.h {
		say(fmt.Sprintf("this screen needs %d columns and %d lines; here are %d and %d", minWidth, minHeight, p.w, p.h), faint, 3)
	}
	if y < p.h && m.mode != measureLeaving {
		p.text(0, p.h-1, p.w, closeKeys(m.keys.line(m.mode == writing), p.w), faint)
	}
}
