package tui

import (
	"slices"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/finish"
)

// Update takes one message. It never waits.
func (m MeasureScreen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	if ticked, taken := beat(msg, &m.width, &m.height, &m.tickID, m.load); ticked {
		return m, m.tick()
	} else if taken {
		return m, nil
	}
	switch msg := msg.(type) {
	case measuredMsg:
		m.mode, m.note = measuring, ""
		if msg.err != nil {
			m.failed = "NOT KEPT: " + msg.err.Error()
			m.load()
			return m, nil
		}
		return m, to(measureKept{m.of.Kept(), m.back})
	case tea.KeyMsg:
		return m.pressed(msg)
	}
	return m, nil
}

// takesText says that keys are text.
func (m MeasureScreen) takesText() bool { return m.mode == writing }

// swallows says that the record is being written and no key does anything.
func (m MeasureScreen) swallows() bool { return m.mode == keeping }

func (m MeasureScreen) pressed(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	k := &m.keys
	switch {
	case m.mode == keeping:
		return m, nil
	case key.Matches(msg, k.Abort):
		return m, to(leaveAll{})
	case m.mode == measureLeaving:
		if yes, answered := answer(msg); answered {
			m.mode = measuring
			if yes {
				return m, to(m.back)
			}
		}
		return m, nil
	case m.mode == writing:
		m.typed(msg)
		return m, nil
	}
	m.note, m.failed = "", ""
	switch {
	case key.Matches(msg, k.Back):
		if m.of.Changed() {
			m.mode = measureLeaving
			return m, nil
		}
		return m, to(m.back)
	case key.Matches(msg, k.Help):
		return m, to(k.help())
	case key.Matches(msg, k.Move):
		step := 1
		if s := msg.String(); s == "up" || s == "k" || s == "shift+tab" {
			step = -1
		}
		m.at = max(0, min(m.at+step, len(m.fields)-1))
	case key.Matches(msg, k.Choice):
		m.choice(msg.String() == "right")
	case key.Matches(msg, k.Edit):
		m.mode, m.edit = writing, newLineEdit(m.field().Text)
	case key.Matches(msg, k.Save):
		return m.keep()
	case slices.Contains(k.Save.Keys(), msg.String()):
		m.note = "nothing new is written: enter writes in the marked line"
	case k.Edit.Enabled() && figure(msg) && len(m.field().Choices) == 0:
		m.mode, m.edit = writing, newLineEdit(string(msg.Runes))
	case k.Edit.Enabled() && msg.Type == tea.KeyRunes:
		m.note = "not written: enter writes in the marked line"
	}
	m.load()
	return m, nil
}

// figure says that what was pressed, or pasted, begins a figure: somebody reads one off a
// caliper and types it.
func figure(msg tea.KeyMsg) bool {
	if msg.Type != tea.KeyRunes || len(msg.Runes) == 0 {
		return false
	}
	r := msg.Runes[0]
	return r >= '0' && r <= '9' || r == '.' || r == ','
}

// keep writes the record, outside Update. What cannot be used is told first.
func (m MeasureScreen) keep() (tea.Model, tea.Cmd) {
	if n := m.faults(); n > 0 {
		m.failed = "not kept yet: a line cannot be used, the reason stands below it"
		for i := range m.fields {
			if m.fields[i].Fault != "" {
				m.at = i
				break
			}
		}
		m.load()
		return m, nil
	}
	m.mode, m.note = keeping, "keeping it in the record"
	of := m.of
	return m, func() tea.Msg { return measuredMsg{of.Save()} }
}

// choice takes the next or the last of what the marked field may be.
func (m *MeasureScreen) choice(next bool) {
	f := m.field()
	at, n := slices.Index(f.Choices, f.Text), len(f.Choices)
	switch {
	case next:
		at = (at + 1) % n
	case at < 0:
		at = n - 1
	default:
		at = (at + n - 1) % n
	}
	m.set(f.Choices[at])
}

// set gives the marked field another text; what is wrong with it stands in the
// field.
func (m *MeasureScreen) set(text string) (taken bool) {
	err := m.of.Set(finish.FieldID(m.field().ID), text)
	m.load()
	if err != nil && m.field().Fault == "" {
		m.note = clean(err.Error())
	}
	return err == nil
}

// typed takes a key while a field is written.
func (m *MeasureScreen) typed(msg tea.KeyMsg) {
	switch {
	case key.Matches(msg, m.keys.Drop):
		m.mode = measuring
	case key.Matches(msg, m.keys.Keep):
		m.mode = measuring
		if m.set(m.edit.text()) {
			m.toEmpty()
		}
	default:
		m.edit.pressed(msg)
	}
	m.load()
}

// toEmpty moves to the next field that nothing is said of; where there is none, it
// stays.
func (m *MeasureScreen) toEmpty() {
	for i := m.at + 1; i < len(m.fields); i++ {
		if m.fields[i].Text == "" {
			m.at = i
			return
		}
	}
}
