package shelf

import (
	"encoding/json"
	"slices"
	"strings"
	"time"

	"draghand/internal/control"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/strength"
)

// Check is what a chart of check bars wants to know of a record beside the rest of
// its Entry.
type Check struct {
	Out  string // why it is on no chart; empty: it is on one
	Made Made
	Role rig.Role
}

// Made is what a force was made by.
type Made struct {
	Area, AreaTol  float64
	Friction       float64
	Role           rig.Role
	Path           rig.Path
	Sensor         rig.Sensor
	Calibration    string
	CalibrationOff bool // there is none
}

// CheckOf is what a chart wants to know of a check bar; nil of any other bar.
func CheckOf(h *record.Head, e *Entry) *Check {
	if h.Specimen.Stock == "" || h.Rig == nil {
		return nil
	}
	r := h.Rig
	c := &Check{Role: r.Ram.Role, Made: Made{
		Area: float64(r.Ram.Area), AreaTol: float64(r.Ram.AreaTol), Friction: r.Ram.Friction, Role: r.Ram.Role, Path: r.Path, Sensor: r.Sensor,
		CalibrationOff: r.Calibration == nil,
	}}
	if r.Calibration != nil {
		c.Made.Calibration = r.Calibration.ID
	}
	c.Made.Path.BarFar = false // of the bar; see Stock.Far
	c.Out = leftOut(h, e)
	return c
}

// leftOut says why a check bar is on no chart: what is no strength of the bar, or
// does not count. By its head alone; empty where nothing speaks against it.
func leftOut(h *record.Head, e *Entry) string {
	if e.Condition != Whole {
		return "its record is not closed"
	}
	if m := h.Measured(); m != nil {
		switch {
		case m.Failed != "":
			return "a part of the rig failed: " + short(m.Failed)
		case m.Where == specimen.InGrip:
			return "it broke in the grip"
		}
	}
	switch {
	case e.Kind != pull.Tension:
		return "a " + string(e.Kind) + " is no pull of a bar"
	case h.Closing != nil && h.Closing.NeverLoaded || e.Peak == 0:
		return strength.NoLoad(e.Imported)
	case e.Stress == 0:
		return "no section was measured"
	case e.Strength == 0:
		return "it did not break: " + string(e.Outcome)
	case overRange(h):
		return "the sensor was over its range"
	case blindAtPeak(h):
		return "the force was out of sight at the peak"
	}
	var told struct {
		Counts  *string  `json:"counts"`
		Because []string `json:"counts_because"`
	}
	if len(h.Results) > 0 && json.Unmarshal(h.Results, &told) == nil && told.Counts != nil && *told.Counts == strength.CountsNot {
		if len(told.Because) > 0 {
			return "it does not count: " + short(told.Because[0])
		}
		return "it does not count"
	}
	return ""
}

// overRange says that the peak lay past the end of the sensor's range.
func overRange(h *record.Head) bool {
	for _, p := range []*record.Point{h.Closing.Peak, h.Closing.PeakRaw} {
		if p == nil || p.Raw == nil || h.Dial != nil {
			continue
		}
		if _, sig := h.Rig.Chain().Pressure(*p.Raw); sig == rig.AboveBand {
			return true
		}
	}
	return false
}

// peakNear is how near to the peak, in seconds, a loss of sight hides a larger one: it
// is told half a second after it began.
const peakNear = 1

// blindAtPeak says that the force was lost from sight about the peak.
func blindAtPeak(h *record.Head) bool {
	p := h.Closing.Peak
	return p != nil && slices.ContainsFunc(h.Closing.Alarms, func(a record.Alarm) bool {
		return a.Blind && a.Raised >= p.T-peakNear && a.Raised <= p.T+peakNear
	})
}

// changes are in words what of two rigs makes another force; empty where nothing
// does.
func (m Made) changes(was Made) string {
	var out []string
	add := func(is bool, what string) {
		if is {
			out = append(out, what)
		}
	}
	add(m.Area != was.Area, "ram area")
	add(m.Friction != was.Friction, "friction")
	add(m.Role != was.Role, "role of the ram")
	add(m.Path != was.Path, "load path")
	add(m.Sensor != was.Sensor, "sensor")
	switch {
	case m.CalibrationOff && !was.CalibrationOff:
		out = append(out, "calibration left out")
	case m.Calibration != was.Calibration || m.CalibrationOff != was.CalibrationOff:
		out = append(out, "calibration "+short(m.Calibration))
	}
	return strings.Join(out, ", ")
}

// Left is a check bar that is on no chart.
type Left struct {
	Record string    `json:"record"`
	At     time.Time `json:"at"`
	Why    string    `json:"why"`
}

// Stock is the check bars of one bought stock on one rig. Simulated and real ones
// are never on one chart, nor are those read by eye with those of a sensor, nor
// bars of one side with those of the other.
type Stock struct {
	Name      string        `json:"stock"`
	Rig       string        `json:"rig"`
	Simulated bool          `json:"simulated"`
	ByEye     bool          `json:"by_eye"`
	Far       bool          `json:"far_side"`
	Chart     control.Chart `json:"chart"`
	Left      []Left        `json:"left_out"` // oldest first

	bars map[string]*Entry // those on the chart, by record
	role rig.Role          // of the newest
}

// Units are those of the rig at the newest bar.
func (s *Stock) Units() si.System {
	if n := s.Chart.Newest(); n != nil && s.bars[n.Record] != nil {
		return s.bars[n.Record].Units
	}
	return si.US
}

// Days is how many whole days the newest bar is past; nil without one.
func (s *Stock) Days(now time.Time) *int {
	n := s.Chart.Newest()
	if n == nil {
		return nil
	}
	d := control.Days(n.At, now)
	return &d
}

// stockKey tells the charts apart.
type stockKey struct {
	name, rig             string
	simulated, byEye, far bool
}

func (s *Stock) newest() (t time.Time) {
	if n := s.Chart.Newest(); n != nil {
		t = n.At
	}
	if n := len(s.Left); n > 0 && s.Left[n-1].At.After(t) {
		t = s.Left[n-1].At
	}
	return t
}

// Stocks are the charts of all check bars among some entries, that with the newest
// bar first.
func Stocks(all []Entry) []Stock {
	groups := map[stockKey][]*Entry{}
	for i := range all {
		e := &all[i]
		if e.Check == nil || !e.Readable() {
			continue
		}
		k := stockKey{e.Specimen.Stock, e.RigName, e.Specimen.Simulated, e.ByEye, e.Specimen.Side == specimen.Far}
		groups[k] = append(groups[k], e)
	}
	out := make([]Stock, 0, len(groups))
	for k, bars := range groups {
		out = append(out, stockOf(k, bars))
	}
	slices.SortFunc(out, func(a, b Stock) int {
		if c := b.newest().Compare(a.newest()); c != 0 {
			return c
		}
		return strings.Compare(a.Title(), b.Title())
	})
	return out
}

func stockOf(k stockKey, bars []*Entry) Stock {
	s := Stock{
		Name: k.name, Rig: k.rig, Simulated: k.simulated, ByEye: k.byEye, Far: k.far, Left: []Left{},
		bars: make(map[string]*Entry, len(bars)),
	}
	slices.SortFunc(bars, func(a, b *Entry) int { return -newer(*a, *b) })
	var (
		points []control.Point
		was    *Made
	)
	for _, e := range bars {
		if e.Check.Out != "" {
			s.Left = append(s.Left, Left{e.Name, e.Started, e.Check.Out})
			continue
		}
		p := control.Point{At: e.Started, Value: float64(e.Strength), Record: e.Name}
		if was != nil {
			p.Change = e.Check.Made.changes(*was)
		}
		was = &e.Check.Made
		s.role = e.Check.Role
		points = append(points, p)
		s.bars[e.Name] = e
	}
	s.Chart = control.Of(points)
	return s
}
