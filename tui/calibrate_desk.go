package tui

import livecal "draghand/internal/calib/live"

// Calibrator is a calibration run as its screen sees it. View is cheap and asked
// each frame. What the others refuse they say why, and what to do; they may wait for
// a disk and are called outside Update.
type Calibrator interface {
	View() *livecal.View
	// Take makes a point of the reading that stands still and of what the reference
	// shows, a text with its unit.
	Take(reference string) error
	Drop(point int) error  // by its place in the run
	Zero() error           // asks for a new zero: nothing on the rig
	Save() (string, error) // as a file, whose path it gives
	Acknowledge()          // takes note of every alarm
	Close()                // lets the source go
}
