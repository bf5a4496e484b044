package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/pull"
)

// headline is something that must be read now, in full and in as few words as
// still say it.
type headline struct {
	long, short string
	ink         ink
}

// headlines are the at most two things that come first: what is going on before
// what is new, and how the pull came out. more is how many alarms there are
// beside.
func (m *PullScreen) headlines() (lines []headline, more int) {
	s := &m.snap.State
	active, fresh := m.standing()
	out := outcomeText(s, m.units)
	lines = make([]headline, 0, 3)
	alarm := func(a *pull.Alarm) {
		if a != nil && len(lines) < 2 {
			lines = append(lines, m.alarmLine(a))
			more--
		}
	}
	outcome := func() {
		if out != "" && len(lines) < 2 {
			short := out
			for _, end := range []string{", ", ": ", "; "} {
				short, _, _ = strings.Cut(short, end)
			}
			lines = append(lines, headline{out, short, noteBar})
		}
	}
	more = len(s.Alarms)
	if m.snap.Closed {
		// A mere caution is of no more use then; a stop stays named.
		more = 0
		if fresh == nil {
			fresh = m.worst(func(a *pull.Alarm) bool { return a != active && grave(a) })
		}
		if fresh != nil && !grave(fresh) {
			fresh = nil
		}
		if active != nil && !grave(active) {
			outcome()
		}
	}
	alarm(active)
	outcome()
	alarm(fresh)
	return lines, max(0, more)
}

// standing are the worst alarm that is active, acknowledged or not, and the
// worst that nobody has acknowledged, where it is another.
func (m *PullScreen) standing() (active, fresh *pull.Alarm) {
	active = m.worst(func(a *pull.Alarm) bool { return !a.Returned })
	fresh = m.worst(func(a *pull.Alarm) bool { return a != active && !m.acked(a) })
	return active, fresh
}

// alarmLine is an alarm as a headline.
func (m *PullScreen) alarmLine(a *pull.Alarm) headline {
	s := &m.snap.State
	h := headline{ink: levelBar(a)}
	h.long, h.short = levelWord(a), levelWord(a)
	if t := alarmText(a, s, m.units); t != "" {
		h.long += "   " + t
	}
	if t := alarmBrief(a, s); t != "" {
		h.short += "  " + t
	}
	if t := m.alarmState(a); t != "" {
		h.long += "   " + t
		h.short += ", " + t
	}
	return h
}

// drawBanner is what must be read now, in at most rows lines: alarms and the
// outcome, a trouble, what was just asked, or why a zero was refused, which
// takes the lines it needs. It returns the lines it took.
func (m *PullScreen) drawBanner(p *plate, y, rows int) int {
	s := &m.snap.State
	lines, more := m.headlines()
	switch {
	case len(lines) > 0:
		return m.drawHeadlines(p, y, rows, lines, more)
	case m.snap.Err != "":
		p.band(y, stopBar)
		p.text(0, y, p.w, "  ■ TROUBLE   "+clean(m.snap.Err), stopBar)
	case m.note != "" && m.snap.Now < m.noteUntil:
		p.text(2, y, p.w-4, m.note, strong)
	case refused(s):
		// Nothing is loaded yet, so the rest may move down for it.
		lines := wrap("ZERO REFUSED: "+clean(s.Zero.Refused), p.w-4, max(rows, 3))
		for i, l := range lines {
			p.band(y+i, noteBar)
			p.text(2, y+i, p.w-4, l, noteBar)
		}
		return len(lines)
	case !s.Zero.Set && s.Phase == pull.Slack:
		p.text(2, y, p.w-4, "let nothing touch the rig until the zero is taken", strong)
	}
	return 1
}

// refused says that the newest wish for a zero was not met, while there is still
// time for one.
func refused(s *pull.State) bool { return s.Phase == pull.Slack && s.Zero.Refused != "" }

// drawHeadlines gives each headline a line, or puts two into one in as many
// words as it holds.
func (m *PullScreen) drawHeadlines(p *plate, y, rows int, lines []headline, more int) int {
	last := lines[len(lines)-1]
	used := min(rows, len(lines))
	for i := range used {
		p.band(y+i, lines[i].ink)
	}
	end := p.w
	if more > 0 {
		p.band(y+used-1, last.ink)
		end = p.right(p.w-2, y+used-1, 12, fmt.Sprintf("and %d more", more), last.ink) - 2
	}
	if used == len(lines) {
		for i := range used - 1 {
			p.text(0, y+i, p.w, "  "+lines[i].long, lines[i].ink)
		}
		p.text(0, y+used-1, end, "  "+last.long, last.ink)
		return used
	}
	a, b := lines[0].short, last.short
	for _, try := range [][2]string{{lines[0].long, last.long}, {a, last.long}, {lines[0].long, b}} {
		if ansi.StringWidth(try[0])+ansi.StringWidth(try[1])+6 <= end {
			a, b = try[0], try[1]
			break
		}
	}
	if more == 0 {
		p.band(y, last.ink)
	}
	x := p.text(0, y, end, "  "+a+"  ", lines[0].ink)
	p.text(x, y, end-x, "  "+b, last.ink)
	return used
}
