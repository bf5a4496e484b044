package tui

import (
	"math"
	"time"

	"draghand/internal/si"
	"draghand/internal/trace"
	"draghand/tui/chart"
)

// overTime is which part of the pulls is shown.
type overTime uint8

const (
	overWhole overTime = iota
	overNear
	overClose
	overTimes
)

const (
	// overLead is shown before the load begins.
	overLead = 2 * time.Second
	// overAfter is how long a pull is drawn after its break: enough to see it fall. What
	// follows is the noise at zero.
	overAfter = 2 * time.Second
)

// words are what the chart says it shows.
func (t overTime) words(by trace.Align) string {
	switch {
	case t == overNear && by == trace.Peak:
		return "the last 10 s to the peak"
	case t == overClose && by == trace.Peak:
		return "the last 2 s to the peak"
	case t == overNear:
		return "the first 10 s of the load"
	case t == overClose:
		return "the first 3 s of the load"
	}
	return "the whole pulls"
}

// near is the time around the moment; false: all there is.
func (t overTime) near(by trace.Align) (from, to time.Duration, ok bool) {
	const s = time.Second
	switch {
	case t == overNear && by == trace.Peak:
		return -10 * s, 3 * s, true
	case t == overClose && by == trace.Peak:
		return -2 * s, s, true
	case t == overNear:
		return -2 * s, 10 * s, true
	case t == overClose:
		return -1 * s, 3 * s, true
	}
	return 0, 0, false
}

// drawnTo is until when a pull is drawn, from its record's start.
func drawnTo(t *trace.Trace) time.Duration {
	if t.Break > 0 {
		return min(t.End+t.Width, t.Break+overAfter)
	}
	return t.End + t.Width
}

// window is the time to show, from the moment that the pulls are lined up at; false where
// none can be drawn. A pull that is hidden counts too: the picture stands still.
func (m *OverlayScreen) window() (from, to time.Duration, ok bool) {
	for i := range m.all {
		o := &m.all[i]
		if o.trace == nil || !m.drawable(o) {
			continue
		}
		zero, _ := o.trace.At(m.by)
		start, _ := o.trace.At(trace.LoadStart)
		first, last := max(0, start-overLead)-zero, drawnTo(o.trace)-zero
		if !ok {
			from, to, ok = first, last, true
		}
		from, to = min(from, first), max(to, last)
	}
	if near, far, part := m.shown.near(m.by); part && ok {
		return near, far, true
	}
	room := (to - from) / 40 // for the letters at the ends
	return from.Truncate(time.Millisecond) - room, to + room, ok && to > from
}

// value is a force as what is shown, in SI.
func (m *OverlayScreen) value(f si.Force, t *trace.Trace) float64 {
	if m.stress {
		return float64(si.StressOn(f, t.Area))
	}
	return float64(f)
}

// shownIn is a value in the units of display.
func (m *OverlayScreen) shownIn(v float64) si.Shown {
	if m.stress {
		return si.Stress(v).In(m.units)
	}
	return si.Force(v).In(m.units)
}

// peakOf is the peak of a pull as what is shown, in words.
func (m *OverlayScreen) peakOf(t *trace.Trace) string {
	return m.shownIn(m.value(t.PeakForce, t)).String()
}

// over is the chart of the pulls, w cells wide; false where there is nothing to draw.
func (m *OverlayScreen) over(w int) (in chart.Over, ok bool) {
	from, to, ok := m.window()
	if !ok {
		return in, false
	}
	s := m.scratch
	if made := (overMade{w, from, to, m.by, m.stress, len(m.all) - m.reading(), m.damaged()}); made != s.made || s.traces == nil {
		s.made = made
		m.make(w, from, to)
	}
	in = chart.Over{Front: -1, From: from, To: to, Title: m.shown.words(m.by), Cells: m.ascii}
	low, high := 0.0, 0.0
	s.drawn = s.drawn[:0]
	for i := range m.all {
		o := &m.all[i]
		if o.trace == nil || !m.drawable(o) {
			continue
		}
		for _, p := range s.traces[i].Pieces {
			low, high = math.Min(low, p.Low), math.Max(high, p.High)
		}
		t := s.traces[i]
		if o.hidden {
			t.Pieces = nil
		}
		s.drawn = append(s.drawn, t)
		if i == m.chosen && !o.hidden {
			in.Front = len(s.drawn) - 1
		}
	}
	in.Traces = s.drawn
	if !(high > 0) { // a window in which nothing pulled
		high = 1
	}
	in.Top = 1.06 * high
	in.Bottom = -math.Min(0.25*high, math.Max(0.03*high, -1.1*low)) // room for the swing after a break
	one := m.shownIn(1e6)
	in.Per, in.Unit = 1e6/one.Value, one.Unit
	return in, true
}

// make makes the traces for a window and a width.
func (m *OverlayScreen) make(w int, from, to time.Duration) {
	s := m.scratch
	s.traces = make([]chart.Trace, len(m.all))
	for i := range m.all {
		o := &m.all[i]
		if o.trace == nil || !m.drawable(o) {
			continue
		}
		zero, _ := o.trace.At(m.by)
		out := chart.Trace{Letter: trace.Letter(i), Pattern: i, Ink: i, HasPeak: true, Peak: o.trace.Peak - zero}
		for _, c := range o.trace.Between(zero+from, min(zero+to, drawnTo(o.trace)), 2*w) {
			out.Pieces = append(out.Pieces, chart.Piece{
				At: c.At - zero, Low: m.value(c.Low, o.trace), High: m.value(c.High, o.trace), Gap: c.Gap,
			})
		}
		s.traces[i] = out
	}
}
