// Package feed is where bytes come from: a serial port, a file, standard input
// or a network connection. A feed knows nothing of lines and readings; it hands
// on what was read, with the time at which the read returned, and tells when
// the source was opened, lost, came back or ended.
//
//	Open("serial:/dev/ttyACM0", …) → Feed.Run(ctx, out) → out(Opened), out(Data)…, out(Lost), out(Back), out(Data)…
//
// A feed never gives up a source that was there once, unless told to; a source
// that is not there at the start is an error at once, with what to do next.
package feed

import (
	"context"
	"time"
)

// Kind is what a Chunk tells.
type Kind uint8

// The kinds of chunk.
const (
	Data   Kind = iota + 1 // bytes
	Opened                 // the source is open; comes first, once
	Lost                   // the source is gone, Err says why; tried again from now on
	Back                   // the source is open again
	End                    // the source has no more bytes; comes last
)

// String names the kind.
func (k Kind) String() string {
	switch k {
	case Data:
		return "data"
	case Opened:
		return "opened"
	case Lost:
		return "lost"
	case Back:
		return "back"
	case End:
		return "end"
	}
	return "unknown"
}

// Chunk is one event of a feed.
type Chunk struct {
	Kind Kind
	// At is when the read returned or the event was seen, with a monotonic
	// reading.
	At time.Time
	// Data is what was read (kind Data, never empty). It is valid only during
	// the call and must not be changed.
	Data []byte
	// Torn, with Opened and Back, says that the bytes to come may begin in the
	// middle of a line: discard through the first line end, because a fragment
	// of a line may be a number too.
	Torn bool
	// Joined, with Opened, says that the source was open before and was only
	// joined (Standing): no board restarted for it.
	Joined bool
	// Missed, with Opened, is how many chunks of data from before follow at once,
	// with their own times of arrival (Standing.AttachFrom).
	Missed int
	// Err says why the source was lost (kind Lost).
	Err error
	// Note is what a person may want to know about how the source came back
	// (kind Back), such as another name of its port; mostly empty.
	Note string
}

// Feed is a source of bytes.
type Feed interface {
	// Name is the source as a person gave it.
	Name() string
	// Run opens the source and calls out, from one goroutine and one call at a
	// time, until the source ends or ctx is done: both give nil. An error is
	// one that a person can be told (*Error): the source cannot be opened, or
	// is lost for good. When Run has returned, the source is closed and out is
	// not called any more. A feed is run once.
	Run(ctx context.Context, out func(Chunk)) error
}
