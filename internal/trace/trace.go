// Package trace holds the force of a saved pull over time in few columns, for small
// pictures and for laying several pulls over each other.
//
//	overview.csv + closing state -> Trace, at once, where they belong to the samples
//	readings -> pull.Engine -> bins -> Trace, else
//
// Both ways give the same columns. What a reading was worth and whether the force
// could be seen is the engine's word; the forces are all reckoned from the zero that
// was in force at the end, so that what was read before it was taken lies where it
// belongs. One worked example:
//
//	t, err := trace.Read("2026-11-25T140322Z-M1-3", trace.Plenty)
//	if at, ok := t.At(trace.LoadStart); err == nil && ok {
//		draw(t.Between(at, t.End, 200))
//	}
package trace

import (
	"cmp"
	"slices"
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
)

// Column is what the force on the specimen lay between over a span of time.
type Column struct {
	At        time.Duration // begin of the span, from the record's start
	Low, High si.Force
	// Gap says that the force was out of sight between the column before and this
	// one, or within this one: no line joins them.
	Gap bool
}

// Trace is one pull.
type Trace struct {
	Dir, Record string
	Bar         string // "M1-3"; the record's name where it has none
	Kind        pull.Kind
	Outcome     pull.Phase // the phase it ended in where no outcome is known
	// Columns are in order of time, each Width wide, none without a valid reading; an
	// extreme of the valid readings is in one of them.
	Columns   []Column
	Width     time.Duration
	Loaded    time.Duration // begin of the load; 0: none was seen
	Peak      time.Duration // of the drag hand; 0: no load was seen
	PeakForce si.Force
	Break     time.Duration // 0: it did not
	End       time.Duration // of the newest reading or mark
	Area      si.Area       // 0: no section was measured
	Simulated bool
	// Unfinished: the pull was never closed; what is there is as good.
	Unfinished bool
	// Damage is what is wrong with the readings, the trace is of what can be read of
	// them, and Intact until when they can be read and nothing speaks against them, from
	// the record's start; nil: nothing that was noticed. A trace of the overview has not
	// looked: Prove does.
	Damage error
	Intact time.Duration // 0: nothing is known to be, or there is no Damage
}

// Letter is what the i-th of several pulls over each other is called, from 0 on: small,
// since the capitals are the groups that people mark pulls into. There are 26.
func Letter(i int) rune { return 'a' + rune(i) }

// Align is the moment that several traces are laid over each other by.
type Align uint8

// The moments.
const (
	LoadStart Align = iota
	Peak
)

// At is when a moment was, from the record's start; false where there was none.
func (t *Trace) At(by Align) (at time.Duration, ok bool) {
	if t.Loaded == 0 {
		return 0, false
	}
	if by == Peak {
		return t.Peak, true
	}
	return t.start(), true
}

// How the start of the load is found. The engine waits half a second to be sure of
// one, less where the force rises fast, so that Loaded lies up to that behind it: too
// much where one pull is laid over another.
const (
	startWithin = 1500 * time.Millisecond // before Loaded
	startUnder  = 0.2                     // of the force at Loaded: nothing yet
)

// start is where the force last left what is nothing beside that at Loaded; Loaded
// where it was never so low shortly before.
func (t *Trace) start() time.Duration {
	i, _ := slices.BinarySearchFunc(t.Columns, t.Loaded, func(c Column, at time.Duration) int { return cmp.Compare(c.At+t.Width, at+1) })
	if i >= len(t.Columns) || t.Columns[i].At > t.Loaded || !(t.Columns[i].High > 0) {
		return t.Loaded
	}
	nothing := startUnder * t.Columns[i].High
	for i--; i >= 0 && t.Loaded-t.Columns[i].At <= startWithin; i-- {
		if c := t.Columns[i]; c.Low <= nothing {
			return min(t.Loaded, c.At+t.Width)
		}
	}
	return t.Loaded
}
