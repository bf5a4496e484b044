package tui

import (
	"fmt"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/pull"
)

// headline is something that must be read now, in full and in ever fewer words
// that still say it.
type headline struct {
	texts []string
	ink   ink
}

// within is the fullest text of at most w cells, else the shortest.
func (h *headline) within(w int) string {
	for _, t := range h.texts {
		if ansi.StringWidth(t) <= w {
			return t
		}
	}
	return h.texts[len(h.texts)-1]
}

// headlines are the at most two things that come first: what is going on before
// what is new, and how the pull came out. more is how many alarms there are
// beside.
func (m *PullScreen) headlines() (lines []headline, more int) {
	s := &m.snap.State
	active, fresh := m.standing()
	outs := outcomeTexts(s, m.units)
	lines = make([]headline, 0, 3)
	alarm := func(a *pull.Alarm) {
		if a != nil && len(lines) < 2 {
			lines = append(lines, headline{m.alarmTexts(a), m.alarmInk(a)})
			more--
		}
	}
	outcome := func() {
		if len(outs) > 0 && len(lines) < 2 {
			lines = append(lines, headline{outs, noteBar})
			outs = nil
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
	}
	if active != nil && !grave(active) {
		outcome() // whatever came near, it is over
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
		const word = "  ■ TROUBLE   "
		p.text(0, y, p.w, word+troubleText(m.snap.Err, p.w-len(word)), stopBar)
	case m.noted() != "":
		p.text(2, y, p.w-4, m.noted(), strong)
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

// taken says that the banner is taken by what must be read now, and a note has
// to stand elsewhere.
func (m *PullScreen) taken() bool {
	lines, _ := m.headlines()
	return len(lines) > 0 || m.snap.Err != ""
}

// noted is what was just asked of the pull, as long as it is to be shown.
func (m *PullScreen) noted() string {
	if m.snap == nil || m.snap.Now >= m.noteUntil {
		return ""
	}
	return m.note
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
			p.text(0, y+i, p.w, "  "+lines[i].within(p.w-4), lines[i].ink)
		}
		p.text(0, y+used-1, end, "  "+last.within(end-4), last.ink)
		return used
	}
	a, b := abreast(&lines[0], &last, end-6)
	if more == 0 {
		p.band(y, last.ink)
	}
	x := p.text(0, y, end, "  "+a+"  ", lines[0].ink)
	p.text(x, y, end-x, "  "+b, last.ink)
	return used
}

// abreast are two headlines in as many words as w cells hold, the first in more
// rather than the second.
func abreast(first, second *headline, w int) (a, b string) {
	n := len(first.texts) + len(second.texts) - 2
	for fewer := 0; fewer <= n; fewer++ {
		for i := max(0, fewer-len(second.texts)+1); i <= min(fewer, len(first.texts)-1); i++ {
			a, b = first.texts[i], second.texts[fewer-i]
			if ansi.StringWidth(a)+ansi.StringWidth(b) <= w {
				return a, b
			}
		}
	}
	return a, b
}
