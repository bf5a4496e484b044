package tui

import (
	"fmt"

	"draghand/internal/rig"
)

// drawSmall is the screen of a terminal too small for it: sentences, the most
// urgent first. The keys work all the same.
func (m *CalibrateScreen) drawSmall(p *plate) {
	y := 0
	say := func(t string, k ink, most int) {
		for _, l := range wrap(t, p.w, most) {
			p.text(0, y, p.w, l, k)
			y++
		}
	}
	v := m.view
	if texts, k := m.alarm(); texts != nil {
		say(texts[0], k, 3)
	}
	if m.failed != "" {
		say(clean(m.failed), stop, 3)
	}
	if m.readable() {
		t := "gauge " + v.Live.Text(v.Units)
		if v.Run.At != rig.AtGauge {
			t += ", force " + v.Force.Text(v.Units)
		}
		say(t, strong, 1)
		switch {
		case !v.HaveZero:
			say("no zero yet: "+clean(v.ZeroNote), warning, 2)
		case v.Steady != nil:
			say("steady at "+fineText(v.Steady.Gauge, v.Units), good, 1)
		case v.Progress > 0 && v.Progress < 1:
			say(fmt.Sprintf("stand still: %.1f of %.0f s", standTime*min(1, v.Progress), standTime), plain, 1)
		case v.Progress < 1:
			say("moving", plain, 1)
		}
	}
	if l := &m.limit; l.Allowable > 0 && m.readable() {
		say(clean(l.Name)+" at "+percent(l.Ratio)+" of its limit", levelInk(l.Level), 1)
	}
	if v.Rig != nil {
		if names := v.Rig.UnknownParts(); len(names) > 0 {
			say("no known limit: "+unknownNames(names), caution, 2)
		}
	}
	switch {
	case m.mode == departing || m.mode == dropping:
		say(m.question(), noteBar, 3)
	case m.mode == valuing && m.refused != "":
		say("reference: "+m.edit.text()+"▏", strong, 2)
		say("not taken: "+clean(m.refused), warning, 3)
	case m.mode == valuing:
		say("reference: "+m.edit.text()+"▏", strong, 2)
	default:
		say("next: "+m.next(), strong, 3)
	}
	if n := len(v.Run.Points); n > 0 {
		say(m.pointsTitle(), plain, 1)
		lines, focus := m.pointLines(false)
		say("▸ "+lines[focus].text, lines[focus].ink, 2)
	}
	for _, l := range m.answerLines(p.w) {
		if l.label != "" && y < p.h-3 {
			say(l.text, l.ink, 1)
		}
	}
	if m.note != "" {
		say(clean(m.note), strong, 2)
	}
	if y < p.h-1 {
		say(fmt.Sprintf("this screen needs %d columns and %d lines; here are %d and %d", minWidth, minHeight, p.w, p.h), faint, 2)
	}
	if y < p.h {
		p.text(0, p.h-1, p.w, closeKeys(m.keys.line(m.mode), p.w), faint)
	}
}
