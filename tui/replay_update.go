package tui

import (
	"time"

	"github.com/charmbracelet/bubbles/key"
	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/si"
)

func (m ReplayScreen) tick() tea.Cmd {
	id := m.tickID
	return tea.Tick(frameTime, func(at time.Time) tea.Msg { return tickMsg{id, at} })
}

// Update takes one message.
func (m ReplayScreen) Update(msg tea.Msg) (tea.Model, tea.Cmd) {
	switch msg := msg.(type) {
	case tea.WindowSizeMsg:
		m.pull.width, m.pull.height = msg.Width, msg.Height
		m.load()
	case tickMsg:
		if msg.id != m.tickID {
			return m, nil
		}
		m.tickID++
		m.load()
		return m, m.tick()
	case tea.KeyMsg:
		return oneByOne(m, msg, func(m queuer, k tea.KeyMsg) (tea.Model, tea.Cmd) { return m.(ReplayScreen).pressed(k) })
	case restMsg:
		return msg.goOn(m)
	}
	return m, nil
}

func (m ReplayScreen) queued() keyQueue { return m.late }

func (m ReplayScreen) queue(q keyQueue) queuer {
	m.late = q
	return m
}

func (m ReplayScreen) pressed(msg tea.KeyMsg) (tea.Model, tea.Cmd) {
	k := &m.keys
	wish := func(t Transport) (tea.Model, tea.Cmd) {
		m.player.Control(t) // only hands over
		return m, nil
	}
	switch {
	case key.Matches(msg, k.Abort):
		return m, tea.Quit
	case m.help:
		m.help = false
	case key.Matches(msg, k.Quit):
		leave := m.leave
		return m, func() tea.Msg { return leave }
	case key.Matches(msg, k.Help):
		m.help = true
	case key.Matches(msg, k.Play):
		return wish(Transport{Do: PlayPause})
	case key.Matches(msg, k.Back):
		return wish(Transport{Do: SeekBy, To: -time.Second})
	case key.Matches(msg, k.On):
		return wish(Transport{Do: SeekBy, To: time.Second})
	case key.Matches(msg, k.BackOne):
		return wish(Transport{Do: Step, By: -1})
	case key.Matches(msg, k.OnOne):
		return wish(Transport{Do: Step, By: 1})
	case key.Matches(msg, k.Start):
		return wish(Transport{Do: SeekStart})
	case key.Matches(msg, k.End):
		return wish(Transport{Do: SeekEnd})
	case key.Matches(msg, k.Peak):
		return wish(Transport{Do: SeekPeak})
	case key.Matches(msg, k.Break):
		return m.toBreak()
	case key.Matches(msg, k.Alarm):
		return wish(Transport{Do: SeekNextAlarm})
	case key.Matches(msg, k.Faster):
		return m.faster(1), nil
	case key.Matches(msg, k.Slower):
		return m.faster(-1), nil
	case key.Matches(msg, k.Window):
		m.pull.shown = (m.pull.shown + 1) % shownTimes
		m.pull.story = false // or nothing would be seen of it
		m.load()
	case key.Matches(msg, k.Story):
		m.pull.story = !m.pull.story
	case key.Matches(msg, k.Units):
		if m.pull.units == si.US {
			m.pull.units = si.Metric
		} else {
			m.pull.units = si.US
		}
	}
	return m, nil
}

// toBreak goes to the last reading before the force fell: that is what the bar
// bore. At the break itself the force is down and the engine has not judged it yet.
func (m ReplayScreen) toBreak() (tea.Model, tea.Cmd) {
	if at := m.back.Break; at > 0 {
		m.player.Control(Transport{Do: SeekTo, To: at - 1})
		return m, nil
	}
	m.breakNext = true // nobody knows yet when it was
	m.player.Control(Transport{Do: SeekBreak})
	return m, nil
}

// faster goes on to the next speed. The screen takes it as done: two keys within
// a frame are two steps.
func (m ReplayScreen) faster(dir int) ReplayScreen {
	speed := nextSpeed(m.back.Speed, dir)
	m.player.Control(Transport{Do: Faster, By: speed / m.back.Speed})
	m.back.Speed = speed
	m.keys.Faster.SetEnabled(speed < speeds[len(speeds)-1])
	m.keys.Slower.SetEnabled(speed > speeds[0])
	return m
}

// nextSpeed is the next of the speeds above or below one.
func nextSpeed(speed float64, dir int) float64 {
	const near = 1e-6 // of what a product of factors is off
	if dir > 0 {
		for _, s := range speeds {
			if s > speed*(1+near) {
				return s
			}
		}
		return speeds[len(speeds)-1]
	}
	for i := len(speeds) - 1; i >= 0; i-- {
		if speeds[i] < speed*(1-near) {
			return speeds[i]
		}
	}
	return speeds[0]
}
