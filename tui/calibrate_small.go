package tui

import (
	"fmt"

	"draghand/internal/pull"
	"draghand/internal/rig"
)

// drawSmall is the screen of a terminal too small for it: whole sentences, the most
// urgent first: alarm, value, whether it stands, what is typed, next; then what there
// is room for. The keys work all the same.
func (m *CalibrateScreen) drawSmall(p *plate) {
	y, last := 0, p.h-1 // the keys'
	say := func(t string, k ink) {
		for _, l := range wrap(t, p.w, max(0, last-y)) {
			p.text(0, y, p.w, l, k)
			y++
		}
	}
	// whole says it where it fits; half a sentence may say the contrary.
	whole := func(t string, k ink) {
		if lines := wrap(t, p.w, 100); y+len(lines) <= last {
			say(t, k)
		}
	}
	v := m.view
	if texts, k := m.alarm(); texts != nil {
		text := texts[0]
		if len(wrap(text, p.w, 100)) > max(2, p.h/4) {
			text = texts[len(texts)-1]
		}
		say(text, k)
	}
	if m.mode == departing || m.mode == dropping {
		say(m.question(), noteBar)
	}
	if m.readable() {
		t := "gauge " + v.Live.Text(v.Units)
		if v.Run.At != rig.AtGauge {
			t += ", force " + v.Force.Text(v.Units)
		}
		k := strong
		if m.danger() {
			k = stop
		}
		say(t, k)
		m.sayStands(say)
	}
	switch {
	case m.mode == valuing && m.refused != "":
		say("reference: "+m.edit.text()+"▏", strong)
		say("not taken: "+clean(m.refused), warning)
	case m.mode == valuing:
		say("reference: "+m.edit.text()+"▏", strong)
	}
	say("next: "+m.next(), strong)
	if m.failed != "" {
		say(clean(m.failed), stop)
	}
	if l := &m.limit; l.Allowable > 0 && m.readable() && l.Level == pull.Quiet { // else the alarm says so
		whole(clean(l.Name)+" at "+percent(l.Ratio)+" of its limit", plain)
	}
	if v.Rig != nil {
		if names := v.Rig.UnknownParts(); len(names) > 0 {
			whole("no known limit: "+unknownNames(names), caution)
		}
	}
	if m.note != "" && !m.urgent() {
		whole(clean(m.note), strong)
	}
	if i := m.suspect(); i >= 0 && v.Answer.SuspectWhy != "" {
		whole(string(badMark)+" "+clean(v.Answer.SuspectWhy), warning)
	}
	if n := len(v.Run.Points); n > 0 {
		whole(m.pointsTitle(), plain)
		whole("▸ "+m.pointText(m.marked), plain)
	}
	whole(fmt.Sprintf("this screen needs %d columns and %d lines; here are %d and %d", minWidth, minHeight, p.w, p.h), faint)
	text, k, said := "", plain, ""
	for _, l := range append(m.answerLines(p.w), benchLine{label: "end"}) { // a paragraph at a time
		if l.label != "" {
			if said != "look at" && said != "" { // told above
				whole(said+": "+text, k)
			}
			text, k, said = l.text, l.ink, l.label
			continue
		}
		text += " " + l.text
	}
	if p.h > 0 {
		p.text(0, last, p.w, closeKeys(m.keys.line(m.mode), p.w), faint)
	}
}

// pointText is a point in a line.
func (m *CalibrateScreen) pointText(i int) string {
	pt := &m.view.Run.Points[i]
	g := pt.Gauge.In(m.view.Units)
	g.Decimals++
	t := fmt.Sprintf("%d %s, %s at %s", i+1, directionText(pt.Direction), clean(pt.ReferenceText(m.view.Run.At, m.view.Units)), g)
	if i == m.suspect() {
		t = string(badMark) + " " + t
	}
	if a := m.view.Answer; a != nil && i < len(a.Residuals) {
		t += ", less line " + m.residualText(a.Residuals[i].Residual) + " " + m.refer(0).Unit
	}
	return t
}

// sayStands says whether the reading stands still, in few words.
func (m *CalibrateScreen) sayStands(say func(string, ink)) {
	v := m.view
	switch {
	case !v.HaveZero:
		say("no zero yet: "+clean(v.ZeroNote), warning)
	case v.Steady != nil:
		k := good
		if m.danger() {
			k = plain
		}
		say("steady at "+fineText(v.Steady.Gauge, v.Units), k)
	case v.Progress > 0 && v.Progress < 1:
		say(fmt.Sprintf("stand still: %.1f of %.0f s", standTime*min(1, v.Progress), standTime), plain)
	case v.Progress < 1:
		say("moving, not steady", plain)
	default:
		say("still, with no load on the rig", plain)
	}
}
