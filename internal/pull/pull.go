// Package pull is the engine: it takes one reading after the other and says
// what is happening on the rig. Step is deterministic and pure: no clock, no
// I/O, no goroutine. The same readings give the same state, live, replayed,
// imported or recomputed, however they were chunked. docs/engine.md names
// every threshold and its reason.
package pull

import (
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// Kind is what a pull is for.
type Kind string

// The kinds of pull.
const (
	Tension Kind = "tension"
	Crush   Kind = "crush"
	Proof   Kind = "proof"
)

// Mark is something that happened between readings or to one of them. Marks
// travel in the record's note column, so that a replay sees what the live
// engine saw.
type Mark uint8

// The marks.
const (
	NoMark   Mark = iota
	Bad           // a line that could not be read; Count lines at once
	Lost          // the source went away
	Back          // the source is back
	Silent        // the source is open and says nothing
	Reset         // the board's clock started again
	TakeZero      // the person asked for a new zero
	Ack           // the person acknowledged all alarms
	End           // the source ended or the person closed the pull
)

// Reading is one value from the sensor, or a mark between values.
type Reading struct {
	T     time.Duration // since the record's start, causal, never decreasing
	Raw   float64       // as sent; meaningless where Mark is set
	Mark  Mark          // NoMark for a plain reading
	Count int           // how many lines a Bad mark stands for
}

// Config is what the engine must know before the first reading.
type Config struct {
	Kind     Kind
	Rig      *rig.Rig
	Area     si.Area  // of the specimen, the smallest section; 0: unknown, no stress
	LastZero *float64 // raw zero of the last pull on this rig, if any
	// Yield is the lowest stress the specimen is expected to yield at; 0: not
	// known. Needs Area.
	Yield si.Stress
	// Target is the force on the specimen that a proof holds, 0: whatever is
	// held; Hold is for how long, 0: as long as the person likes.
	Target si.Force
	Hold   time.Duration
}

// Phase is where in its life a pull is.
type Phase string

// The phases of a pull; the last five are outcomes. Only a proof holds.
const (
	Slack    Phase = "slack"
	Loading  Phase = "loading"
	PastPeak Phase = "past-peak"
	Holding  Phase = "holding"
	Broken   Phase = "broken"
	Faded    Phase = "faded"
	LetOff   Phase = "let-off"
	Ended    Phase = "ended"
	Unclear  Phase = "unclear"
)

// Point is one moment of a pull in every quantity.
type Point struct {
	T        time.Duration
	Raw      float64
	Gauge    si.Pressure // above the zero
	Ram      si.Force
	Specimen si.Force
	Stress   si.Stress // 0 where the area is unknown
}

// Zero is the zero in force.
type Zero struct {
	Set      bool
	Raw      float64
	Pressure si.Pressure // at Raw, by the sensor's own line
	SD       si.Pressure // of the readings it was taken from
	Readings int         // how many those were
	T        time.Duration
	// Quality is "quiet" (first quiet 2 s), "asked" (the person asked and it
	// was quiet; it may lie farther from the last zero), "none" (loading began before any quiet 2 s: the sensor's own
	// line is used).
	Quality string
	// Refused says why the newest wish for a zero, the engine's own or the
	// person's, was not met, and what to do; empty once a zero is taken. It is
	// for the screen.
	Refused string
	// Return is the zero after the break less the zero before, where seen.
	Return    si.Pressure
	HasReturn bool
	// Below is the lowest force on the specimen that was seen under this zero for
	// belowFor and more, farther under it than any noise; 0: none. Nothing pulls
	// the other way: the zero was taken under load, or the sensor has moved.
	Below si.Force
}

// Level is how urgent an alarm is.
type Level uint8

// The alarm levels.
const (
	Quiet Level = iota
	Caution
	Warning
	Stop
)

func (l Level) String() string { return [...]string{"ok", "caution", "warning", "stop"}[l] }

// Limit is one limit of the rig now.
type Limit struct {
	Name      string
	At        rig.Place
	Load      float64 // N, Pa where At is the gauge; at the unsafe edge
	Allowable float64 // the same unit
	Ratio     float64
	PeakRatio float64 // the drag hand of this rail
	Level     Level   // now, with hysteresis
	// AtForce is the force on the specimen at which Ratio would be 1, for the
	// limit lines of a chart; 0: not known.
	AtForce si.Force
}

// Alarm is one alarm in its life cycle (IEC 62682: raised, acknowledged,
// returned to normal). It stays in State until it is both acknowledged and
// returned.
type Alarm struct {
	Level    Level
	Limit    string // the part's name; empty for "cannot see the force"
	Text     string // the whole sentence for the person
	Raised   time.Duration
	Load     float64 // when raised, N or Pa
	Allow    float64
	At       rig.Place
	Single   bool // a lone reading: does not drop the trip line
	Acked    bool
	Returned bool
	Blind    bool // "cannot see the force"
	Ahead    bool // the limit is near in time at the present pace, not in load
}

// Break is a break as far as it is known.
type Break struct {
	T           time.Duration // first reading below the fall's beginning
	Specimen    si.Force      // force it fell from
	Fall        time.Duration // 90 to 10 % fall time
	Provisional bool
}

// YieldDrop is an upper yield point: the force falls though the load goes on,
// and only comes back as the metal hardens.
type YieldDrop struct {
	Upper Point // highest before the drop
	Lower Point // lowest before the force was back
}

// Strokes is what the strokes of a hand pump give; zero where there are none, or
// fewer than four.
type Strokes struct {
	Count int
	Gain  si.Force // at the specimen, of the newest stroke by the median of three; 0: not known yet, or lost in the noise
	Best  si.Force // the most that gain was
	// Giving says that the gain is far under the best.
	Giving bool
	// GivingAt is the force on the specimen at which something other than it was
	// first seen to give; 0: nothing was.
	GivingAt si.Force
}

// Hold is how a proof is held.
type Hold struct {
	From   time.Duration // when the force was reached
	For    time.Duration // how long it was held, less what lay more than 5 % under it
	Force  si.Force      // on the specimen: the target, or what was held without one
	Lowest si.Force      // while it was held
	Lost   float64       // most that went while it was held, of the highest until then, 0 to 1
	Met    bool          // For reached the time asked for
}

// State is the whole of what the engine knows. It is a value: copying it is
// cheap but for the slices, which are valid until the next Step.
type State struct {
	T        time.Duration
	Kind     Kind
	Phase    Phase
	Readings int // valid ones and faulty ones
	Faults   int // readings outside the valid bands
	Gaps     int // times the force could not be seen
	BadLines int
	Slips    int
	Unseen   int // times the force fell while it could not be seen
	// PeakUnseen counts the gaps that may have hidden the largest force: begun with
	// 90 % of it on and the drag hand not seen to move up since, or one in which the
	// force went.
	PeakUnseen int
	// OverRange: the sensor was over its range while there was load, for two readings
	// in a row, or for one where the force may have been the largest.
	OverRange bool
	Zero      Zero
	Live      Point
	Signal    rig.Signal  // of the newest reading
	Seen      bool        // there is a valid reading and it is fresh
	Peak      Point       // the drag hand: spike-proof, latched
	PeakRaw   Point       // largest single valid reading
	Noise     si.Pressure // SD of the readings, estimated while slack
	// PeakBias is how much the drag hand is expected to lie over the force
	// without the noise: a maximum picks the readings that err upwards.
	PeakBias   si.Force
	Apart      Apart        // zero where nothing broke
	Pace       si.ForceRate // at the specimen, through the strokes
	StressPace si.StressRate
	LoadedAt   time.Duration // when the first loading began; 0: not yet
	Lead       time.Duration // to the nearest limit at this pace; 0: not known
	Nearest    int           // index into Limits, −1 without limits
	Limits     []Limit
	Alarms     []Alarm // not yet both acknowledged and returned, worst first
	Worst      Level   // highest level that is active and not returned
	TripOK     bool    // what the trip line shows: false after a confirmed stop or blindness
	Break      *Break
	Yield      *YieldDrop // the first one
	Strokes    Strokes
	Hold       *Hold
	FirstYield *FirstYield // of a crush; nil: nothing gave, or it cannot be told
	Outcome    Phase       // "" until known
	// Eye is there where no reading was ever taken: the peak and the outcome are
	// what a person read off a dial gauge. The engine leaves it nil.
	Eye *Eye
}

// Eye is how well a dial gauge was read.
type Eye struct {
	Error si.Force // the smallest division, ±, on the specimen; 0: not stated
}

// EventKind names an event.
type EventKind string

// The events.
const (
	EvPhase EventKind = "phase"
	EvZero  EventKind = "zero"
	EvPeak  EventKind = "peak" // at most 10 a second
	EvAlarm EventKind = "alarm"
	EvSlip  EventKind = "slip"
	EvBreak EventKind = "break"
	EvYield EventKind = "yield"
	// EvRemark is something worth a look that is neither alarm nor end.
	EvRemark EventKind = "remark"
	// EvWithdrawn takes a break back that was none: the reading had dropped out.
	EvWithdrawn EventKind = "withdrawn"
	EvLost      EventKind = "lost"
	EvBack      EventKind = "back"
	EvFault     EventKind = "fault"
)

// Event is an edge: something a person or a log should be told once.
type Event struct {
	Kind  EventKind
	T     time.Duration
	Phase Phase
	Alarm Alarm // for EvAlarm; State of the life cycle in its fields
	Point Point // for EvPeak, EvBreak, EvSlip, EvYield
	Text  string
}
