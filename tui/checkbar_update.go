package tui

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// Update takes one message. It never waits.
func (m CheckScreen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	var cmd tea.Cmd
	switch msg := msg.(type) {
	case shelfShown:
		m.opening, m.note = "", ""
		m.see()
	case checkRead:
		m.take(msg)
	case shelfNotOpened:
		m.opening, m.note = "", "cannot be shown again: "+msg.err.Error()
	case tea.KeyMsg:
		cmd = m.pressed(msg)
	default:
		if ticked, _ := beat(msg, &m.width, &m.height, &m.tickID, m.see); ticked {
			cmd = m.tick()
		}
	}
	m.enable()
	return m, cmd
}

func (m *CheckScreen) pressed(msg tea.KeyMsg) tea.Cmd {
	m.note = ""
	k := &m.keys
	switch {
	case key.Matches(msg, k.Abort):
		return to(leaveAll{})
	case key.Matches(msg, k.Back):
		return to(openBench{})
	case key.Matches(msg, k.Help):
		return to(k.help())
	case key.Matches(msg, k.Up):
		m.choose(m.chosen - 1)
	case key.Matches(msg, k.Down):
		m.choose(m.chosen + 1)
	case key.Matches(msg, k.Earlier):
		m.bar--
	case key.Matches(msg, k.Later):
		m.bar++
	case key.Matches(msg, k.Newest):
		m.choose(m.chosen)
	case key.Matches(msg, k.Again):
		m.reading = true
		return m.readShelf()
	case key.Matches(msg, k.Open):
		if e := m.stock().Bar(m.point().Record); e != nil {
			m.opening = e.Name
			return replayOf(m.desk, e.Dir)
		}
	}
	return nil
}
