package tui

import (
	"draghand/internal/bench"
	"draghand/internal/replay"
	"draghand/internal/shelf"
	"draghand/internal/si"
)

// Desk is the sitting as the screens see it: a bench.Bench with the shelf, the
// ports and the replays that belong to the program around it. View is cheap
// and asked each frame; Set, Confirm, ShowIn and Zero only hand over. The rest may wait
// for a port or a disk and is called outside Update.
type Desk interface {
	Records

	View() *bench.View
	Set(field bench.FieldID, text string) error // the error also stands in the field
	Confirm(point bench.PointID, done bool)
	ShowIn(u si.System) // the units of display of the sitting
	Zero() error        // ask the look for a new zero; the error says why none is taken

	// Arm begins a pull. A reason overrules what is not final and stood in the view
	// that the person was shown when it was asked for.
	Arm(reason string, shown *bench.View) (Source, error)
	Ended() *bench.Ended      // of the last pull, once it is closed; nil before
	Remark(text string) error // adds to the last pull's record
	NextBar()                 // keeps the set-up, asks for number and diameters anew

	Ports() ([]string, error) // sources to choose from; refused while a pull is recorded
	Rigs() []string           // rig files found
	Shelf() ([]shelf.Entry, error)
	// Measure opens what is asked after a pull, of the record in a folder.
	Measure(record string) (Measuring, error)
	Replay(record, rigFile string) (Player, error) // rigFile empty: the record's own rig
}

// Player is a saved pull as a screen sees it: a Source whose time a person
// moves.
type Player interface {
	Source
	Playback() Playback
	Control(Transport)
	Close()
}

// Where a saved pull is looked at, and the wishes about it.
type (
	Playback      = replay.Playback
	Transport     = replay.Transport
	TransportKind = replay.TransportKind
)

// The wishes.
const (
	PlayPause     = replay.PlayPause
	Step          = replay.Step
	SeekTo        = replay.SeekTo
	SeekPeak      = replay.SeekPeak
	SeekBreak     = replay.SeekBreak
	SeekNextAlarm = replay.SeekNextAlarm
	SeekStart     = replay.SeekStart
	SeekEnd       = replay.SeekEnd
	Faster        = replay.Faster
	SeekBy        = replay.SeekBy
)

// Where one screen leads. A screen returns one of these as a message and the App
// puts the other in front.
type (
	openBench   struct{ at bench.FieldID } // back to the bench, at a field; empty: where it is
	openPull    struct{ src Source }       // a pull was just armed
	openAfter   struct{}                   // the pull is closed
	openShelf   struct{}                   // the list of records
	openMeasure struct{ of Measuring }     // the bar is measured after its pull
	openPlan    struct{}                   // which bar to turn
	openCheck   struct{}                   // the chart of the check bars
	openReplay  struct{ player Player }    // a record was chosen
	openHelp    struct {
		title string
		rows  []helpRow
	} // over the screen in front
	closeHelp struct{}
	goBack    struct{} // of a replay: to the screen it was opened from
	leaveAll  struct{} // end the program; nothing is loaded
)
