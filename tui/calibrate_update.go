package tui

import (
	"fmt"
	"strings"
	"time"
	"unicode"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"
)

// Update takes one message. It never waits.
func (m CalibrateScreen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.width, m.height = msg.Width, msg.Height
	case EdgeMsg:
		m.load()
	case tickMsg:
		if msg.id != m.tickID {
			return m, nil
		}
		m.tickID++
		if m.noted++; m.mode == taking && m.noted > noteTime {
			m.note = ""
		}
		ring := m.look(msg.at)
		return m, tea.Batch(m.tick(), ring)
	case tookMsg:
		m.took(msg)
	case didMsg:
		m.did(msg)
	case tea.KeyMsg:
		return m.pressed(msg)
	}
	return m, nil
}

// look takes the latest view, and rings once a second as long as the person is to be
// called, at once the first time: nobody else tells the edge.
func (m *CalibrateScreen) look(at time.Time) tea.Cmd {
	was := m.urgent()
	m.load()
	if m.urgent() && !was {
		m.bell.rung = at.Add(-bellEvery)
	}
	return m.bell.ring(m.urgent(), at)
}

// took takes the answer to a value; one that was not taken stays to be sent again.
func (m *CalibrateScreen) took(msg tookMsg) {
	m.mode, m.note, m.noted = taking, "", 0
	if msg.err != nil {
		m.load() // it may have begun to move since the frame that enter answered
		m.mode, m.stood = valuing, m.view.Steady != nil
		m.refused = strings.TrimPrefix(msg.err.Error(), "no point taken: ")
	} else {
		m.unit = unitOf(msg.text)
		m.note = "taken: " + clean(msg.text)
		m.edit = lineEdit{}
	}
	m.load()
}

// did takes the answer to another wish.
func (m *CalibrateScreen) did(msg didMsg) {
	m.mode, m.note, m.noted = taking, "", 0
	if msg.err != nil {
		m.failed = msg.fail + msg.err.Error()
	} else {
		m.note = msg.what
		if msg.save {
			m.zeroed = msg.zero
		}
	}
	m.load()
}

// takesText says that keys are text.
func (m CalibrateScreen) takesText() bool { return m.mode == valuing }

// swallows says that the calibrator is asked and no key does anything.
func (m CalibrateScreen) swallows() bool { return m.mode == working }

func (m CalibrateScreen) pressed(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	if key.Matches(msg, m.keys.Abort) {
		return m, to(leaveAll{})
	}
	if key.Matches(msg, m.keys.AckTyping) {
		return m.acknowledged(), nil
	}
	switch m.mode {
	case working:
		return m, nil
	case valuing:
		return m.typed(msg)
	case dropping, departing:
		return m.answered(msg)
	}
	m.note, m.failed = "", ""
	k, cal := &m.keys, m.cal
	switch {
	case startsValue(msg):
		m.mode, m.edit, m.refused = valuing, lineEdit{}, ""
		m.edit.pressed(msg)
	case key.Matches(msg, k.Value):
		m.mode, m.edit, m.refused = valuing, lineEdit{}, ""
	case key.Matches(msg, k.Zero):
		m.mode = working
		return m, func() tea.Msg {
			return didMsg{what: "zero asked for: let nothing touch the rig", err: cal.Zero()}
		}
	case key.Matches(msg, k.Save):
		m.mode, m.note = working, "saving"
		zero := m.view.Run.ZeroAfter != nil
		return m, func() tea.Msg {
			path, err := cal.Save()
			return didMsg{what: "saved as " + clean(path), fail: "NOT SAVED: ", save: true, zero: zero, err: err}
		}
	case key.Matches(msg, k.Ack):
		return m.acknowledged(), nil
	case key.Matches(msg, k.Drop):
		m.mode = dropping
	case key.Matches(msg, k.Move):
		step := -1
		if msg.String() == "down" || msg.String() == "j" {
			step = 1
		}
		m.marked = max(0, min(m.marked+step, len(m.view.Run.Points)-1))
	case key.Matches(msg, k.Lines):
		step := -3
		if msg.String() == "pgdown" {
			step = 3
		}
		m.from = max(0, min(m.from+step, len(m.answerLines(m.width-4))-1))
	case key.Matches(msg, k.Falling):
		m.falling = !m.falling
	case key.Matches(msg, k.Help):
		return m, to(k.help())
	case key.Matches(msg, k.Quit):
		if m.leaveQuestion() != "" {
			m.mode = departing
			return m, nil
		}
		return m, to(leaveAll{})
	}
	return m, nil
}

// acknowledged has taken note of every alarm.
func (m CalibrateScreen) acknowledged() CalibrateScreen {
	m.hushed = true
	m.cal.Acknowledge() // only hands over
	m.load()
	return m
}

// startsValue says that a key begins what the reference shows.
func startsValue(msg tea.KeyMsg) bool {
	if msg.Type != tea.KeyRunes || msg.Alt || len(msg.Runes) == 0 {
		return false
	}
	r := msg.Runes[0]
	return unicode.IsDigit(r) || r == '.' && len(msg.Runes) == 1
}

// typed takes a key while a value is typed.
func (m CalibrateScreen) typed(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	switch {
	case key.Matches(msg, m.keys.Keep):
		text := strings.TrimSpace(clean(m.edit.text()))
		if text == "" {
			m.mode, m.refused = taking, ""
			if m.urgent() { // a hand that is on enter need not look for another key
				return m.acknowledged(), nil
			}
			return m, nil
		}
		if unitOf(text) == "" && m.unit != "" {
			text += " " + m.unit
		}
		m.mode, m.refused, m.note = working, "", "taking the point"
		cal := m.cal
		return m, func() tea.Msg { return tookMsg{text, cal.Take(text)} }
	case key.Matches(msg, m.keys.Leave):
		m.mode, m.refused = taking, ""
	default:
		m.refused = ""
		m.edit.pressed(msg)
	}
	return m, nil
}

// unitOf is what stands behind the number of a text; empty: nothing.
func unitOf(text string) string {
	at := strings.LastIndexFunc(text, unicode.IsDigit)
	return strings.Trim(text[at+1:], " .,")
}

// answered takes a key while a question is asked.
func (m CalibrateScreen) answered(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	yes, answered := answer(msg)
	if !answered {
		return m, nil
	}
	was := m.mode
	m.mode = taking
	if !yes {
		return m, nil
	}
	if was == departing {
		if m.agreed != nil {
			m.agreed()
		}
		return m, to(leaveAll{})
	}
	n, cal := m.marked, m.cal
	m.mode = working
	return m, func() tea.Msg {
		return didMsg{what: fmt.Sprintf("point %d dropped", n+1), fail: "not dropped: ", err: cal.Drop(n)}
	}
}

// leaveQuestion is what leaving asks; empty: nothing.
func (m *CalibrateScreen) leaveQuestion() string {
	n := m.unsaved()
	points := counted(int64(n), "point is", "points are")
	switch load := m.left; {
	case n > 0 && load:
		return "the rig is loaded and " + points + " not saved: leave all the same?  y / n"
	case load && !m.readable():
		return leaveMaybe
	case load:
		return leaveLoaded
	case n > 0:
		return points + " not saved: leave without?  y / n"
	}
	return ""
}
