package tui

import (
	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/si"
	"draghand/internal/watch"
)

// ReplayScreen is the pull screen on a saved pull. It draws with the parts of the
// PullScreen and says everywhere that nothing of it happens now: nobody may take a
// replay for a pull, nor the other way round.
type ReplayScreen struct {
	player Player
	keys   ReplayKeys
	leave  tea.Msg // what q leads to

	// rig is what the bench's look says now, in a sitting; nil: nothing is looked at.
	rig func() *watch.Snapshot

	pull PullScreen // what is drawn of the position
	back Playback
	help bool
	late keyQueue
	// breakNext says that the break was asked for before the record was read so far.
	breakNext bool

	tickID int
}

// newReplayScreen makes the screen of a saved pull. q gives leave, tea.QuitMsg or a
// way to another screen; whoever made the player closes it.
func newReplayScreen(p Player, t *theme, units si.System, leave tea.Msg) ReplayScreen {
	m := ReplayScreen{
		player: p, keys: DefaultReplayKeys(), leave: leave,
		pull: PullScreen{
			src: p, keys: DefaultPullKeys(), theme: t, units: units, trace: &watch.Trace{}, scratch: &scratch{}, over: true,
		},
	}
	m.load()
	return m
}

// Init starts the tick.
func (m ReplayScreen) Init() tea.Cmd { return m.tick() }

// load takes the position as it stands, and the trace of the time shown.
func (m *ReplayScreen) load() {
	v := &m.pull
	m.back, v.snap = m.player.Playback(), m.player.Snapshot()
	if v.snap != nil {
		from, to := m.window()
		m.player.Trace(v.trace, from, to)
		v.order = railOrder(v.order, &v.snap.State)
	}
	b := &m.back
	if m.breakNext && !b.Seeking {
		m.breakNext = false
		if b.Break > 0 && b.At == b.Break {
			m.player.Control(Transport{Do: SeekTo, To: b.Break - 1})
		}
	}
	what := "play"
	if b.Playing {
		what = "pause"
	}
	m.keys.Play.SetHelp("space", what)
	m.keys.Faster.SetEnabled(b.Speed < speeds[len(speeds)-1])
	m.keys.Slower.SetEnabled(b.Speed > speeds[0])
	known := b.Known >= b.Length
	m.keys.Peak.SetEnabled(b.Peak >= 0 || !known)
	m.keys.Break.SetEnabled(b.Break >= 0 || !known)
	m.keys.Story.SetEnabled(!v.abreast() && v.snap != nil && len(v.snap.Story) > 0)
	m.keys.Alarm.SetEnabled(len(b.Alarms) > 0 || !known)
}

// speeds are those the keys go through.
var speeds = [...]float64{0.1, 0.2, 0.5, 1, 2, 5, 10, 20, 50, 100}
