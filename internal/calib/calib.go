// Package calib fits the line from gauge pressure to a reference, finds the bad
// point, the friction and the class, and keeps calibrations as files.
package calib

import (
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// Direction is whether the load was going up or down when a point was taken.
type Direction string

// The directions of a point.
const (
	Rising  Direction = "rising"
	Falling Direction = "falling"
)

// Point is one steady reading and what the reference said of it.
type Point struct {
	Reference float64     `json:"reference"` // Pa at the gauge, else N
	Gauge     si.Pressure `json:"gauge_pa"`  // mean, above the zero, as the sensor tells it
	Raw       float64     `json:"raw"`       // mean
	SD        si.Pressure `json:"sd_pa"`     // of the readings
	Readings  int         `json:"readings"`  // 0: not stated, a table
	Direction Direction   `json:"direction"`
	Run       int         `json:"run"` // from 1
	At        time.Time   `json:"at,omitzero"`
	Text      string      `json:"text,omitempty"` // the reference as it was written, with its unit; empty: not known
}

// Reference is what the rig is held against.
type Reference struct {
	Text        string  `json:"text"`
	Certificate string  `json:"certificate,omitempty"` // number and date; empty: it has none
	U           float64 `json:"u"`                     // standard, as a fraction of the value; 0: not stated
}

// Run is all that was taken.
type Run struct {
	Rig       *rig.Rig  `json:"rig"` // with the calibration in force then, if any
	At        rig.Place `json:"at"`
	Far       bool      `json:"far,omitempty"`
	Reference Reference `json:"reference"`
	Zero      float64   `json:"zero_raw"`
	ZeroAfter *float64  `json:"zero_after_raw"`
	// ZeroU is the standard uncertainty of Zero, from the scatter of its readings;
	// 0: not known, as in a table.
	ZeroU   si.Pressure `json:"zero_u_pa,omitempty"`
	Made    time.Time   `json:"made"`
	Points  []Point     `json:"points"`
	Dropped int         `json:"points_dropped,omitempty"` // taken live and thrown away
}

// Folder is the name of the folder of calibrations on a shelf.
const Folder = "calibrations"
