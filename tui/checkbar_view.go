package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/control"
	"draghand/internal/shelf"
	"draghand/internal/si"
)

// View draws the frame.
func (m CheckScreen) View() string {
	return m.scratch.framed(m.width, m.height, m.theme, m.drawCheck, m.drawSmall)
}

// drawCheck draws from the top: whose bars, what must be read now, how the newest
// stands; from the bottom: the keys, and the chosen bar in words. The chart takes
// what is left.
func (m *CheckScreen) drawCheck(p *plate) {
	s := m.stock()
	right := "check bars"
	if s != nil {
		right += "   " + cut(clean(s.Rig), p.w/3)
		if m.rig != "" && s.Rig != m.rig {
			right = "another rig:   " + right
		}
	}
	x := p.right(p.w-2, 0, p.w*2/3, right, strong)
	p.text(2, 0, x-5, m.title(x-5), plain)
	y := 1
	lines, inks := alerts(m.look, m.units, p.w-4)
	for i, l := range lines {
		p.band(y, inks[i])
		p.text(2, y, p.w-4, l, inks[i])
		y++
	}
	if len(lines) == 0 {
		y++
	}
	m.drawKeys(p, p.h-1)
	if s == nil {
		m.drawNone(p, y)
		return
	}
	text, k := m.says(s)
	for _, l := range wrap(text, min(p.w-4, 120), 2) {
		p.text(2, y, p.w-4, l, k)
		y++
	}
	more := m.moreLines(s, p.w-4, p.h-y-checkLeast-4)
	bottom := p.h - 2 - len(more)
	for i := range more {
		more[i].draw(p, 0, bottom+i, p.w-2, checkWide)
	}
	if len(s.Chart.Points) == 0 {
		return
	}
	plot := newCheckPlot(&s.Chart, room{2, y + 1, p.w - 4 - checkAxis, bottom - y - 4}, m.bar)
	if plot.h < 3 || plot.w < 10 {
		return
	}
	plot.draw(p, s, m.bar, m.units)
	m.drawDates(p, &plot, s, plot.y+plot.h+1)
}

// checkRoomy is the height from which the limits stand in words too.
const checkRoomy = 30

// checkLeast is the least height of the chart for which lines below it give way.
const checkLeast = 8

// title is the stock, and which of several, in w cells: a long name gives way.
func (m *CheckScreen) title(w int) string {
	s := m.stock()
	switch {
	case s == nil && m.reading && !m.read:
		return "reading the shelf …"
	case s == nil:
		return "no check bars yet"
	case len(m.stocks) > 1:
		which := fmt.Sprintf("   (%d of %d)", m.chosen+1, len(m.stocks))
		return cut(clean(s.Title()), w-len(which)) + which
	}
	return clean(s.Title())
}

// says is how the newest bar stands.
func (m *CheckScreen) says(s *shelf.Stock) (string, ink) {
	k := plain
	switch n := s.Chart.Newest(); {
	case s.Warns():
		k = stop
	case n != nil && n.State == control.In:
		k = good
	}
	return clean(s.Short(m.now)), k
}

// drawNone says what a check bar is where there is none.
func (m *CheckScreen) drawNone(p *plate, y int) {
	text, k := "A check bar is turned from one bought stock that is kept for it, and pulled every so often as any bar, with the field \"check bar of\" on the bench filled in. Its strength should not move; where it does, the rig has changed. Limits need 5 bars.", plain
	switch {
	case m.failed != "":
		text, k = "the shelf could not be read: "+clean(m.failed), stop
	case !m.read:
		return
	}
	for _, l := range wrap(text, min(p.w-4, 90), 6) {
		p.text(2, y, p.w-4, l, k)
		y++
	}
}

// drawDates writes under the chart when the first and the last bar shown were pulled.
func (m *CheckScreen) drawDates(p *plate, plot *checkPlot, s *shelf.Stock, y int) {
	points := s.Chart.Points
	last := min(len(points), plot.from+max(1, plot.w/plot.each)) - 1
	first := points[plot.from].At.In(m.zone).Format("2006-01-02")
	if plot.from > 0 {
		first = fmt.Sprintf("%d earlier   %s", plot.from, first)
	}
	x := p.text(plot.x, y, plot.w, first, faint)
	end := max(plot.column(last)+1, x+3+10)
	if last > plot.from && end <= plot.x+plot.w {
		p.right(end, y, 10, points[last].At.In(m.zone).Format("2006-01-02"), faint)
	}
}

// checkWide is the room of the labels below the chart.
const checkWide = 11

// moreLines are the chosen bar, the limits, and what to look at, in words, w cells
// wide and at most high lines.
func (m *CheckScreen) moreLines(s *shelf.Stock, w, high int) (lines []benchLine) {
	say := func(label, text string, k ink, most int) {
		for i, t := range wrap(text, w-checkWide, most) {
			if i > 0 {
				label = ""
			}
			lines = append(lines, benchLine{label: label, text: t, ink: k})
		}
	}
	if j := m.point(); j != nil {
		k := plain
		if j.State.Out() || j.AcrossBeyond() {
			k = stop
		}
		say("this bar", m.barText(s, j), k, 2)
		if j.Change != "" && j.Stretch > 0 {
			say("changed", clean(j.Change)+": before this bar; from here on there are limits of their own", strong, 2)
		}
	}
	if l := s.Chart.Shown(); l.Known() && m.height >= checkRoomy { // else the chart alone has them
		u := m.units
		say("limits", fmt.Sprintf("%s to %s, mean %s, from %d bars", si.Stress(l.Low()).In(u).Number(), si.Stress(l.High()).Text(u), si.Stress(l.Mean).Text(u), l.Bars), plain, 1)
	}
	look := s.Look()
	if len(look) > 0 && m.bar < len(s.Chart.Points)-1 { // of the newest, not of this one
		say("newest", s.Verdict()+": end leads to it and to what to look at", caution, 2)
		look = nil
	}
	for i, t := range look {
		label := ""
		if i == 0 {
			label = "look at"
		}
		say(label, clean(t), caution, 1)
	}
	if n := len(s.Left); n > 0 {
		l := s.Left[n-1]
		t := fmt.Sprintf("%d; the newest, %s: %s", n, l.At.In(m.zone).Format("2006-01-02"), clean(l.Why))
		say("left out", t, faint, 1)
	}
	if high = max(3, high); len(lines) > high {
		lines = lines[:high]
		lines[high-1].tail = "… draghand checkbar tells all"
	}
	return lines
}

// barText is one bar in words.
func (m *CheckScreen) barText(s *shelf.Stock, j *control.Judged) string {
	parts := []string{j.At.In(m.zone).Format("2006-01-02")}
	if e := s.Bar(j.Record); e != nil {
		parts = append(parts, barName(e))
	}
	parts = append(parts, si.Stress(j.Value).Text(m.units))
	if j.By.Mean > 0 {
		parts = append(parts, fmt.Sprintf("%+.1f %%", 100*j.Off))
	}
	if j.By.Known() {
		parts = append(parts, fmt.Sprintf("%+.1f SD", j.Z))
	}
	return strings.Join(parts, ", ") + ": " + shelf.Word(j)
}

// drawKeys is the last line: what is being done, or the keys.
func (m *CheckScreen) drawKeys(p *plate, y int) {
	w := p.w - 4
	switch {
	case m.opening != "":
		p.text(2, y, w, "opening "+clean(m.opening)+" …", strong)
	case m.note != "":
		p.text(2, y, w, troubleText(m.note, w), strong)
	case m.failed != "" && m.read:
		p.text(2, y, w, troubleText("not read again: "+m.failed, w), stop)
	default:
		h := plainHelp(0)
		line := h.ShortHelpView(m.keys.line())
		if ansi.StringWidth(line) > w { // rather closer than without help
			h = plainHelp(w)
			h.ShortSeparator = "  "
			line = h.ShortHelpView(m.keys.line())
		}
		p.text(2, y, w, line, faint)
	}
}

// mostUrgent is the line that stays in sight under help.
func (m CheckScreen) mostUrgent(w int) (string, ink) {
	return firstAlert(m.look, m.units, w)
}

// drawSmall is the chart of a terminal too small for it, in sentences.
func (m *CheckScreen) drawSmall(p *plate) {
	c := column{p: p}
	say := c.say
	c.alerts(m.look, m.units, 2*p.w)
	say(m.title(p.w), strong, 1)
	s := m.stock()
	switch {
	case s != nil:
		t, k := m.says(s)
		say(t, k, 3)
		if j := m.point(); j != nil {
			say("▸ "+m.barText(s, j), plain, 3)
		}
		for _, t := range s.Look() {
			if c.y < p.h-2 {
				say(clean(t), caution, 2)
			}
		}
	case m.failed != "":
		say("the shelf could not be read: "+clean(m.failed), stop, 3)
	}
	if c.y < p.h {
		say(fmt.Sprintf("this screen needs %d columns and %d lines; here are %d and %d", minWidth, minHeight, p.w, p.h), faint, 3)
	}
}
