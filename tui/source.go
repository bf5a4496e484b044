package tui

import (
	"os"
	"time"

	"draghand/internal/si"
	"draghand/internal/watch"
)

// Source is the running pull as a screen sees it. Its methods are called from
// several goroutines and must not wait for the pull: a snapshot is the latest
// there is, and a command is only handed over.
type Source interface {
	Snapshot() *watch.Snapshot
	// Trace fills dst with the columns of a window, as watch.Pyramid.CopyRange does.
	Trace(dst *watch.Trace, from, to time.Duration)
	Do(watch.Command)
}

// Options of a screen. The zero value works on a terminal.
type Options struct {
	In, Out *os.File  // nil: standard input and output
	Units   si.System // of display at the start; the person may change them
	// CloseAfter is how long after the pull is closed the screen closes by
	// itself unless a key was pressed; 0: never.
	CloseAfter time.Duration
	// Edges tells that an alarm, a break or a loss has just been published in
	// the snapshot. It is to hold one element and be sent to without waiting.
	// Nil: the screen looks 30 times a second all the same.
	Edges <-chan struct{}
	// Agreed is told that a person said yes to leaving a calibration whose points are
	// not saved; nil: nobody minds.
	Agreed  func()
	Bell    bool // ring the terminal's bell at an edge with an unacknowledged alarm
	NoColor bool // NO_COLOR in the environment does the same
	ASCII   bool // draw with ASCII alone: see WantsASCII
}
