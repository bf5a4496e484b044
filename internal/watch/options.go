package watch

import (
	"time"

	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// TimeBase is what a reading's time is taken from.
type TimeBase uint8

// The time bases.
const (
	// HostTime is the arrival at this computer, with the board's clock mapped
	// to it where the board sends one.
	HostTime TimeBase = iota
	// BoardTime is the board's clock alone, for a file whose lines all arrive
	// at once.
	BoardTime
	// RateTime counts readings at the rig's stated rate, for a file without
	// times.
	RateTime
)

// Command is what a person may ask of a running pull.
type Command uint8

// The commands.
const (
	ZeroNow   Command = iota // take a new zero
	AckAlarms                // acknowledge every alarm
	EndPull                  // close the pull
)

func (c Command) String() string {
	return [...]string{"take zero", "acknowledge alarms", "end the pull"}[c]
}

// Proof is what a proof is to hold; 0: whatever is held, and as long as the
// person likes.
type Proof struct {
	Target si.Force // on the specimen
	Hold   time.Duration
}

// Options is what a pull needs.
type Options struct {
	Feed     feed.Feed
	Rig      *rig.Rig
	Kind     pull.Kind
	Specimen specimen.Specimen
	Proof    Proof  // of the kind proof
	Shelf    string // folder the record is made in
	Version  string
	LastZero *float64
	// Arming is what was seen to before the pull, for its record; nil where it was
	// not armed from the bench.
	Arming *record.Arming
	Time   TimeBase
	// For ends the pull after so long; 0: never.
	For time.Duration
	// ZeroReturn waits a little longer after the break for a quiet zero, as a
	// person at the screen would; without it the pull ends 2 s after the break.
	ZeroReturn bool
	// Unattended: nobody can end the pull by hand. Then one of a live source also ends
	// once its bar was let off, or ended so that nobody knows how, and the force has
	// rested for pull.RestFor since. A file has its own end, with whatever it holds.
	Unattended bool
	// Trip is held while all is well and dropped else, on a goroutine of its own;
	// the pull does not close it. Nil, and for a Look: no trip line.
	Trip feed.Trip
	// Look is a pull that is not armed: readings are decoded and judged, and
	// nothing is recorded (Shelf is not used). It ends with its source, its ctx or
	// EndPull, not by itself: once what it shows has run its course, its engine is
	// begun anew.
	Look bool
	// Before is how long before now the feed's first chunks may have come, as
	// those of feed.Standing do. The record's time 0 is then when the first of
	// them came.
	Before time.Duration
	// Listen is told every event, on a goroutine of its own; nil: nobody.
	Listen func(Event)
	// Judged is called after each chunk of readings has been through the
	// engine, on the pull's own goroutine, with the number of readings so far;
	// it must not wait. Nil: nobody is told.
	Judged func(readings int64)
	// Heard is told each good reading once it has been through the engine, on the
	// pull's own goroutine: its number as sent, and what the engine made of it. It
	// must not wait. Nil: nobody is told.
	Heard func(t time.Duration, raw float64, live pull.Live)
	// Started is when the pull was armed; the zero value means now.
	Started time.Time
}

// Result is how a pull ended.
type Result struct {
	State  pull.State
	Record string // folder, empty where nothing could be saved
	Reason string // "break", "let off", "faded", "at rest", "end of source", "time", "signal", "closed by the person", "source lost"
	// Told are the remarks of the engine, in order, but for those of a proof held.
	Told []pull.Event
	// Head is what the record says of the pull.
	Head record.Head
	// Source is why the source failed, Save why the record is not whole.
	Source, Save error
}
