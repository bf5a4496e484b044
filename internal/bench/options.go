package bench

import (
	"strings"

	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

// Options is what the bench is given: everything that reaches outside comes in
// here.
type Options struct {
	// Open makes the feed of a source; it touches no device yet. Where its time
	// is not watch.HostTime its readings do not come as they are measured, and
	// the source is refused.
	Open func(from string, r *rig.Rig, s Setup) (f feed.Feed, time watch.TimeBase, simulated bool, err error)
	// LoadRig reads a rig file.
	LoadRig func(path string) (*rig.Rig, error)
	// BuiltIn is the rig of a kind where no file is named and the source is the
	// simulated rig; nil: none.
	BuiltIn func(kind pull.Kind) (*rig.Rig, error)
	// Calibrate gives a rig whose forces are reckoned by the calibration that is for
	// it, a bar on its far side or not, and a simulated source or not; told is that in
	// a line. It is asked about once a second. nil: there are none.
	Calibrate func(r *rig.Rig, far, simulated bool) (_ *rig.Rig, told string, err error)
	// Trip makes the trip line that a rig states, nil where it states none, of a
	// source that is not open yet; note says why there is none though one is stated.
	// It is held while a pull runs and all is well,
	// and closed with the source. nil: there is no trip line.
	Trip    func(f feed.Feed, r *rig.Rig) (line feed.Trip, note string, err error)
	Shelf   string // folder of the records
	Version string // of the program
	// Listen is told what happens in a pull and, but for its beginning and end, in
	// the look before it; never from two goroutines at once: while one call stands
	// still, what comes after it waits, and readings go on. nil: nobody.
	Listen func(watch.Event)
	// Armed is told of the set-up of a pull before its first reading, on Arm's
	// goroutine; nil: nobody. The simulated rig learns there what bar it is to pull.
	Armed func(Setup)
	// Rescue saves a pull whose own folder failed somewhere else; nil: nowhere.
	Rescue func(*watch.Watch) (dir string, err error)
	Units  *si.System // of display; nil: the rig's
	// Alloys is the table that an expected strength is taken from where nobody
	// stated one; nil: the program's own.
	Alloys specimen.Table
	// Initial are the fields as they stand at the start.
	Initial map[FieldID]string
}

// simulated says that a source is the simulated rig, by its name.
func simulated(from string) bool { return from == "sim" || strings.HasPrefix(from, "sim:") }
