package tui

import (
	"context"
	"errors"
	"slices"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/trace"
)

// A trace is commonly that of the overview, which does not look at the readings. Once all
// are drawn the readings are held against what was written, of one pull after another,
// behind the screen; leaving ends it.

// overProved is the answer about the readings of one pull.
type overProved struct {
	i     int
	trace *trace.Trace
	err   error
	proof int // that asked
}

// prove looks at the readings of the next pull that nobody has looked at; nil where one
// look is under way, or none is left.
func (m *OverlayScreen) prove() tea.Cmd {
	if m.proving || m.reading() > 0 || m.ctx.Err() != nil {
		return nil
	}
	i := slices.IndexFunc(m.all, func(o overlaid) bool { return o.trace != nil && !o.proved && o.trace.Damage == nil })
	if i < 0 {
		return nil
	}
	m.proving = true
	desk, ctx, dir, proof := m.desk, m.ctx, m.all[i].entry.Dir, m.proof
	return func() tea.Msg {
		t, err := desk.Prove(ctx, dir)
		return overProved{i, t, err, proof}
	}
}

// again lets the proof go on where the screen had been left.
func (m *OverlayScreen) again() {
	if m.ctx.Err() != nil {
		m.ctx, m.cancel = context.WithCancel(context.Background())
		m.proving = false
		m.proof++
	}
}

// proved takes what a look at the readings found. A record that is whole stays drawn as it
// was; of another what can be read is drawn, and the list says so.
func (m *OverlayScreen) proved(r overProved) {
	if r.proof != m.proof || errors.Is(r.err, context.Canceled) { // of a look that was left
		return
	}
	m.proving = false
	if r.i < 0 || r.i >= len(m.all) {
		return
	}
	m.all = slices.Clone(m.all)
	o := &m.all[r.i]
	o.proved = true
	switch {
	case r.err != nil:
		o.trace, o.why, o.fault = nil, "not read: "+r.err.Error(), true
	case r.trace != nil && r.trace.Damage != nil:
		o.take(r.trace)
	}
}

// damaged counts the traces of damaged readings.
func (m *OverlayScreen) damaged() (n int) {
	for i := range m.all {
		if t := m.all[i].trace; t != nil && t.Damage != nil {
			n++
		}
	}
	return n
}

// harm says that a pull's readings are damaged, and from when on, in the time of the
// chart; empty where nothing is known of it.
func (m *OverlayScreen) harm(t *trace.Trace) string {
	if t == nil || t.Damage == nil {
		return ""
	}
	zero, ok := t.At(m.by)
	if !ok || t.Intact == 0 {
		return "damaged; "
	}
	return "damaged after " + secondsText(t.Intact-zero) + "; "
}
