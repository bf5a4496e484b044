package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/watch"
)

// leave goes where the screen leads once the pull is closed: out of the program,
// or in a sitting to what came out of the pull.
func (m PullScreen) leave() tea.Msg {
	if m.sitting {
		return openAfter{}
	}
	return tea.Quit()
}

// closeWord says what leaving a closed pull does.
func (m *PullScreen) closeWord() string {
	if m.sitting {
		return "to the result"
	}
	return "leave"
}

// endAndLeave ends a pull that still runs and leaves. In a sitting the screen
// stays until the pull is closed, since only then there is a result, and while
// an alarm to let the pressure off for is unacknowledged.
func (m PullScreen) endAndLeave() (tea.Model, tea.Cmd) {
	closed := m.snap != nil && m.snap.Closed
	switch {
	case !m.sitting:
		return m, m.abort()
	case closed:
		return m, m.leave
	}
	m.leaving = true
	m.say("ending the pull")
	return m, m.do(watch.EndPull)
}

// maybeLoaded says what ending the pull now leaves behind.
func (m *PullScreen) maybeLoaded() string {
	if m.snap != nil && !m.snap.State.Seen {
		return "the rig may be loaded"
	}
	return "the rig is loaded"
}

// quitQuestion is what leaving under load asks.
func (m *PullScreen) quitQuestion() string {
	if m.sitting {
		return "end the pull and go to the result?"
	}
	return "end the pull and leave?"
}

// hasLeft says that the pull has closed that the person left; an alarm that
// nobody has acknowledged keeps the screen.
func (m *PullScreen) hasLeft() bool {
	return m.leaving && m.snap != nil && m.snap.Closed && m.stopping() == nil
}

// abort ends a pull that still runs, and the program.
func (m *PullScreen) abort() tea.Cmd {
	if m.snap != nil && m.snap.Closed {
		return tea.Quit
	}
	end := m.do(watch.EndPull)
	return func() tea.Msg {
		end()
		return tea.Quit()
	}
}
