package tui

import (
	"io"
	"slices"
	"sync/atomic"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/calib"
	livecal "draghand/internal/calib/live"
	"draghand/internal/pull"
	"draghand/internal/rig"
)

// calibrateMode is what keys mean at the moment.
type calibrateMode uint8

const (
	taking    calibrateMode = iota
	valuing                 // keys are what the reference shows
	dropping                // asked whether to drop a point
	departing               // asked whether to leave
	working                 // for the calibrator
)

// CalibrateScreen is a rig held against a reference, point by point: what it reads
// and whether that stands still, what the reference shows, and what the points say.
// What it draws depends on its fields alone.
type CalibrateScreen struct {
	cal   Calibrator
	keys  calibrateKeys
	theme *theme

	width, height int
	view          *livecal.View
	bounds        []rig.Bound // of the rig in view
	marked        int         // point that keys are about
	from          int         // first of the lines below that is shown
	falling       bool        // the plot's scale takes the falling points in

	limit pull.Limit // the nearest now; Allowable 0: none is known
	most  []float64  // largest ratio seen of each bound
	// left says that there was load when the rig was last seen; seen that it was ever.
	left, seen bool
	hushed     bool // what is grave here is acknowledged
	called     bool // the person was called when last looked

	mode    calibrateMode
	edit    lineEdit
	unit    string // of the value that was taken last, for a number alone
	refused string // why the value was not taken, until the reading stands or moves anew
	stood   bool   // it stood still when the value was refused
	note    string // until the next key, or for a while
	noted   int    // ticks since the note was there first
	failed  string // what went wrong, until the next key
	was     string // path that was saved last, maybe with other points
	zeroed  bool   // the zero after the points was there then

	tickID  int
	bell    bell
	ascii   bool   // the terminal shows nothing else
	agreed  func() // to leave without saving; nil: nobody minds
	scratch *scratch
}

// noteTime is how long a note stays in the place of the keys, in ticks.
const noteTime = 45

// tookMsg is the answer to a value.
type tookMsg struct {
	text string
	err  error
}

// didMsg is the answer to another wish.
type didMsg struct {
	what string // that was done
	fail string // what stands before an error
	save bool   // it was to save
	zero bool   // with a zero after the points
	err  error
}

func newCalibrateScreen(cal Calibrator, t *theme, ring io.Writer) CalibrateScreen {
	m := CalibrateScreen{cal: cal, keys: newCalibrateKeys(), theme: t, scratch: &scratch{}}
	m.bell = bell{out: ring, busy: &atomic.Bool{}}
	m.load()
	return m
}

// Init starts the tick.
func (m CalibrateScreen) Init() tea.Cmd { return m.tick() }

func (m CalibrateScreen) tick() tea.Cmd {
	id := m.tickID
	return tea.Tick(benchTime, func(at time.Time) tea.Msg { return tickMsg{id, at} })
}

// load takes the latest view, and enables the keys it allows.
func (m *CalibrateScreen) load() {
	before := m.view
	m.view = m.cal.View()
	v := m.view
	if v.Rig != nil && (before == nil || before.Rig != v.Rig) {
		m.bounds, m.limit = v.Rig.BarOn(v.Run.Far).Bounds(), pull.Limit{}
		m.most = make([]float64, len(m.bounds))
	}
	m.weigh()
	n := len(v.Run.Points)
	if before == nil || n > len(before.Run.Points) {
		m.marked = n - 1 // a new one
	}
	m.marked = max(0, min(m.marked, n-1))
	if m.refused != "" && m.stood != (v.Steady != nil) {
		m.refused = ""
	}
	m.keys.Save.SetEnabled(v.Answer != nil && (v.Saved == "" || m.stale()))
	m.keys.Drop.SetEnabled(n > 0)
	m.keys.Move.SetEnabled(n > 1)
	m.keys.Lines.SetEnabled(v.Answer != nil)
	m.keys.Falling.SetEnabled(v.Answer != nil && m.fallingCount() > 0)
	m.hushed = m.hushed && m.grave()
	toAck := m.grave() && !m.hushed || slices.ContainsFunc(v.Alarms, func(a pull.Alarm) bool { return !a.Acked })
	m.keys.Ack.SetEnabled(toAck)
	m.keys.AckTyping.SetEnabled(toAck)
	if v.Saved != "" {
		m.was = v.Saved
	}
	if called := m.urgent(); called != m.called { // what is asked or told of a point gives way to an alarm
		m.called = called
		if called {
			m.note = ""
			if m.mode == dropping {
				m.mode = taking
			}
		}
	}
}

// readable says that the rig is seen now.
func (m *CalibrateScreen) readable() bool { return m.view.Fault == "" && m.view.Signal.Valid() }

// countsLoaded is the ratio of the nearest limit from which the rig counts as loaded,
// beside what the run itself says.
const countsLoaded = 0.01

// weigh finds the part that is nearest to its limit. What is not seen leaves it as
// it was.
func (m *CalibrateScreen) weigh() {
	v := m.view
	if v.Rig == nil || !m.readable() {
		m.left = m.left || !m.seen && len(v.Run.Points) > 0 // until the contrary is seen
		return
	}
	m.seen = true
	near, ratio := -1, 0.0
	for i := range m.bounds {
		r := m.bounds[i].Ratio(v.Live, v.Live+v.Zero)
		m.most[i] = max(m.most[i], r)
		if near < 0 || r > ratio {
			near, ratio = i, r
		}
	}
	m.left = v.HaveZero && v.Loaded()
	if near < 0 {
		m.limit = pull.Limit{}
		return
	}
	b := &m.bounds[near]
	level := pull.Quiet
	if m.limit.Name == b.Limit.Name {
		level = m.limit.Level
	}
	m.limit = pull.Limit{
		Name: b.Limit.Name, At: b.Limit.At, Load: b.Load(v.Live, v.Live+v.Zero), Allowable: b.Allowable,
		Ratio: ratio, PeakRatio: m.most[near], Level: m.levelAt(ratio, level),
	}
	m.left = v.HaveZero && (m.left || b.Limit.At != rig.AtGauge && ratio > countsLoaded)
}

// levelAt is the alarm level of a ratio that was at another: one that is on stays
// until the ratio is below its level by as much as in a pull.
func (m *CalibrateScreen) levelAt(ratio float64, was pull.Level) pull.Level {
	a := m.view.Rig.Alarm
	for _, l := range []struct {
		at    float64
		level pull.Level
	}{{a.Stop, pull.Stop}, {a.Warning, pull.Warning}, {a.Caution, pull.Caution}} {
		if ratio >= l.at || was >= l.level && ratio >= keeps*l.at {
			return l.level
		}
	}
	return pull.Quiet
}

// urgent says that a bell is to call the person: for a stop that is on and that nobody
// has acknowledged, whoever found it.
func (m *CalibrateScreen) urgent() bool {
	on := false
	for i := range m.view.Alarms {
		if a := &m.view.Alarms[i]; grave(a) && !a.Returned {
			if !a.Acked {
				return true
			}
			on = true
		}
	}
	return !on && m.grave() && !m.hushed
}

// grave says that by what this screen sees the person is to be called, whatever the
// alarms of the engine.
func (m *CalibrateScreen) grave() bool {
	if !m.readable() {
		return m.left || m.view.Fault == "" && m.view.Signal == rig.AboveBand
	}
	return m.limit.Level == pull.Stop
}

// danger says that the load has to come off now, acknowledged or not.
func (m *CalibrateScreen) danger() bool {
	return m.grave() || slices.ContainsFunc(m.view.Alarms, func(a pull.Alarm) bool { return grave(&a) && !a.Returned })
}

// unsaved is how many points nobody has saved as they are.
func (m *CalibrateScreen) unsaved() int {
	if m.view.Saved != "" {
		return 0
	}
	return len(m.view.Run.Points)
}

// stale says that the zero after the points came after they were saved.
func (m *CalibrateScreen) stale() bool {
	return m.view.Saved != "" && m.view.Run.ZeroAfter != nil && !m.zeroed
}

func (m *CalibrateScreen) fallingCount() (n int) {
	for i := range m.view.Run.Points {
		if m.view.Run.Points[i].Direction == calib.Falling {
			n++
		}
	}
	return n
}

// suspect is the index of the bad point; -1: none is.
func (m *CalibrateScreen) suspect() int {
	if a := m.view.Answer; a != nil && a.Suspect < len(m.view.Run.Points) {
		return a.Suspect
	}
	return -1
}
