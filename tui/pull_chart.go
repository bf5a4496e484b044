package tui

import (
	"math"
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/watch"
	"draghand/tui/chart"
)

// spans are the lengths of time a chart shows. It keeps one until the pull is
// longer, so that the picture stands still and only the trace grows: a picture
// that scrolls is sent whole each frame.
var spans = []time.Duration{
	20 * time.Second, 30 * time.Second, 45 * time.Second, 60 * time.Second, 90 * time.Second,
	2 * time.Minute, 3 * time.Minute, 4 * time.Minute, 6 * time.Minute, 8 * time.Minute,
	12 * time.Minute, 16 * time.Minute, 24 * time.Minute, 32 * time.Minute, 48 * time.Minute,
}

// lead is shown before the load begins.
const chartLead = 5 * time.Second

// shownTime is which part of the pull the chart shows.
type shownTime uint8

const (
	wholePull shownTime = iota
	lastMinute
	lastTen
	shownTimes
)

// length is how much time is shown, step how far the window moves at once: one
// that moved with each reading would be sent whole with each frame. 0: the whole.
func (t shownTime) length() (length, step time.Duration) {
	switch t {
	case lastMinute:
		return time.Minute, 2 * time.Second
	case lastTen:
		return 10 * time.Second, 500 * time.Millisecond
	}
	return 0, 0
}

// words are what the chart says it shows.
func (t shownTime) words(s *pull.State) string {
	switch {
	case t == lastMinute:
		return "the last 60 s"
	case t == lastTen:
		return "the last 10 s"
	case idle(s):
		return "the last 30 s, no load"
	}
	return "the whole pull"
}

func idle(s *pull.State) bool { return s.Phase == pull.Slack || s.Phase == "" }

// window is the time to show. Of the whole pull that is the last 30 s while
// nothing is loaded, from a little before the load on after that.
func window(s *pull.State, shown shownTime) (from, to time.Duration) {
	if length, step := shown.length(); length > 0 {
		from = max(0, (s.T-length)/step*step)
		return from, from + length + step
	}
	const step = 5 * time.Second
	if idle(s) {
		from = max(0, (s.T-20*time.Second)/step*step)
		return from, from + 30*time.Second
	}
	from = max(0, (s.LoadedAt-chartLead)/step*step)
	need := s.T - from + s.T/50
	for _, to := range spans {
		if to >= need {
			return from, from + to
		}
	}
	hour := time.Hour
	return from, from + (need+hour-1)/hour*hour
}

// forceRange is the force to show: the nearest limit's line once the peak is on
// the way to it, so that the distance is seen, and before that the peak with
// some room. The alarm levels of that limit are in rows of their own in a chart h
// lines high, as far as it has the rows.
func forceRange(s *pull.State, tr *watch.Trace, levels rig.Alarm, u si.System, h int) (bottom, top si.Force) {
	one := si.Force(1e6).In(u) // a force of one display unit is 1e6 N / its value
	unit := 1e6 / one.Value
	peak := math.Max(0, math.Max(float64(s.Peak.Specimen), float64(s.Live.Specimen)))
	if math.IsInf(peak, 0) || math.IsNaN(peak) {
		peak = 0
	}
	near := 0.0
	if s.Nearest >= 0 && s.Nearest < len(s.Limits) {
		near = float64(atForce(s, &s.Limits[s.Nearest]))
	}
	want := math.Max(1.15*peak, math.Max(near/10, 100*si.Newton))
	t := roundUp(want/unit) * unit
	least := 0.0
	for _, c := range tr.Columns {
		if !c.Empty() && float64(c.Min) < least {
			least = float64(c.Min)
		}
	}
	// Below zero there is room for the swing after a break, at most a quarter.
	span := func(t float64) (bottom, top si.Force) {
		return si.Force(-math.Min(0.25*t, math.Max(0.03*t, -1.1*least))), si.Force(t)
	}
	if !(near > 0 && t >= 0.6*near) {
		return span(t)
	}
	t = math.Max(1.12*near, 1.05*peak)
	for _, more := range [...]float64{1, 1.02, 1.04, 1.06, 1.08, 1.1, 1.12, 1.15, 1.2, 1.25} {
		bottom, top = span(more * t)
		if apart(si.Force(near), levels, bottom, top, h) {
			return bottom, top
		}
	}
	return span(t)
}

// apart says that the alarm levels of a limit reached at a force lie in different
// rows of a chart.
func apart(near si.Force, levels rig.Alarm, bottom, top si.Force, h int) bool {
	caution, a := chart.Row(near*si.Force(levels.Caution), bottom, top, h)
	warning, b := chart.Row(near*si.Force(levels.Warning), bottom, top, h)
	stop, c := chart.Row(near*si.Force(levels.Stop), bottom, top, h)
	return a && b && c && caution > warning && warning > stop
}

// roundUp is the least round number not below v.
func roundUp(v float64) float64 {
	p := math.Pow(10, math.Floor(math.Log10(v)))
	for _, m := range []float64{1, 1.5, 2, 3, 4, 5, 6, 8} {
		if m*p >= v {
			return m * p
		}
	}
	return 10 * p
}

// atForce is the force on the specimen at which a limit is reached. Where the
// engine does not say, the drag hands of both give it, once they are large
// enough for the ratio to be one.
func atForce(s *pull.State, l *pull.Limit) si.Force {
	switch {
	case l.AtForce > 0 && !math.IsInf(float64(l.AtForce), 0):
		return l.AtForce
	case l.PeakRatio > 0.05 && s.Peak.Specimen > 0:
		return si.Force(float64(s.Peak.Specimen) / l.PeakRatio)
	}
	return 0
}

// chartInput is the chart of the latest snapshot, h lines high.
func (m *PullScreen) chartInput(h int) chart.Input {
	s := &m.snap.State
	in := chart.Input{Trace: m.trace, Units: m.units}
	in.From, in.To = window(s, m.shown)
	in.Title = m.shown.words(s)
	in.Low, in.High = expected(&m.snap.Specimen)
	in.Bottom, in.Top = forceRange(s, m.trace, m.snap.Levels, m.units, h)
	if s.Peak.Specimen > 0 {
		in.Hand, in.HandT, in.HasHand = s.Peak.Specimen, s.Peak.T, true
	}
	if s.Break != nil {
		in.Break, in.HasBreak = s.Break.T, true
	}
	levels := m.scratch.lines[:0]
	for i := range s.Limits {
		l := &s.Limits[i]
		at := atForce(s, l)
		if at <= 0 {
			continue
		}
		name := clean(l.Name)
		levels = append(levels, chart.Level{At: at * si.Force(m.snap.Levels.Stop), Name: "stop " + name, Ink: chart.Stop})
		if i == s.Nearest {
			levels = append(
				levels,
				chart.Level{At: at * si.Force(m.snap.Levels.Warning), Name: "warning", Ink: chart.Warning},
				chart.Level{At: at * si.Force(m.snap.Levels.Caution), Name: "caution", Ink: chart.Caution},
			)
		}
	}
	m.scratch.lines, in.Levels = levels, levels
	return in
}
