package sim

import (
	"time"

	"draghand/internal/si"
)

// ActKind names what can happen in a pull. docs/simulator.md has the table.
type ActKind string

// What the person, the fixture and the bar do.
const (
	LetOff  ActKind = "let-off" // the valve is opened: For from 90 to 10 % of the force, Again pumps again
	Slip    ActKind = "slip"    // a joint gives and loses Size of the force within For; pumping regains it
	Preload ActKind = "preload" // Times elastic cycles first, up to Size of the strength, each let off within For
	Pause   ActKind = "pause"   // the pump rests for For and loses Size of the force
	Hold    ActKind = "hold"    // the pump rests for good
	Giving  ActKind = "giving"  // a link bar yields from Share of the strength on: Size of the gain per stroke is left
	Fade    ActKind = "fade"    // past its peak the bar thins to nothing, with no snap
	Flaw    ActKind = "flaw"    // the bar snaps at Share of its strength
	Tear    ActKind = "tear"    // the break takes For to fall
	Crack   ActKind = "crack"   // a block cracks, loses Size of the force and stands again
)

// What the sensor and the board do.
const (
	Spike   ActKind = "spike"   // Times lone readings off by Size of the range
	Noise   ActKind = "noise"   // noise of SD Size of the peak
	Stuck   ActKind = "stuck"   // the number freezes for For
	Clipped ActKind = "clipped" // the converter is full from the pressure of Share on
	Open    ActKind = "open"    // the wire is off for For
	Unplug  ActKind = "unplug"  // the source is gone for For
	Reset   ActKind = "reset"   // the board starts again, silent for For
	Wrap    ActKind = "wrap"    // the board's clock wraps
	Banner  ActKind = "banner"  // the board begins with half a line and a greeting
	Dropout ActKind = "dropout" // the readings of For are lost, the clock goes on
	End     ActKind = "end"     // the readings end for good
)

// Act is one thing that happens in a pull. What is left 0 is drawn from the
// seed, within the bounds of docs/simulator.md.
type Act struct {
	Kind ActKind
	// At is the true time since the simulated start. Where it is 0, Share says
	// when: the fraction of the bar's strength first reached on the way up;
	// above 1 and up to 2, past the peak, that part of the way to the break.
	At    time.Duration
	Share float64
	Size  float64       // how much, a fraction; see the kind
	For   time.Duration // how long
	Times int           // how often: of preload, slip, crack and spike
	Again time.Duration // of a let-off: pumped again after so long; 0 never
}

// Kind is what is done with the rig.
type Kind string

// The kinds, in the words of the pull record.
const (
	Tension Kind = "tension" // a bar pulled to its break
	Crush   Kind = "crush"   // a block squashed, then let off
	Proof   Kind = "proof"   // pumped to a target, held, let off
)

// Outcome is how a simulated pull truly ends.
type Outcome string

// The outcomes.
const (
	OutcomeBroken Outcome = "broken"
	OutcomeFaded  Outcome = "faded"   // thinned to nothing, no snap
	OutcomeLetOff Outcome = "let-off" // the bar is whole, the pressure off
	OutcomeWhole  Outcome = "whole"   // the bar is whole and still under load
)

// Event is one thing that truly happened, in the order of At.
type Event struct {
	Kind  EventKind
	Name  string        // of the limit, for OverLimit
	At    time.Duration // true time of its beginning
	Until time.Duration // and of its end; At where it has none
	From  si.Force      // on the specimen at At
	To    si.Force      // and at Until
}

// EventKind names an Event.
type EventKind string

// The events. Those of an Act bear its name, so do sensor and board's.
const (
	EventYieldDrop EventKind = "yield-drop" // From the upper To the lower yield
	EventPeak      EventKind = "peak"
	EventBreak     EventKind = "break"      // From the force the instant before To nothing
	EventOverLimit EventKind = "over-limit" // a limit named Name is first passed, friction and tolerances taken the unsafe way
	EventHeld      EventKind = "held"       // the target of a proof, from reached to let off
)
