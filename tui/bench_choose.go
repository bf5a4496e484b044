package tui

import (
	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/bench"
)

// chooser is a list for a field.
type chooser struct {
	field bench.FieldID
	items []string
	at    int
}

// listMsg is a list that was asked for.
type listMsg struct {
	field bench.FieldID
	items []string
	err   error
}

// listOf asks for a list outside Update: ports and disks may take their time.
func (m BenchScreen) listOf(field bench.FieldID, ask func() ([]string, error)) tea.Cmd {
	return func() tea.Msg {
		items, err := ask()
		return listMsg{field, items, err}
	}
}

// listed opens the list, or says why there is none. One that comes while
// something is typed is dropped.
func (m *BenchScreen) listed(msg listMsg) {
	if m.mode != browsing {
		return
	}
	m.note = ""
	switch {
	case msg.err != nil:
		m.note = clean(msg.err.Error())
	case len(msg.items) == 0 && msg.field == bench.FieldSource:
		m.note = "no port is found: plug the board in, then press p again"
	case len(msg.items) == 0:
		m.note = "no rig file is found: draghand rig new writes one"
	default:
		m.mode = choosing
		m.list = chooser{field: msg.field, items: msg.items}
		f := fieldOf(m.view, msg.field)
		for i, item := range msg.items {
			if f != nil && item == f.Text {
				m.list.at = i
			}
		}
	}
}

// chosen takes a key while a list is open.
func (m *BenchScreen) chosen(msg tea.KeyMsg) {
	l := &m.list
	switch {
	case key.Matches(msg, m.keys.Keep):
		m.mode = browsing
		m.section, m.field = setupSection, l.field
		m.set(l.field, l.items[l.at])
	case key.Matches(msg, m.keys.Drop), key.Matches(msg, m.keys.Quit):
		m.mode = browsing
	case key.Matches(msg, m.keys.Move):
		step := -1
		if msg.String() == "down" || msg.String() == "j" {
			step = 1
		}
		l.at = max(0, min(l.at+step, len(l.items)-1))
	}
}

// title says what the list is of.
func (l *chooser) title() string {
	if l.field == bench.FieldRig {
		return "rig files"
	}
	return "where readings may come from"
}

func (l *chooser) lines(w int) (lines []benchLine, focus int) {
	for i, item := range l.items {
		line := benchLine{text: clean(item), ink: plain}
		if i == l.at {
			line.mark, line.ink = true, strong
		}
		lines = append(lines, line)
	}
	return lines, l.at
}
