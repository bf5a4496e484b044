// Package control keeps the chart of a check bar: bars of one bought stock pulled
// every so often, whose strength should not move. An individuals chart tests ram
// area, friction, share and sensor at once.
package control

import "time"

// Point is one check bar.
type Point struct {
	At     time.Time
	Value  float64 // strength, Pa
	Record string
	Change string // what of the rig changed since the one before; empty: nothing
}
