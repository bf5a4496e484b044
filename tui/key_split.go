package tui

import (
	"slices"

	tea "github.com/charmbracelet/bubbletea"
)

// restMsg is what a key led to, and the keys that came with it in one read and
// are still to be taken.
type restMsg struct {
	msg    tea.Msg // nil: nothing
	keys   []tea.KeyMsg
	number int // of the queue they belong to
}

// keyQueue are the keys that came while a rest was waiting: each is taken after it,
// or the letters of a burst would be overtaken by its blanks and its enter.
type keyQueue struct {
	waiting bool
	keys    []tea.KeyMsg
	number  int // a rest of an earlier one is dropped
}

// queuer is a model that holds a queue.
type queuer interface {
	tea.Model
	queued() keyQueue
	queue(q keyQueue) queuer
}

// hold puts a key behind what waits; false: nothing does, and the key is to be taken
// now. Ctrl+c never waits, and what waited for it is dropped.
func hold(m queuer, msg tea.KeyMsg) (queuer, bool) {
	q := m.queued()
	switch {
	case !q.waiting:
		return m, false
	case msg.Type == tea.KeyCtrlC:
		return m.queue(keyQueue{number: q.number + 1}), false
	}
	q.keys = append(slices.Clip(q.keys), msg)
	return m.queue(q), true
}

// behind lets keys wait until what a command gives was taken.
func behind(m queuer, cmd tea.Cmd, rest []tea.KeyMsg) (queuer, tea.Cmd) {
	q := m.queued()
	q.waiting = true
	return m.queue(q), func() tea.Msg { return restMsg{cmd(), rest, q.number} }
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
func oneByOne(m queuer, msg tea.KeyMsg, press func(queuer, tea.KeyMsg) (tea.Model, tea.Cmd)) (tea.Model, tea.Cmd) {
	m, held := hold(m, msg)
	if held {
		return m, nil
	}
	for i, k := range singles(msg) {
		next, cmd := press(m, k)
		m = next.(queuer)
		if cmd == nil {
			continue
		}
		rest := msg
		rest.Runes = rest.Runes[min(i+1, len(rest.Runes)):]
		if len(rest.Runes) == 0 || swallows(m) {
			return m, cmd
		}
		return behind(m, cmd, []tea.KeyMsg{rest})
	}
	return m, nil
}

// swallows says that keys fall on a screen that takes none now.
func swallows(m tea.Model) bool {
	if a, ok := m.(App); ok {
		m = a.front
	}
	s, ok := m.(swallower)
	return ok && s.swallows()
}

// goOn takes what a key led to, then the keys after it, then those that came
// meanwhile. Where one of them leads somewhere the rest waits again.
func (r restMsg) goOn(m queuer) (tea.Model, tea.Cmd) {
	var cmds []tea.Cmd
	take := func(msg tea.Msg) tea.Cmd {
		next, cmd := m.Update(msg)
		m = next.(queuer)
		return cmd
	}
	switch msg := r.msg.(type) {
	case nil:
	case tea.QuitMsg:
		return m, tea.Quit
	case tea.BatchMsg:
		cmds = append(cmds, msg...)
	default:
		cmds = append(cmds, take(msg))
	}
	q := m.queued()
	if q.number != r.number {
		return m, tea.Batch(cmds...)
	}
	keys := append(slices.Clip(r.keys), q.keys...)
	m = m.queue(keyQueue{number: q.number})
	for i, k := range keys {
		cmd, rest := take(k), keys[i+1:]
		if q := m.queued(); q.waiting { // behind a rest of its own
			q.keys = rest
			return m.queue(q), tea.Batch(append(cmds, cmd)...)
		}
		if cmd != nil && len(rest) > 0 && !swallows(m) {
			m, cmd = behind(m, cmd, rest)
			return m, tea.Batch(append(cmds, cmd)...)
		}
		cmds = append(cmds, cmd)
	}
	return m, tea.Batch(cmds...)
}
