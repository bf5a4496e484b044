// Package trace holds the force of a saved pull over time in few columns, for small
// pictures and for laying several pulls over each other.
package trace

import (
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
)

// Column is what the force on the specimen lay between over a span of time.
type Column struct {
	At        time.Duration // begin of the span, from the record's start
	Low, High si.Force
	// Gap says that the force was out of sight between the column before and this
	// one: no line joins them.
	Gap bool
}

// Trace is one pull.
type Trace struct {
	Dir, Record string
	Bar         string // "M1-3"; the record's name where it has none
	Kind        pull.Kind
	Outcome     pull.Phase
	Columns     []Column // in order of time; an extreme of the readings is in one of them
	Width       time.Duration
	Loaded      time.Duration // begin of the load; 0: none was seen
	Peak        time.Duration
	PeakForce   si.Force
	Break       time.Duration // 0: it did not
	End         time.Duration
	Area        si.Area // 0: no section was measured
	Simulated   bool
}
