package tui

import (
	"context"
	"errors"
	"slices"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/record"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/strength"
	"draghand/internal/trace"
	"draghand/internal/watch"
	"draghand/tui/chart"
)

// OverlayScreen shows several pulls over each other. What it draws depends on its
// fields alone.
type OverlayScreen struct {
	desk  Desk
	keys  overlayKeys
	theme *theme
	ascii bool // the frame is shown in ASCII alone
	units si.System

	width, height int
	all           []overlaid // those that are shown, the first is a
	more          int        // were asked for beside them
	chosen        int        // index into all; it is in front
	by            trace.Align
	stress        bool // else the force
	shown         overTime
	opening       string
	note          string          // until the next key
	look          *watch.Snapshot // of the rig, which may be loaded meanwhile; nil: no source is open
	tickID        int

	ctx     context.Context // of the proof
	cancel  context.CancelFunc
	proving bool // one is under way
	proof   int  // counts up where it goes on anew

	scratch *overScratch
}

// overlaid is one pull of those over each other.
type overlaid struct {
	entry  shelf.Entry
	trace  *trace.Trace // nil: not read yet, or not at all
	why    string       // why it was not read; empty where it was, or is still to be
	gaps   int          // times the force was out of sight in what is drawn of it under load
	hidden bool
	proved bool // its readings were held against what was written
	fault  bool // why is no property of the record: its readings could not be read
}

// waiting says that the trace is still being read.
func (o *overlaid) waiting() bool { return o.trace == nil && o.why == "" }

// overScratch is what a frame is made in: the traces as the chart wants them, kept as
// long as they are for the same.
type overScratch struct {
	scratch
	made   overMade
	traces []chart.Trace
	drawn  []chart.Trace // the part of traces that is shown
}

// overMade says what the traces of an overScratch were made for.
type overMade struct {
	w        int
	from, to time.Duration
	by       trace.Align
	stress   bool
	read     int // traces that had been read
	damaged  int // of them
}

// overRead is the answer to one trace.
type overRead struct {
	i     int
	trace *trace.Trace
	err   error
}

// newOverlayScreen takes the first records of those asked for, as many as can be told
// apart, the newest first: a pull has the same letter on the page of a comparison.
func newOverlayScreen(desk Desk, of []shelf.Entry, t *theme, u si.System) OverlayScreen {
	m := OverlayScreen{desk: desk, keys: newOverlayKeys(), theme: t, units: u, scratch: &overScratch{}}
	n := min(len(of), chart.MaxCurves)
	m.more = len(of) - n
	drawn := slices.Clone(of[:n])
	slices.SortStableFunc(drawn, func(a, b shelf.Entry) int { return record.Later(a.Started, a.Name, b.Started, b.Name) })
	for _, e := range drawn {
		m.all = append(m.all, overlaid{entry: e, why: noTraceOf(&e)})
	}
	m.look = desk.View().Look
	m.ctx, m.cancel = context.WithCancel(context.Background())
	m.enable()
	return m
}

// Init reads the traces that have not been read yet.
func (m OverlayScreen) Init() tea.Cmd {
	cmds := []tea.Cmd{m.tick(), func() tea.Msg { return shelfShown{} }}
	for i := range m.all {
		if m.all[i].waiting() {
			cmds = append(cmds, m.read(i))
		}
	}
	return tea.Batch(cmds...)
}

func (m OverlayScreen) tick() tea.Cmd {
	id := m.tickID
	return tea.Tick(benchTime, func(at time.Time) tea.Msg { return tickMsg{id, at} })
}

// read reads one trace outside Update: a disk may take its time.
func (m OverlayScreen) read(i int) tea.Cmd {
	desk, dir := m.desk, m.all[i].entry.Dir
	return func() tea.Msg {
		t, err := desk.Trace(dir)
		if err == nil && t == nil {
			err = errors.New("no trace came back")
		}
		return overRead{i, t, err}
	}
}

// take keeps a trace, or why there is none. The slice is made anew: frames of an
// earlier model must not change.
func (m *OverlayScreen) take(r overRead) {
	if r.i < 0 || r.i >= len(m.all) {
		return
	}
	m.all = slices.Clone(m.all)
	o := &m.all[r.i]
	switch {
	case errors.Is(r.err, trace.ErrNoTrace):
		o.why = noTrace(&shelf.Entry{Condition: shelf.Whole, ByEye: true})
	case errors.Is(r.err, trace.ErrWriting):
		o.why = noTrace(&shelf.Entry{Condition: shelf.Writing})
	case errors.Is(r.err, trace.ErrBlank):
		o.why = "no trace: not one valid reading is in it"
	case r.err != nil:
		o.why, o.fault = "not read: "+r.err.Error(), true
	default:
		o.take(r.trace)
	}
}

// take keeps a trace and counts its holes.
func (o *overlaid) take(t *trace.Trace) {
	o.trace, o.gaps = t, 0
	for _, c := range t.Columns {
		if c.Gap && c.At > t.Loaded && c.At < drawnTo(t) {
			o.gaps++
		}
	}
}

// noTraceOf says what a list already knows of why a record has no trace to be shown;
// empty where nothing speaks against it.
func noTraceOf(e *shelf.Entry) string {
	if !e.Readable() {
		return string(e.Condition) + ": " + e.Reason
	}
	return noTrace(e)
}

// reading counts the traces that are still to come.
func (m *OverlayScreen) reading() (n int) {
	for i := range m.all {
		if m.all[i].waiting() {
			n++
		}
	}
	return n
}

// left says why a pull that was read is not drawn now; empty where it is. Hidden is
// no reason.
func (m *OverlayScreen) left(o *overlaid) string {
	switch _, ok := o.trace.At(m.by); {
	case !ok:
		return strength.NoLoad(o.entry.Imported) + ": nothing to line up"
	case m.stress && o.trace.Area <= 0:
		return "no section was measured: no stress"
	}
	return ""
}

// drawable says that a pull is in the chart unless it is hidden.
func (m *OverlayScreen) drawable(o *overlaid) bool { return o.trace != nil && m.left(o) == "" }

// enable lets the keys answer that would do something now.
func (m *OverlayScreen) enable() {
	k := &m.keys
	k.Up.SetEnabled(m.chosen > 0)
	k.Down.SetEnabled(m.chosen < len(m.all)-1)
	some, section := false, false // of those that are still read nothing is known
	for i := range m.all {
		if o := &m.all[i]; o.why == "" {
			some = true
			section = section || o.trace == nil || o.trace.Area > 0
		}
	}
	k.Align.SetEnabled(some)
	k.Window.SetEnabled(some)
	k.Stress.SetEnabled(m.stress || section)
	on := m.chosen >= 0 && m.chosen < len(m.all) && m.all[m.chosen].trace != nil
	k.Hide.SetEnabled(on)
	k.Open.SetEnabled(on && m.opening == "")
}
