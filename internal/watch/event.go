package watch

import (
	"encoding/json"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// EventKind names what a listener is told. Beside the engine's kinds there are
// those of the running pull itself.
type EventKind string

// The kinds that do not come from the engine.
const (
	Armed  EventKind = "armed"  // the pull is open: readings are recorded from here
	Saved  EventKind = "saved"  // the record is closed and on disk
	Failed EventKind = "error"  // saving or the source failed; Text says what and what to do
	Ended  EventKind = "closed" // the pull is over; Text is the reason
	// Waits is told once, where Options.Unattended: the load went without a break, and
	// Text says until when the pull goes on.
	Waits EventKind = "waits"
)

// Event is an edge in the life of a running pull, in the words and SI fields
// that `watch --json` prints, one object a line.
type Event struct {
	Kind EventKind     `json:"event"`
	T    time.Duration `json:"-"`
	Wall time.Time     `json:"-"` // when the reading that caused it arrived

	Phase pull.Phase  `json:"phase,omitempty"`
	Alarm *AlarmEvent `json:"alarm,omitempty"`
	Point *pull.Point `json:"-"`
	// From is the force on the specimen a break fell from; Fall how long it
	// took, once known.
	From *si.Force `json:"-"`
	Fall *float64  `json:"fall_s,omitempty"`
	// Upper and Lower are the two ends of a yield drop.
	Upper *record.Point `json:"upper,omitempty"`
	Lower *record.Point `json:"lower,omitempty"`
	// Provisional marks a break that may yet turn out a slip.
	Provisional bool   `json:"provisional,omitempty"`
	Record      string `json:"record,omitempty"`
	Simulated   bool   `json:"simulated,omitempty"`
	Text        string `json:"text,omitempty"`
}

// AlarmEvent is an alarm at one edge of its life.
type AlarmEvent struct {
	Level        string  `json:"level"`
	Limit        string  `json:"limit,omitempty"`
	Blind        bool    `json:"cannot_see_the_force,omitempty"`
	Ahead        bool    `json:"look_ahead,omitempty"` // near in time, not in load
	LoadN        float64 `json:"load_n,omitempty"`
	LoadPa       float64 `json:"load_pa,omitempty"`
	AllowableN   float64 `json:"allowable_n,omitempty"`
	AllowablePa  float64 `json:"allowable_pa,omitempty"`
	Single       bool    `json:"single_reading,omitempty"`
	Acknowledged bool    `json:"acknowledged,omitempty"`
	Returned     bool    `json:"returned,omitempty"`
}

// MarshalJSON writes the event with its time in seconds and its point, where
// it has one, as fields of their own.
func (e Event) MarshalJSON() ([]byte, error) {
	type plain Event
	type withPoint struct {
		plain
		TS        float64  `json:"t_s"`
		GaugePa   *float64 `json:"gauge_pa,omitempty"`
		RamN      *float64 `json:"ram_n,omitempty"`
		SpecimenN *float64 `json:"specimen_n,omitempty"`
		StressPa  *float64 `json:"stress_pa,omitempty"`
	}
	out := withPoint{plain: plain(e), TS: e.T.Seconds()}
	if p := e.Point; p != nil {
		g, r, s := float64(p.Gauge), float64(p.Ram), float64(p.Specimen)
		out.GaugePa, out.RamN, out.SpecimenN = &g, &r, &s
		if st := float64(p.Stress); st != 0 {
			out.StressPa = &st
		}
	}
	if e.From != nil {
		f := float64(*e.From)
		out.SpecimenN = &f
	}
	return json.Marshal(out)
}

// fromEngine puts an engine event into its outside form.
func fromEngine(e pull.Event, wall time.Time) Event {
	out := Event{Kind: EventKind(e.Kind), T: e.T, Wall: wall, Text: e.Text}
	switch e.Kind {
	case pull.EvPhase:
		out.Phase = e.Phase
	case pull.EvAlarm:
		out.Alarm = alarmEvent(e.Alarm)
		if out.Text == "" {
			out.Text = e.Alarm.Text
		}
	case pull.EvPeak, pull.EvSlip:
		if p := e.Point; p != (pull.Point{}) {
			out.Point = &p
		}
	}
	return out
}

// EventOf is what a listener is told of an event of the engine that has just taken
// the reading of it, live or in a replay. wall is when that arrived.
func EventOf(e pull.Event, engine *pull.Engine, wall time.Time) Event {
	out := fromEngine(e, wall)
	switch e.Kind {
	case pull.EvYield:
		if y := engine.State().Yield; y != nil {
			out.Upper, out.Lower = record.PointFrom(y.Upper), record.PointFrom(y.Lower)
		}
	case pull.EvBreak:
		if b := engine.State().Break; b != nil {
			from := b.Specimen // b is the engine's own and changes
			out.From, out.Provisional = &from, b.Provisional
			if f := b.Fall.Seconds(); !b.Provisional {
				out.Fall = &f
			}
		}
	}
	return out
}

func alarmEvent(a pull.Alarm) *AlarmEvent {
	out := &AlarmEvent{
		Level: a.Level.String(), Limit: a.Limit, Blind: a.Blind, Ahead: a.Ahead,
		Single: a.Single, Acknowledged: a.Acked, Returned: a.Returned,
	}
	switch {
	case a.Blind:
	case a.At == rig.AtGauge:
		out.LoadPa, out.AllowablePa = a.Load, a.Allow
	default:
		out.LoadN, out.AllowableN = a.Load, a.Allow
	}
	return out
}
