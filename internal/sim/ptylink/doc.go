// Package ptylink serves a simulated rig on a pseudo-terminal, as a board on a
// serial port would: whoever opens the link gets the lines of one pull at their
// true pace, and what is not read in time is lost, as on a wire without flow
// control and a board with a small buffer. It exists so that the program's real port can be tried with no
// hardware. It does not pretend a baud rate.
package ptylink

import (
	"io"
	"time"
)

// Options of Serve; the zero value works.
type Options struct {
	// Speed is simulated over real time, 0 for 1. For a board whose clock goes
	// with the wall's, its Sim is given the same as ClockSpeed.
	Speed float64
	// Log gets what was truly sent and the truth behind it, see docs/simulator.md.
	Log io.Writer
	// Once ends Serve when the reader of a begun pull has gone; otherwise the
	// next reader gets the next pull.
	Once bool
	// Ready is called each time the link is there to be opened.
	Ready func(link string)
}

const (
	// settle is how long the link must stay open before the pull starts: a
	// program that looks at a port, closes and opens it again is one reader,
	// and a board takes its time to start.
	settle = 100 * time.Millisecond
	// glance is how often an unopened link is looked at.
	glance = 2 * time.Millisecond
	// nap is the longest sleep between two looks at reader and log.
	nap = 10 * time.Millisecond
	// logEvery is how old an unwritten log line may get.
	logEvery = 50 * time.Millisecond
	// burst is how many lines are put together at most between two looks.
	burst = 1000
	// backlog is how many bytes wait at most for a port that takes no more, as
	// in a board's own buffer; with it full, lines are dropped whole. It
	// outlasts a moment in which this program or the reader was held up.
	backlog = 64 << 10
)
