package tui

import tea "github.com/charmbracelet/bubbletea"

// restMsg is what a key led to, and the keys that came with it in one read and
// are still to be taken.
type restMsg struct {
	msg  tea.Msg // nil: nothing
	keys tea.KeyMsg
}

// texter is a screen on which keys are text at times.
type texter interface{ takesText() bool }

// swallower is a screen that takes no key while it waits for the desk.
type swallower interface{ swallows() bool }

func takesText(m tea.Model) bool {
	t, ok := m.(texter)
	return ok && t.takesText()
}

// singles are the keys of a message one by one: the library makes one message of
// letters that are read at once, as of a key hammered or a slow line. A paste is no
// key at all: whatever stands in it, nobody meant it for the pull.
func singles(msg tea.KeyMsg) []tea.KeyMsg {
	switch {
	case msg.Paste:
		return nil
	case msg.Type != tea.KeyRunes || len(msg.Runes) < 2:
		return []tea.KeyMsg{msg}
	}
	out := make([]tea.KeyMsg, len(msg.Runes))
	for i, r := range msg.Runes {
		out[i] = tea.KeyMsg{Type: tea.KeyRunes, Runes: []rune{r}, Alt: msg.Alt}
	}
	return out
}

// oneByOne takes the keys of a message in their order. Where one of them gives a
// command, those after it are taken when what it led to is there: they fall on the
// screen that a person who typed more slowly would have seen.
func oneByOne(m tea.Model, msg tea.KeyMsg, press func(tea.Model, tea.KeyMsg) (tea.Model, tea.Cmd)) (tea.Model, tea.Cmd) {
	for i, k := range singles(msg) {
		next, cmd := press(m, k)
		m = next
		if cmd == nil {
			continue
		}
		rest := msg
		rest.Runes = rest.Runes[min(i+1, len(rest.Runes)):]
		if s, ok := frontOf(m).(swallower); len(rest.Runes) == 0 || ok && s.swallows() {
			return m, cmd
		}
		return m, func() tea.Msg { return restMsg{cmd(), rest} }
	}
	return m, nil
}

// frontOf is the screen that keys fall on.
func frontOf(m tea.Model) tea.Model {
	if a, ok := m.(App); ok {
		return a.front
	}
	return m
}

// goOn takes what a key led to and then the keys after it.
func (r restMsg) goOn(m tea.Model) (tea.Model, tea.Cmd) {
	var first tea.Cmd
	switch msg := r.msg.(type) {
	case nil:
	case tea.QuitMsg:
		return m, tea.Quit
	case tea.BatchMsg:
		first = tea.Batch(msg...)
	default:
		m, first = m.Update(msg)
	}
	m, cmd := m.Update(r.keys)
	return m, tea.Batch(first, cmd)
}
