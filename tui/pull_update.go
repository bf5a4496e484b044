package tui

import (
	"slices"
	"time"

	"draghand/internal/watch"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/si"
)

// frameTime is the distance of two ticks. At the library's 60 flushes a second
// it leaves an alarm that comes by tick alone 60 ms from the eye; edges come by
// themselves.
const frameTime = time.Second / 30

// tickMsg says that it is time to look again.
type tickMsg struct {
	id int
	at time.Time
}

// EdgeMsg says that an alarm, a break or a loss has just been published: the
// screen loads the snapshot at once.
type EdgeMsg struct{}

func (m PullScreen) tick() tea.Cmd {
	id := m.tickID
	return tea.Tick(frameTime, func(at time.Time) tea.Msg { return tickMsg{id, at} })
}

// Update takes one message.
func (m PullScreen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.width, m.height = msg.Width, msg.Height
		m.enable()
	case EdgeMsg:
		m.load()
	case tickMsg:
		if msg.id != m.tickID {
			return m, nil
		}
		m.tickID++
		m.load()
		if m.closing(msg.at) || m.hasLeft() {
			return m, m.leave
		}
		if ring := m.bell.ring(m.stopping() != nil, msg.at); ring != nil {
			return m, tea.Batch(m.tick(), ring)
		}
		return m, m.tick()
	case tea.KeyMsg:
		return oneByOne(m, msg, func(m queuer, k tea.KeyMsg) (tea.Model, tea.Cmd) { return m.(PullScreen).pressed(k) })
	case restMsg:
		return msg.goOn(m)
	}
	return m, nil
}

func (m PullScreen) queued() keyQueue { return m.late }

func (m PullScreen) queue(q keyQueue) queuer {
	m.late = q
	return m
}

// closing counts down to the end of a screen that closes by itself. It does not
// over a stop that nobody has acknowledged.
func (m *PullScreen) closing(now time.Time) bool {
	if m.closeAfter <= 0 || m.touched || m.snap == nil || !m.snap.Closed || m.stopping() != nil {
		m.left = 0
		return false
	}
	if m.closedAt.IsZero() {
		m.closedAt = now
	}
	m.left = m.closeAfter - now.Sub(m.closedAt)
	return m.left <= 0
}

func (m PullScreen) pressed(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	if m.snap != nil && m.snap.Closed {
		m.touched = true
	}
	if key.Matches(msg, m.keys.Abort) {
		return m, m.abort()
	}
	m.note = "" // it was read, or is overtaken
	if m.ask != noQuestion {
		return m.answered(msg)
	}
	if m.help { // any key closes it; what must not wait is done as well
		m.help = false
		if !key.Matches(msg, m.keys.Ack) {
			return m, nil
		}
	}
	switch {
	case key.Matches(msg, m.keys.Ack):
		return m.acknowledge()
	case key.Matches(msg, m.keys.Zero):
		// Shorter than other notes: a refusal with its reason is to follow.
		m.say("zero asked for: let nothing touch the rig")
		m.noteUntil = m.snap.Now + time.Second
		return m, m.do(watch.ZeroNow)
	case slices.Contains(m.keys.Zero.Keys(), msg.String()) && m.loading():
		m.say("no zero under load: release the pressure first")
	case key.Matches(msg, m.keys.Units):
		if m.units == si.US {
			m.units = si.Metric
		} else {
			m.units = si.US
		}
	case key.Matches(msg, m.keys.End):
		if m.loading() {
			m.ask = askEnd
			return m, nil
		}
		m.say("ending the pull")
		return m, m.do(watch.EndPull)
	case key.Matches(msg, m.keys.Quit):
		if m.loading() {
			m.ask = askQuit
			return m, nil
		}
		return m.endAndLeave()
	case slices.Contains(m.keys.Quit.Keys(), msg.String()) && m.snap != nil: // q, while a stop keeps the screen
		m.say("press a to acknowledge first")
	case key.Matches(msg, m.keys.Help):
		m.help = true
	case key.Matches(msg, m.keys.Window):
		m.shown = (m.shown + 1) % shownTimes
		m.story = false // or nothing would be seen of it
		m.load()
	case key.Matches(msg, m.keys.Story):
		m.story = !m.story
	case key.Matches(msg, m.keys.Suspend):
		m.say("ctrl+z would stop the readings: it does nothing here")
	}
	return m, nil
}

// answered takes the answer to a question. An alarm can be acknowledged
// without answering first.
func (m PullScreen) answered(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	ask := m.ask
	switch {
	case key.Matches(msg, m.keys.Yes):
		m.ask = noQuestion
		if ask == askQuit {
			return m.endAndLeave()
		}
		m.say("ending the pull")
		return m, m.do(watch.EndPull)
	case key.Matches(msg, m.keys.No):
		m.ask = noQuestion
	case key.Matches(msg, m.keys.Ack):
		return m.acknowledge()
	}
	return m, nil
}

// acknowledge takes note of all alarms: the pull does, and once it is closed the
// screen.
func (m PullScreen) acknowledge() (tea.Model, tea.Cmd) {
	if m.snap.Closed {
		m.seen = true
		m.load()
		return m, nil
	}
	return m, m.do(watch.AckAlarms)
}

// say shows a note for three seconds of the pull.
func (m *PullScreen) say(s string) {
	m.note = s
	if m.snap != nil {
		m.noteUntil = m.snap.Now + 3*time.Second
	}
}

// do hands a command to the pull, outside Update: whatever the pull is at, the
// screen goes on.
func (m PullScreen) do(c watch.Command) tea.Cmd {
	src := m.src
	return func() tea.Msg {
		src.Do(c)
		return nil
	}
}
