package tui

import (
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/trace"
)

// Update takes one message. It never waits.
func (m OverlayScreen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case shelfShown:
		m.opening, m.note = "", ""
		m.see()
		m.again()
		cmd = m.prove()
	case overRead:
		m.take(msg)
		cmd = m.prove()
	case overProved:
		m.proved(msg)
		cmd = m.prove()
	case shelfNotOpened:
		m.again()
		cmd = m.prove()
		m.opening, m.note = "", "cannot be shown again: "+msg.err.Error()
	case tea.KeyMsg:
		cmd = m.key(msg)
	default:
		if ticked, _ := beat(msg, &m.width, &m.height, &m.tickID, m.see); ticked {
			cmd = m.tick()
		}
	}
	m.enable()
	return m, cmd
}

// see takes what the rig reads, and the units of the sitting.
func (m *OverlayScreen) see() {
	v := m.desk.View()
	m.look, m.units = v.Look, v.Units
}

func (m *OverlayScreen) key(msg tea.KeyMsg) tea.Cmd {
	m.note = ""
	k := &m.keys
	switch {
	case key.Matches(msg, k.Abort):
		m.cancel()
		return to(leaveAll{})
	case key.Matches(msg, k.Back):
		m.cancel()
		return to(openShelf{})
	case key.Matches(msg, k.Help):
		return to(k.help())
	case key.Matches(msg, k.Up):
		m.chosen--
	case key.Matches(msg, k.Down):
		m.chosen++
	case key.Matches(msg, k.Hide):
		m.all = slices.Clone(m.all)
		m.all[m.chosen].hidden = !m.all[m.chosen].hidden
	case key.Matches(msg, k.Align):
		m.by = trace.LoadStart + trace.Peak - m.by
	case key.Matches(msg, k.Stress):
		m.stress = !m.stress
	case key.Matches(msg, k.Window):
		m.shown = (m.shown + 1) % overTimes
	case key.Matches(msg, k.Units):
		m.units = 1 - m.units
	case key.Matches(msg, k.Open):
		e := &m.all[m.chosen].entry
		m.opening = e.Name
		m.cancel() // the replay reads the same
		return replayOf(m.desk, e.Dir)
	}
	return nil
}
