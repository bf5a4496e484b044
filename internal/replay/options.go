package replay

import (
	"errors"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// Options is how a record is looked at. The zero value shows it as it was.
type Options struct {
	// Rig recomputes the record with another rig; nil: the record's own. RigFile
	// is what it is called on the screen.
	Rig     *rig.Rig
	RigFile string
	Units   *si.System // of display; nil: the rig's
	Speed   float64    // at the start; 0: 1
}

// ErrWriting says that another program still writes the record.
var ErrWriting = errors.New("the record is being written now")

// ErrNoTrace says that a record has no readings, and never had.
var ErrNoTrace = errors.New("no trace: a dial gauge was read by eye, once; there is nothing to replay")

// Bounds on the speed.
const (
	slowest = 0.1
	fastest = 100
)

// checkpoints is how many are kept at the most: 170 kB each. When there are more,
// every other one goes and they stand twice as far apart.
const checkpoints = 64

// firstSpacing is how many lines lie between two of them at first: a fifth of a
// millisecond of the engine's time.
const firstSpacing = 2048

// mostAlarms bounds the list of alarms' times, mostTold the story.
const (
	mostAlarms = 1000
	mostTold   = 4000
)
