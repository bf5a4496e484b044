package tui

import (
	"fmt"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/trace"
)

// View draws the frame.
func (m OverlayScreen) View() string {
	return m.scratch.framed(m.width, m.height, m.theme, m.drawOverlay, m.drawSmall)
}

// drawOverlay draws from the top: what is shown, what must be read now; from the
// bottom: the keys, and the list of the pulls. The chart takes what is left.
func (m *OverlayScreen) drawOverlay(p *plate) {
	x := p.right(p.w-2, 0, 10, "overlay", strong)
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
	list := p.h - 2 - len(m.all)
	m.drawList(p, list-1)
	m.drawChart(p, y, list-2-y)
}

// title is what is shown, in w cells.
func (m *OverlayScreen) title(w int) string {
	what, short, at := "force on the bar", "force", "the start of the load"
	if m.stress {
		what, short = "stress", "stress"
	}
	if m.by == trace.Peak {
		at = "the peak"
	}
	count := fmt.Sprintf("%d pulls", len(m.all))
	switch n := m.reading(); {
	case n > 0:
		count = fmt.Sprintf("%d of %d read …", len(m.all)-n, len(m.all))
	case len(m.all) == 1:
		count = "1 pull"
	case m.more > 0:
		count = fmt.Sprintf("the first %d of %d pulls", len(m.all), len(m.all)+m.more)
	}
	shown := what + ", lined up at " + at
	if ansi.StringWidth(count)+3+ansi.StringWidth(shown) > w {
		shown = short + ", lined up at " + at
	}
	return joinFit(w, count, shown)
}

// drawChart draws the pulls into h lines from y on, or says why there is nothing.
func (m *OverlayScreen) drawChart(p *plate, y, h int) {
	in, ok := m.over(p.w - 3)
	if !ok {
		text := "none of them can be drawn: the list says why"
		switch {
		case m.reading() > 0:
			text = fmt.Sprintf("reading: %d of %d are there …", len(m.all)-m.reading(), len(m.all))
		case len(m.all) == 0:
			text = "no pull was marked: mark some on the shelf"
		case m.stress && m.anyLoad():
			text = "nobody measured the section of any of them: s shows the force"
		}
		for i, l := range wrap(text, min(p.w-4, 100), 3) {
			p.text(2, y+1+i, p.w-4, l, strong)
		}
		return
	}
	for i, line := range m.scratch.chart.DrawOver(p.w-3, h, in, &m.theme.chart) {
		p.lay(y+i, " ", line)
	}
}

// anyLoad says that some of them could be drawn as forces.
func (m *OverlayScreen) anyLoad() bool {
	for i := range m.all {
		if t := m.all[i].trace; t != nil && t.Loaded > 0 {
			return true
		}
	}
	return false
}

// drawKeys is the last line: what is being done, or the keys.
func (m *OverlayScreen) drawKeys(p *plate, y int) {
	w := p.w - 3
	switch {
	case m.opening != "":
		p.text(2, y, w, "opening "+clean(m.opening)+" …", strong)
	case m.note != "":
		p.text(2, y, w, troubleText(m.note, w), strong)
	default:
		p.text(2, y, w, closeKeys(m.keyLine(), w), faint)
	}
}

// mostUrgent is the line that stays in sight under help.
func (m OverlayScreen) mostUrgent(w int) (string, ink) {
	return firstAlert(m.look, m.units, w)
}

// sampleWide is how many cells of a pattern stand in the list.
const sampleWide = 10

// drawSmall is the screen of a terminal too small for a chart: the pulls in words.
func (m *OverlayScreen) drawSmall(p *plate) {
	c := column{p: p}
	say := c.say
	c.alerts(m.look, m.units, p.w)
	say(m.title(2*p.w), strong, 2)
	for i := range m.all {
		if c.y < p.h-3 {
			r := m.row(i)
			say(fmt.Sprintf("%c %s %s %s", trace.Letter(i), r.bar, r.peak, r.how), plain, 1)
		}
	}
	if m.note != "" {
		say(clean(m.note), strong, 2)
	}
	if c.y < p.h {
		say(fmt.Sprintf("the chart needs %d columns and %d lines; here are %d and %d", minWidth, minHeight, p.w, p.h), faint, 2)
	}
	if c.y < p.h {
		p.text(0, p.h-1, p.w, closeKeys(m.smallKeys(), p.w), faint)
	}
}
