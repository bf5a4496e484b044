package tui

import (
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/tui/chart"
)

// View draws the frame.
func (m ReplayScreen) View() string {
	v := &m.pull
	if v.width <= 0 || v.height <= 0 {
		return ""
	}
	p := &v.scratch.plate
	p.reset(v.width, v.height)
	switch {
	case v.snap == nil:
		p.text(2, 0, p.w-4, replayWord+"opening the record", strong)
	case v.width < minWidth || v.height < minHeight:
		m.drawSmall(p)
	default:
		m.draw(p)
	}
	return p.frame(v.theme)
}

// replayWord stands on the screen whatever else does.
const replayWord = " REPLAY "

// draw draws the screen in the order of the pull screen's.
func (m *ReplayScreen) draw(p *plate) {
	roomy := p.h >= 36
	size := 2
	if roomy {
		size = 3
	}
	if p.h >= 52 && p.w >= 150 {
		size = 4
	}
	m.drawIdent(p, 0)
	y := m.drawNow(p, 1)
	y += m.drawBanner(p, y, roomy)
	bottom := p.h - 2
	m.drawPosition(p, bottom)
	if m.help {
		p.text(2, p.h-1, p.w-4, "any key closes this", faint)
		m.drawHelp(p, y, bottom)
		return
	}
	p.text(2, p.h-1, p.w-4, m.keys.line(p.w-4), faint)
	v := &m.pull
	y = v.drawFigures(p, y, size)
	if roomy {
		y++
	}
	seen := m.seenLines(p.w)
	rails := 3
	if len(seen) > 1 {
		rails = 2
	}
	y = v.drawRails(p, y, rails, roomy)
	if roomy {
		y++
	}
	y = m.drawFacts(p, y, seen)
	if roomy {
		y++
	}
	v.drawBelow(p, y, bottom, m.chartInput)
}

// drawIdent is the top line: that this is a replay, by which rig, of what.
func (m *ReplayScreen) drawIdent(p *plate, y int) {
	v := &m.pull
	s := &v.snap.State
	right := phaseText(s) + "  " + clock(m.back.At)
	if m.unread() {
		right = clock(m.back.At)
	}
	if s.Kind != "" && s.Kind != pull.Tension {
		right = clean(string(s.Kind)) + ", " + right
	}
	end := p.right(p.w-2, y, p.w/2, right, strong)
	if v.snap.Specimen.Simulated {
		end = p.right(end-3, y, 9, "simulated", hand)
	}
	x := p.text(2, y, p.w, replayWord, noteBar) + 2
	if t, k := m.hurtText(); t != "" {
		x = p.text(x, y, end-2-x, t, k) + 2
	}
	if t := m.rigText(); t != "" {
		x = p.text(x, y, end-2-x, t, caution) + 2
	}
	p.text(x, y, end-2-x, identText(v.snap, v.units), faint)
}

// alerts are what goes on at the rig itself while somebody looks at a saved pull.
func (m *ReplayScreen) alerts(w int) ([]string, []ink) {
	if m.rig == nil {
		return nil, nil
	}
	return alerts(m.rig(), m.pull.units, w)
}

// drawNow puts the alerts in front of the replay, as of now and not of it; it
// returns the row below them.
func (m *ReplayScreen) drawNow(p *plate, y int) int {
	const now = "NOW "
	lines, inks := m.alerts(p.w - 4 - len(now))
	for i, l := range lines {
		p.band(y, inks[i])
		p.text(2, y, p.w-4, now+l, inks[i])
		y++
	}
	return y
}

// drawBanner is what must be read first; it returns the lines it took.
func (m *ReplayScreen) drawBanner(p *plate, y int, roomy bool) int {
	lines := m.headlines()
	if roomy {
		for i := range lines {
			p.text(2, y+i, p.w-4, lines[i].within(p.w-4), lines[i].ink)
		}
		return 2
	}
	switch len(lines) {
	case 1:
		p.text(2, y, p.w-4, lines[0].within(p.w-4), lines[0].ink)
	case 2:
		for i := range lines[1].texts { // said once in the line
			lines[1].texts[i] = strings.TrimPrefix(lines[1].texts[i], "replay: ")
		}
		a, b := abreast(&lines[0], &lines[1], p.w-7)
		x := p.text(2, y, p.w-4, a, lines[0].ink)
		p.text(x+3, y, p.w-5-x, b, lines[1].ink)
	}
	return 1
}

// seenLines are those of the pull; what they ask for is nobody's to do any more.
func (m *ReplayScreen) seenLines(w int) []seenLine {
	lines := m.pull.seenLines(w)
	for i := range lines {
		lines[i].text = strings.Replace(lines[i].text, ": let off slowly", "", 1)
	}
	return lines
}

// drawFacts are the lines that are looked up: pace or result, zero, record, source.
func (m *ReplayScreen) drawFacts(p *plate, y int, seen []seenLine) int {
	v := &m.pull
	s := &v.snap.State
	w := p.w - 13
	y = v.drawSeen(p, y, seen)
	fact := func(label, text string, k ink) {
		p.text(2, y, 8, label, faint)
		p.text(11, y, w, text, k)
		y++
	}
	switch {
	case m.unread():
	case s.Outcome != "":
		fact("result", v.resultText(w), strong)
	default:
		t := s.Pace.Text(v.units)
		switch {
		case !s.Seen:
			t = "–, force not seen"
		case s.StressPace != 0:
			t += "   " + s.StressPace.Text(v.units)
		}
		fact("pace", t, plain)
		zero, k := zeroText(s, v.units), plain
		switch {
		case s.Zero.Quality == "none":
			k = warning
		case !s.Zero.Set:
			zero = "none yet"
		}
		x := p.w / 2
		p.text(x, y-1, 6, "zero", faint)
		p.text(x+6, y-1, p.w-2-x-6, zero, k)
	}
	rec, k := m.recordText(w)
	fact("record", rec, k)
	if !m.unread() {
		fact("source", m.sourceText(w), plain)
	}
	return y
}

// drawPosition is the line of the position, with a bar of where that is.
func (m *ReplayScreen) drawPosition(p *plate, y int) {
	h := headline{texts: m.positionTexts()}
	text := h.within(p.w - 4)
	p.text(2, y, p.w-4, text, strong)
}

// window is the time the chart shows: the whole record, or the time up to the
// position.
func (m *ReplayScreen) window() (from, to time.Duration) {
	if length, _ := m.pull.shown.length(); length > 0 {
		return max(0, m.back.At-length), m.back.At
	}
	return 0, max(m.back.Length, time.Millisecond)
}

// chartInput is the chart of the position, h lines high.
func (m *ReplayScreen) chartInput(h int) chart.Input {
	v := &m.pull
	in := v.chartInput(h)
	in.From, in.To = m.window()
	if length, _ := v.shown.length(); length > 0 {
		in.Title = strings.Replace(v.shown.words(&v.snap.State), "last ", "", 1) + " before"
		in.To = max(in.To, in.From+length)
	} else {
		in.Title = "the whole record"
		in.Now, in.HasNow = m.back.At, true
		in.To += in.To / 100 // room for the cursor at the end
	}
	// The scale is that of all that is drawn, and stands still as the time moves.
	all := v.snap.State
	for _, c := range v.trace.Columns {
		if !c.Empty() {
			all.Peak.Specimen = max(all.Peak.Specimen, si.Force(c.Max))
		}
	}
	in.Bottom, in.Top = forceRange(&all, v.trace, v.snap.Levels, v.units, h)
	return in
}

// drawSmall is the screen of a terminal too small for figures: sentences.
func (m *ReplayScreen) drawSmall(p *plate) {
	v := &m.pull
	s := &v.snap.State
	y := 0
	say := func(t string, k ink, most int) {
		for _, l := range wrap(t, p.w, most) {
			p.text(0, y, p.w, l, k)
			y++
		}
	}
	lines, inks := m.alerts(2 * p.w)
	for i, l := range lines {
		say("NOW "+l, inks[i], 3)
	}
	p.text(0, y, p.w, replayWord, noteBar)
	y++
	if t := m.rigText(); t != "" {
		say(t, caution, 2)
	}
	texts := m.positionTexts()
	say(texts[len(texts)-2], strong, 2)
	for _, h := range m.headlines() {
		say(h.texts[0], h.ink, 3)
	}
	if !m.unread() {
		now := s.Live.Specimen.Text(v.units)
		if !s.Seen {
			now = "not seen"
		}
		say("force "+now, strong, 1)
		say("drag hand "+s.Peak.Specimen.Text(v.units), hand, 1)
	}
	if m.back.Err != "" || m.back.Unfinished {
		t, k := m.recordText(2 * p.w)
		say(t, k, 3)
	}
	keys := m.keys.line(p.w)
	say("this screen needs 80 columns and 24 lines", faint, 2)
	if y < p.h && ansi.StringWidth(keys) <= p.w {
		p.text(0, p.h-1, p.w, keys, faint)
	}
}
