// Package bench is what stands on the bench between pulls: the rig, the source,
// the specimen, the points to see to, and whether the pull may be armed. It
// holds one open source for a whole sitting, so that the board is not reset
// between bars, looks at its readings before a pull is armed, and carries the
// pull once it is.
//
// What it knows is taken as a View, which is immutable; every method may be
// called from any goroutine and none but Arm, Remark and Close waits.
package bench

import (
	"fmt"
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/strength"
	"draghand/internal/watch"
)

// FieldID names a field of the bench. It is also the word that the line dialogue
// takes.
type FieldID string

// The fields, in the order they stand on the bench.
const (
	FieldRig       FieldID = "rig"       // a rig file
	FieldSource    FieldID = "source"    // serial:PATH, sim:, tcp:HOST:PORT
	FieldKind      FieldID = "kind"      // tension, crush, proof
	FieldTarget    FieldID = "target"    // of a proof: force to hold
	FieldHold      FieldID = "hold"      // of a proof: how long
	FieldMelt      FieldID = "melt"      // the pour
	FieldTags      FieldID = "tags"      // free words of the melt, by commas
	FieldSpecimen  FieldID = "specimen"  // number of the bar in its melt
	FieldSide      FieldID = "side"      // of a two-sided rig: near or far
	FieldAlloy     FieldID = "alloy"     // as the person names it
	FieldDiameters FieldID = "diameters" // one or more, by semicolons or blanks between lengths
	FieldGauge     FieldID = "gauge"     // gauge length
	FieldYield     FieldID = "yield"     // least stress it is expected to yield at
	FieldExpect    FieldID = "expect"    // "40 ksi .. 50 ksi": stress it is expected to break at
	FieldStock     FieldID = "stock"     // bought stock that a check bar is turned from; empty: none
)

// Field is one thing a person sets.
type Field struct {
	ID      FieldID
	Label   string // one or two words
	Text    string // as the person wrote it
	Read    string // as understood, in the units of display; empty where it is Text
	Fault   string // why Text cannot be used and what would; empty while it can
	Hint    string // an example of what to write
	Choices []string
}

// PointID names a set-up point.
type PointID string

// Point is a thing to see to before arming. The person says that it is done;
// nothing can measure it.
type Point struct {
	ID   PointID
	Text string // "guard up, …"
	Why  string // one sentence
	Done bool
}

// Refusal is a reason why the pull is not armed.
type Refusal struct {
	What  string // "no reading comes from the source"
	Next  string // what to do
	Brief string // What in few words; empty: What up to its first colon
	Final bool   // no reason given can overrule it: without it there is no pull
}

// SourceState is what has become of the source.
type SourceState string

// The states of a source on the bench.
const (
	NoSource      SourceState = "none"    // none is named
	OpeningSource SourceState = "opening" // it is being opened
	SourceOpen    SourceState = "open"    // readings come, or may: see View.Look
	SourceFailed  SourceState = "failed"  // View.SourceErr says why
)

// Bar is one bar pulled in this sitting.
type Bar struct {
	Record   string // name of its record; empty where it is saved nowhere
	Saved    string // where it went instead, or why it is nowhere; empty while all is well
	Specimen string
	Melt     string
	Outcome  string // of the pull, in its token
	Strength string // in the units of display, or what stands for it; empty where there is none
}

// LoadSeen is load on the rig while no pull was armed.
type LoadSeen struct {
	Largest si.Force  // on the specimen
	At      time.Time // when it was that
}

// Text is it in words.
func (l *LoadSeen) Text(u si.System) string {
	return fmt.Sprintf("not recorded: largest force %s at %s", l.Largest.Text(u), l.At.Format(time.TimeOnly))
}

// View is the bench at one moment. Nobody changes it.
type View struct {
	Fields   []Field
	Points   []Point
	Refusals []Refusal      // empty: it may be armed
	Rig      *rig.Rig       // nil until one is read
	Unknown  []string       // parts of it without a known limit
	Cautions []string       // what to know before arming that refuses nothing
	Alloys   specimen.Table // a person's own among them; not to be changed
	Source   SourceState
	// SourceErr is why the source failed, in two sentences; empty while it has not.
	SourceErr string
	// TripNote is why no trip line is driven though the rig states one, as for a
	// simulated rig; empty where one is, or none is stated.
	TripNote string
	// Look is what the readings say before arming, zero and its stability test
	// included; nil while no source is open.
	Look  *watch.Snapshot
	Units si.System
	Bars  []Bar // pulled in this sitting, oldest first
	// Check is how the check bars of this rig stand: "last check bar 9 days ago, +1.8 %,
	// in control"; that there is none, where there is none; empty without a rig.
	Check string
	// Calibration is by what the forces are reckoned: "calibration of 2026-11-20 at the
	// specimen, 10.00 kN to 45.00 kN, due in 360 days", or that there is none; empty
	// without a rig.
	Calibration string
	// ZeroDrift is how the zero now lies against those of earlier pulls on this rig;
	// empty where nothing is to be compared.
	ZeroDrift string
	// LoadSeen is what the look saw since the last pull; nil: no load. Nothing of it
	// is recorded.
	LoadSeen *LoadSeen
}

// Ended is how the last pull came out.
type Ended struct {
	Results  strength.Results
	Lines    []string // Results in words, in the units of display
	Bar      specimen.Specimen
	Record   string // folder; empty where nothing was kept
	Name     string // its last element
	Reason   string // why the pull was closed
	Remarks  []string
	Saved    string // where it went instead, or why it is nowhere; empty while all is well
	Source   string // why the source failed; empty while it has not
	NextID   string // specimen number the next bar of this melt gets
	Override string // reason it was armed against a refusal
}
