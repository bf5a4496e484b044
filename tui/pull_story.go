package tui

import (
	"fmt"
	"strings"
	"time"

	"draghand/internal/pull"
	"draghand/internal/watch"
	"draghand/tui/chart"
)

// From this size on the chart and the events stand side by side.
const (
	abreastWidth  = 160
	abreastHeight = 45
)

// abreast says that there is room for chart and events side by side.
func (m *PullScreen) abreast() bool { return m.width >= abreastWidth && m.height >= abreastHeight }

// storyClock writes a time to a tenth of a second: events come close together.
func storyClock(d time.Duration) string {
	d = max(0, d)
	return fmt.Sprintf("%s.%d", clock(d), d/(100*time.Millisecond)%10)
}

// storyInk is the ink of an event: an alarm that was raised has that of its level.
func storyInk(t *watch.Told) ink {
	if t.Level > pull.Quiet {
		return levelInk(t.Level)
	}
	return plain
}

// storyText is an event in words. The tokens of the phases are not for people.
func storyText(t *watch.Told) string {
	switch pull.Phase(t.Text) {
	case pull.Slack:
		return "no load"
	case pull.PastPeak:
		return "load held or falling"
	case pull.LetOff:
		return "let off"
	case pull.Faded:
		return "faded, no snap"
	case pull.Ended:
		return "ended before a break was seen"
	}
	// The engine's word for a limit; on the screens it has one name.
	if t.Kind != "alarm" {
		return clean(t.Text)
	}
	return strings.Replace(clean(t.Text), " allowed", ", its limit", 1)
}

// drawBelow fills the rows from y to bottom: the chart, the events in its place, or
// both where there is room. input gives the chart so many lines high.
func (m *PullScreen) drawBelow(p *plate, y, bottom int, input func(h int) chart.Input) {
	h := bottom - y
	if len(m.snap.Story) == 0 {
		m.drawChart(p, y, h, p.w-4, 0, input)
		return
	}
	if m.abreast() {
		x := p.w * 2 / 3
		m.drawChart(p, y, h, x-4, x, input)
		m.drawStory(p, x, y, p.w-2-x, h)
		return
	}
	if m.story {
		m.drawStory(p, 2, y, p.w-4, h)
		return
	}
	m.drawChart(p, y, h, p.w-4, 0, input)
}

// drawChart draws the chart h lines high and w wide; from column from on, if not
// 0, the rows are somebody else's.
func (m *PullScreen) drawChart(p *plate, y, h, w, from int, input func(h int) chart.Input) {
	if h < chart.MinHeight {
		return
	}
	c := &m.scratch.chart
	for i, line := range c.Draw(w, h, input(h), &m.theme.chart) {
		if from > 0 {
			p.layLeft(y+i, 2+c.Used(i), from, "  ", line)
			continue
		}
		p.lay(y+i, "  ", line)
	}
}

// storyWhen is the room of the time of an event.
const storyWhen = 9

// drawStory draws what has happened, the newest at the bottom, as much of the
// newest as there is room for; that there are earlier ones is said at the top.
func (m *PullScreen) drawStory(p *plate, x, y, w, h int) {
	if h < 2 || w < storyWhen+10 {
		return
	}
	story := m.snap.Story
	first, room := len(story), h-1
	for first > 0 {
		room -= len(storyLines(&story[first-1], w))
		if room < 0 {
			break
		}
		first--
	}
	head := "what has happened, the newest at the bottom"
	if first > 0 {
		head = "earlier events are not shown; the newest is at the bottom"
	}
	p.text(x, y, w, head, faint)
	y++
	for i := first; i < len(story); i++ {
		t := &story[i]
		p.text(x, y, storyWhen-1, storyClock(t.T), faint)
		for _, l := range storyLines(t, w) {
			p.text(x+storyWhen, y, w-storyWhen, l, storyInk(t))
			y++
		}
	}
}

// storyLines are an event in at most two lines beside its time, w cells wide with
// it.
func storyLines(t *watch.Told, w int) []string { return wrap(storyText(t), w-storyWhen, 2) }
