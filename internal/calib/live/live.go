// Package live takes calibration points from a running source: it finds by itself
// when the reading stands still, and a person says what the reference shows.
//
//	feed -> watch (a look: decoded, judged, nothing recorded) -> still -> Taking -> View
//
// The readings come through the same look as on the bench, so that a lost source, a
// silent board and the alarms of the rig's limits are seen here too.
package live

import (
	"draghand/internal/calib"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// View is a calibration run at one moment. Nobody changes it.
type View struct {
	Rig    *rig.Rig
	Units  si.System
	Source string
	Fault  string // why no reading comes, and what to do; empty: they come

	HaveZero bool
	Zero     si.Pressure // at the zero, by the sensor's own line
	ZeroNote string      // why there is none yet

	Live   si.Pressure // above the zero
	Force  si.Force    // the same by the rig, at the place of the reference; 0 at the gauge
	Signal rig.Signal
	// Steady is the mean the reading stands at; it is there once it has stood long
	// enough and while it does. Progress is how far it is on the way there, 0 to 1.
	Steady   *calib.Point
	Progress float64
	Moving   string          // why it does not stand still, in words; empty while it does, or is about to
	Going    calib.Direction // which way the load goes, as a new point would bear it
	Passed   si.Pressure     // how far the steady load was passed by before it came to stand: the friction may have turned
	Taken    bool            // the point of this standstill is taken

	Alarms []pull.Alarm // of the rig's limits, as on the bench

	Run    calib.Run
	Answer *calib.Answer // of the points so far; nil: too few
	Saved  string        // path it is saved as; empty: not yet, or points have changed since
}
