package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"
)

// drawRails are the limits, nearest on top, and the parts nobody knows a limit
// of: at most so many where the screen is low.
func (m *PullScreen) drawRails(p *plate, y, most int, roomy bool) int {
	s := &m.snap.State
	order := m.order
	if len(order) != len(s.Limits) {
		order = railOrder(nil, s)
	}
	if roomy {
		most = min(8, (p.h-28)/4)
	}
	shown := order[:min(len(order), most)]
	if len(shown) > 0 {
		r := layRails(p.w, s, m.snap.Levels, m.units, roomy)
		r.low, r.high = expected(&m.snap.Specimen)
		r.header(p, y, s, &s.Limits[shown[0]])
		y++
		for i, l := range shown {
			if roomy && i == 0 {
				r.nearest(p, y, s, &s.Limits[l])
				y += 4
				continue
			}
			r.rail(p, y, s, &s.Limits[l])
			y++
			if roomy {
				y++
			}
		}
	} else {
		p.text(2, y, p.w-4, "no part of this rig has a known limit: nothing can warn you", stop)
		y++
	}
	lines, abreast := m.underRails(p.w, len(order)-len(shown))
	for _, l := range lines {
		x := 2
		if l.band {
			drawExpect(p, x, y, p.w-4, l.text, l.ink)
		} else {
			x = p.text(x, y, p.w-4, l.text, l.ink) + 3
		}
		if abreast != nil {
			drawExpect(p, x, y, p.w-2-x, abreast.text, abreast.ink)
		}
		y++
	}
	return y
}

// underLine is a line below the rails; band: with a piece of the band of the
// expected break before it.
type underLine struct {
	text string
	ink  ink
	band bool
}

// underRails are the lines below the rails of a screen w wide: the expected break,
// how many limits are hidden, and the parts without a known one. abreast stands
// beside the only line where there is room for it.
func (m *PullScreen) underRails(w, hidden int) (lines []underLine, abreast *underLine) {
	line := ""
	switch {
	case hidden == 1:
		line = "and 1 more limit, farther away"
	case hidden > 1:
		line = fmt.Sprintf("and %d more limits, farther away", hidden)
	}
	if len(m.snap.Unknown) > 0 {
		if line != "" {
			line += "   "
		}
		line += "no known limit: " + unknownNames(m.snap.Unknown)
	}
	if expect, k := m.expectLine(); expect != "" {
		e := underLine{expect, k, true}
		if beside := w - 4 - ansi.StringWidth(line) - 3; k != caution && line != "" && 2+ansi.StringWidth(expect) <= beside {
			abreast = &e
		} else {
			lines = append(lines, e)
		}
	}
	if line != "" {
		lines = append(lines, underLine{line, caution, false})
	}
	return lines, abreast
}

// railsHigh is the height of the rails in their low form, at most so many.
func (m *PullScreen) railsHigh(w, most int) int {
	n := len(m.snap.State.Limits)
	lines, _ := m.underRails(w, max(0, n-most))
	return 1 + min(n, most) + len(lines)
}

// factsHigh is the height of the facts.
func (m *PullScreen) factsHigh(seen []seenLine) int {
	n := len(seen) + 3
	if m.troubled() {
		n++
	}
	return n
}

// troubled says that a trouble has a line among the facts.
func (m *PullScreen) troubled() bool {
	s := &m.snap.State
	return m.snap.Err != "" && m.snap.Err != m.snap.Record.Failed && (len(s.Alarms) > 0 || s.Outcome != "")
}

func unknownNames(parts []string) string {
	names := make([]string, len(parts))
	for i, n := range parts {
		names[i] = clean(n)
	}
	return strings.Join(names, ", ")
}
