package tui

import (
	"fmt"
	"strings"

	"draghand/internal/shelf"
)

// drawSmall is the screen of a terminal too small for a list: the chosen record
// in words. The keys work all the same.
func (m *ShelfScreen) drawSmall(p *plate) {
	c := column{p: p}
	say := c.say
	m.headSmall(&c)
	e := m.entry()
	switch {
	case len(m.all) > 0:
		switch {
		case e == nil && m.narrowing.behind: // the title says so
		case e == nil:
			say("the filter takes none of them", strong, 1)
		case m.mode != labelling:
			lines := m.smallLines(e)
			from, seen := m.inSight(e, len(lines), m.smallRoom(len(lines)))
			for _, l := range lines[from : from+seen] {
				say(l, plain, 1)
			}
			if out := m.outOfSight(from, seen, len(lines)); out != "" {
				say(strings.TrimSpace(out), faint, 1)
			}
		}
	case m.reading:
		say("reading the shelf …", strong, 1)
	case m.failed != "":
		say("the shelf cannot be read: "+clean(m.failed), stop, 4)
	default:
		say("no pull records yet", strong, 1)
	}
	switch {
	case m.mode == trashing:
		say(m.asked, noteBar, 3)
	case m.opening != "":
		say("opening "+clean(m.opening)+" …", strong, 1)
	case m.busy != "":
		say(clean(m.busy)+" …", strong, 1)
	case m.note != "":
		say(clean(m.note), strong, 3)
	}
	if c.y < p.h {
		say(fmt.Sprintf("this screen needs %d columns and %d lines; here are %d and %d", minWidth, minHeight, p.w, p.h), faint, 3)
	}
	if c.y < p.h && m.mode != trashing {
		k := m.keys
		k.Again.SetEnabled(false) // the others need the room
		p.text(0, p.h-1, p.w, k.lines(m.mode, p.w, 1)[0], faint)
	}
}

// headSmall is what stands above all else: what must be read first, and what is listed.
func (m *ShelfScreen) headSmall(c *column) {
	c.alerts(m.look, m.units, c.p.w)
	if len(m.all) > 0 {
		c.say(m.title(2*c.p.w), strong, 2)
		m.saySmall(c.say, c.p.w)
	}
}

// smallRoom is how many of so many lines of the chosen record there is room for; where
// that is not all, one less than there is, for what is out of sight.
func (m *ShelfScreen) smallRoom(lines int) int {
	var p plate
	p.reset(m.width, m.height)
	c := column{p: &p}
	m.headSmall(&c)
	h := max(0, m.height-4-c.y)
	if h < lines {
		h--
	}
	return max(0, h)
}

// smallLines are what is known of a record in lines of the whole width.
func (m *ShelfScreen) smallLines(e *shelf.Entry) (out []string) {
	for _, r := range m.moreRows(e) {
		out = append(out, wrapUnits(r.label+" "+r.text, m.width, 2)...)
	}
	return out
}

// saySmall tells the filter, and what is being typed.
func (m *ShelfScreen) saySmall(say func(t string, k ink, most int), w int) {
	switch m.mode {
	case filtering:
		say("filter: "+m.edit.text()+"▏", strong, 2)
	case labelling:
		names := labelNames()
		for i := range names {
			sign := "  "
			if i == m.form.at {
				sign = "▸ "
			}
			say(sign+names[i]+": "+cut(m.form.lines[i].text(), w), strong, 1)
		}
	case noting:
		say("remark on "+barName(&m.onto)+": "+m.edit.text()+"▏", strong, 3)
	default:
		if m.filter.text != "" {
			say("filter: "+clean(m.filter.text), plain, 2)
		}
	}
	if m.filter.fault != "" {
		say("not understood, the rest holds: "+m.filter.fault, caution, 2)
	}
}
