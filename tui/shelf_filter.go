package tui

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/shelf"
)

// shelfFilter is what a person typed to narrow the list.
type shelfFilter struct {
	text  string
	takes shelf.Filter // of what of text is understood
	fault string       // what of it is not; empty: all is
}

// filterHint is what an empty filter says.
const filterHint = "such as alloy:C905 strength>40ksi since:2026-01 tag:wet-sand. A bare word looks everywhere, a minus before it leaves out"

// setFilter narrows the list to what a text asks for.
func (m *ShelfScreen) setFilter(text string) {
	m.filter.text = text
	m.judge()
	m.narrowing.typed = true
	m.narrow()
}

// judge finds out what of the filter's text is understood. While it is typed nothing is
// said of the term at the cursor: half of one is no fault.
func (m *ShelfScreen) judge() {
	at := -1
	if m.mode == filtering {
		at = m.edit.before()
	}
	f, err := shelf.ParseTyping(m.filter.text, at)
	m.filter.takes, m.filter.fault = f, ""
	if err != nil {
		m.filter.fault = clean(err.Error())
	}
}

// filterKey takes a key while the filter is typed.
func (m *ShelfScreen) filterKey(msg tea.KeyMsg) {
	switch k := &m.keys; {
	case key.Matches(msg, k.Keep):
		m.mode = listing
		m.judge()
		m.settle()
	case key.Matches(msg, k.Drop):
		m.mode = listing
		m.setFilter("")
	case msg.Type == tea.KeyUp:
		m.move(m.chosen - 1)
	case msg.Type == tea.KeyDown:
		m.move(m.chosen + 1)
	case msg.Type == tea.KeyPgUp:
		m.move(m.chosen - m.page())
	case msg.Type == tea.KeyPgDown:
		m.move(m.chosen + m.page())
	default:
		switch taken, text := m.edit.pressed(msg), m.edit.text(); {
		case taken && text != m.filter.text:
			m.setFilter(text)
		case taken: // the cursor may be in another term
			m.judge()
		}
	}
}

// filterHigh is how many lines the filter takes.
func (m *ShelfScreen) filterHigh() int {
	switch {
	case m.mode == filtering:
		return 3 // the list does not jump with each key
	case m.filter.text == "":
		return 0
	}
	return 1 + len(m.filterFault())
}

// filterFault is what of the filter is not understood, in at most two lines.
func (m *ShelfScreen) filterFault() []string {
	if m.filter.fault == "" {
		return nil
	}
	return wrap("not understood, the rest holds: "+m.filter.fault, m.width-4, 2)
}

// drawFilter draws the filter from line y on.
func (m *ShelfScreen) drawFilter(p *plate, y int) {
	if m.filterHigh() == 0 {
		return
	}
	x := p.text(2, y, p.w-4, "filter  ", faint)
	if m.mode == filtering {
		m.edit.draw(p, x, y, p.w-2-x)
		if m.filter.text == "" {
			for i, l := range wrap(filterHint, p.w-4, 2) {
				p.text(2, y+1+i, p.w-4, l, faint)
			}
		}
	} else {
		p.text(x, y, p.w-2-x, clean(m.filter.text), strong)
	}
	for i, l := range m.filterFault() {
		p.text(2, y+1+i, p.w-4, l, caution)
	}
}
