package tui

import (
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/bench"
	"draghand/internal/plan"
)

// Update takes one message. It never waits.
func (m PlanScreen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if ticked, taken := beat(msg, &m.width, &m.height, &m.tickID, m.load); ticked {
		return m, m.tick()
	} else if taken {
		return m, nil
	}
	switch msg := msg.(type) {
	case tea.KeyMsg:
		return m.pressed(msg)
	}
	return m, nil
}

// takesText says that keys are text.
func (m PlanScreen) takesText() bool { return m.typing }

func (m PlanScreen) pressed(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	k := &m.keys
	if key.Matches(msg, k.Abort) {
		return m, to(leaveAll{})
	}
	if m.typing {
		m.typed(msg)
		return m, nil
	}
	switch {
	case key.Matches(msg, k.Back):
		return m, to(openBench{})
	case key.Matches(msg, k.Help):
		return m, to(k.help())
	case key.Matches(msg, k.Up):
		m.chosen, m.moved = m.chosen-1, true
	case key.Matches(msg, k.Down):
		m.chosen, m.moved = m.chosen+1, true
	case key.Matches(msg, k.Alloy):
		m.another(msg.String() == "right")
	case key.Matches(msg, k.Own):
		m.own, m.moved = plan.Strength{}, false
	case key.Matches(msg, k.Strength):
		m.typing, m.fault, m.edit = true, "", lineEdit{}
	case key.Matches(msg, k.Take):
		return m.take()
	}
	m.load()
	return m, nil
}

// another takes the next or the last alloy of the table.
func (m *PlanScreen) another(next bool) {
	n := len(m.names)
	at := slices.Index(m.names, m.strength.Name)
	switch {
	case next:
		at = (at + 1) % n
	case at < 0:
		at = n - 1
	default:
		at = (at + n - 1) % n
	}
	if s, ok := plan.OfAlloy(m.alloys, m.names[at]); ok {
		m.own, m.moved = s, false
	}
}

// typed takes a key while a strength is typed.
func (m *PlanScreen) typed(msg tea.KeyMsg) {
	switch {
	case key.Matches(msg, m.keys.Drop):
		m.typing = false
	case key.Matches(msg, m.keys.Keep):
		low, high, err := bench.ParseExpect(m.edit.text())
		if err != nil {
			m.fault = err.Error()
			return
		}
		m.own, m.typing, m.moved = plan.OfRange(low, high, 0), false, false
	default:
		m.fault = ""
		m.edit.pressed(msg)
	}
	m.load()
}

// take hands the metal to the bench: what it is expected to break at, up to what
// the limits were held against here, so that the bench holds them against the same;
// and the alloy where one was chosen here. The diameter is not set: that one is measured.
func (m PlanScreen) take() (tea.Model, tea.Cmd) {
	s := m.strength
	if m.own.Upper > 0 && s.Name != "" {
		if err := m.desk.Set(bench.FieldAlloy, s.Name); err != nil {
			m.fault = err.Error()
			return m, nil
		}
	}
	// Written as the bench writes it: what it reads back is shown beside it.
	if err := m.desk.Set(bench.FieldExpect, bench.ExpectText(s.Low, s.Upper, m.view.Units)); err != nil {
		m.fault = err.Error()
		return m, nil
	}
	return m, to(openBench{at: bench.FieldDiameters})
}
