package tui

import (
	"sync/atomic"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/watch"
	"draghand/tui/chart"
)

// question is what the screen has asked and not been answered.
type question uint8

const (
	noQuestion question = iota
	askEnd
	askQuit
)

// PullScreen is the screen of a running pull. What it draws depends on its
// fields alone.
type PullScreen struct {
	src   Source
	keys  PullKeys
	theme *theme
	units si.System

	width, height int
	snap          *watch.Snapshot // latest; nil before the first
	trace         *watch.Trace    // latest, its memory reused
	order         []int           // of the limits on the screen
	ask           question
	seen          bool // the alarms of a closed pull were acknowledged here
	help          bool
	shown         shownTime // by the chart
	story         bool      // in the place of the chart
	bell          bell
	late          keyQueue
	note          string // what was just asked of the pull
	noteUntil     time.Duration

	tickID     int // ticks with another id are stale and die
	closeAfter time.Duration
	closedAt   time.Time // of the first tick that saw the pull closed
	left       time.Duration
	touched    bool // a key was pressed since

	sitting bool // the App holds the screen: leaving leads to what came out
	over    bool // a saved pull: nothing of it happens now
	leaving bool // the person left before the pull was closed

	scratch *scratch
}

// scratch is memory of the last frame used again for the next; nothing in it
// is seen in a frame.
type scratch struct {
	plate plate
	chart chart.Chart
	lines []chart.Level
}

// NewPullScreen makes the screen of a source. The size comes with the first
// message of the terminal.
func NewPullScreen(src Source, opts Options) PullScreen {
	m := PullScreen{
		src:        src,
		keys:       DefaultPullKeys(),
		theme:      newTheme(opts.Out, opts.NoColor),
		units:      opts.Units,
		trace:      &watch.Trace{},
		closeAfter: opts.CloseAfter,
		scratch:    &scratch{plate: plate{ascii: opts.ASCII}},
	}
	if opts.Bell && opts.Out != nil {
		m.bell = bell{out: opts.Out, busy: &atomic.Bool{}}
	}
	m.load()
	return m
}

// Init starts the tick.
func (m PullScreen) Init() tea.Cmd { return m.tick() }

// load takes the latest snapshot and the trace of the window shown, and enables
// the keys they allow.
func (m *PullScreen) load() {
	m.snap = m.src.Snapshot()
	if m.snap != nil {
		from, to := window(&m.snap.State, m.shown)
		m.src.Trace(m.trace, from, to)
		m.order = railOrder(m.order, &m.snap.State)
	}
	m.enable()
}

// enable enables the keys that do something now.
func (m *PullScreen) enable() {
	below := m.snap != nil && m.stopping() == nil && !m.small()
	m.keys.Window.SetEnabled(below)
	m.keys.Story.SetEnabled(below && !m.abreast() && len(m.snap.Story) > 0)
	m.keys.Help.SetEnabled(below) // nothing of it would be seen over a stop
	m.help = m.help && below
	open := m.snap != nil && !m.snap.Closed
	m.keys.Quit.SetEnabled(open || m.stopping() == nil || !m.sitting)
	m.keys.Ack.SetEnabled(open && m.unacked() != nil || m.stopping() != nil)
	m.keys.Zero.SetEnabled(open && m.snap.State.Phase == pull.Slack)
	m.keys.End.SetEnabled(open)
	if m.snap != nil && m.snap.Closed {
		m.ask = noQuestion
		m.keys.Quit.SetHelp("q", m.closeWord())
	}
}

// loading says that ending the pull now would cut a test short.
func (m *PullScreen) loading() bool {
	if m.snap == nil || m.snap.Closed || m.snap.State.Outcome != "" {
		return false
	}
	return watch.Loaded(m.snap.State.Phase)
}

// acked says that somebody has acknowledged an alarm. Once the pull is closed no
// command has an effect, and it is done on this screen alone.
func (m *PullScreen) acked(a *pull.Alarm) bool { return a.Acked || m.seen }

// unacked is the worst alarm nobody has acknowledged.
func (m *PullScreen) unacked() *pull.Alarm {
	return m.worst(func(a *pull.Alarm) bool { return !m.acked(a) })
}

// worst is the worst of some alarms, nil where there is none.
func (m *PullScreen) worst(of func(*pull.Alarm) bool) *pull.Alarm {
	if m.snap == nil {
		return nil
	}
	var worst *pull.Alarm
	for i := range m.snap.State.Alarms {
		if a := &m.snap.State.Alarms[i]; of(a) && (worst == nil || urgent(a) > urgent(worst)) {
			worst = a
		}
	}
	return worst
}

// grave says that an alarm is one to let the pressure off for.
func grave(a *pull.Alarm) bool { return a.Level >= pull.Stop || a.Blind }

// urgent orders alarms: blindness above a stop, an active one above one that
// has returned.
func urgent(a *pull.Alarm) int {
	u := 4 * int(a.Level)
	if a.Ahead { // where the load is says more than where it may be soon
		u = 4*int(pull.Caution) - 2
	}
	if a.Blind { // seen again it is no more urgent than a stop that is over
		u = 4 * int(pull.Stop)
		if !a.Returned {
			u += 2
		}
	}
	if !a.Returned {
		u++
	}
	return u
}

// stopping is the alarm that takes the whole screen: a stop or blindness that
// nobody has acknowledged. It stays when the pull closes by itself: the rig may
// still be loaded, and now nothing watches it.
func (m *PullScreen) stopping() *pull.Alarm {
	if a := m.unacked(); a != nil && grave(a) {
		return a
	}
	return nil
}
