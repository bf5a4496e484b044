package tui

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/shelf"
)

// Update takes one message. It never waits.
func (m ShelfScreen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.width, m.height = msg.Width, msg.Height
		m.move(m.chosen)
	case tickMsg:
		if msg.id == m.tickID {
			m.see()
			m.move(m.chosen)
			cmd = m.tick()
		}
	case EdgeMsg:
		m.see()
		m.move(m.chosen)
	case shelfShown:
		m.opening, m.note = "", ""
		m.see()
	case shelfRead:
		m.take(msg)
	case shelfNotOpened:
		m.opening, m.note = "", "cannot be shown again: "+msg.err.Error()
	case tea.KeyMsg:
		cmd = m.key(msg)
	}
	m.enable()
	return m, cmd
}

// see takes what the rig reads, and the units that the person has chosen meanwhile.
func (m *ShelfScreen) see() {
	v := m.desk.View()
	m.look, m.units = v.Look, v.Units
}

// take puts what a look found in place of what stood there; the record that was
// chosen stays so.
func (m *ShelfScreen) take(r shelfRead) {
	m.reading = false
	if r.err != nil {
		m.failed = r.err.Error()
		return
	}
	name, at := "", m.chosen
	if e := m.entry(); e != nil {
		name = e.Name
	}
	first := !m.read
	m.all, m.read, m.failed = r.all, true, ""
	if name != "" {
		for i := range m.all {
			if m.all[i].Name == name {
				at = i
				break
			}
		}
	}
	if first {
		at = 0
	}
	m.move(at)
}

func (m *ShelfScreen) key(msg tea.KeyMsg) tea.Cmd {
	send := func(to tea.Msg) tea.Cmd { return func() tea.Msg { return to } }
	m.note = ""
	k := &m.keys
	page := max(1, m.rows()-1)
	switch {
	case key.Matches(msg, k.Abort):
		return send(leaveAll{})
	case key.Matches(msg, k.Back):
		return send(openBench{})
	case key.Matches(msg, k.Help):
		return send(k.help())
	case key.Matches(msg, k.Up):
		m.move(m.chosen - 1)
	case key.Matches(msg, k.Down):
		m.move(m.chosen + 1)
	case key.Matches(msg, k.PageUp):
		m.move(m.chosen - page)
	case key.Matches(msg, k.PageDown):
		m.move(m.chosen + page)
	case key.Matches(msg, k.First):
		m.move(0)
	case key.Matches(msg, k.Last):
		m.move(len(m.all) - 1)
	case key.Matches(msg, k.Again):
		m.reading = true
		return m.readShelf()
	case key.Matches(msg, k.Open):
		e := *m.entry()
		if why := notShown(e); why != "" {
			m.note = why
			return nil
		}
		m.opening = e.Name
		return m.open(e)
	}
	return nil
}

// notShown says why a record has nothing to be looked at again; empty where it
// has.
func notShown(e shelf.Entry) string {
	switch {
	case e.Condition == shelf.Writing:
		return "a program writes to it now: wait for the pull to end, then read the shelf again"
	case !e.Readable():
		return "cannot be shown again: " + e.Reason
	case e.ByEye:
		return "no trace: a dial gauge was read by eye, once; there is nothing to show again"
	}
	return ""
}
