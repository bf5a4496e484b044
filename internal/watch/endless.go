package watch

import (
	"bytes"
	"fmt"
	"time"

	"draghand/internal/pull"
)

const (
	// endlessSpan is for how long bytes must have come without a line end. A
	// line takes far less, even at 300 baud.
	endlessSpan = 3 * time.Second
	// endlessGap between two bytes makes what came before the rest of a cut
	// line: a board that died in the middle of one and starts again.
	endlessGap = 2 * time.Second
)

// endless counts the bytes of a port since its last line end. They are no lines,
// not even bad ones, and would be seen nowhere else.
type endless struct {
	bytes   int64
	from    time.Time // when the first of them came
	newest  time.Time // when the last of them came
	told    bool      // since the source was opened
	toldAt  time.Time // at all
	anyLine bool      // a line ended since the source was opened
}

// add counts a chunk.
func (e *endless) add(data []byte, at time.Time) {
	if len(data) == 0 {
		return
	}
	end := bytes.LastIndexByte(data, '\n')
	if end < 0 {
		end = bytes.LastIndexByte(data, '\r')
	}
	if end >= 0 {
		e.anyLine, e.bytes = true, 0
		data = data[end+1:]
	}
	if e.bytes == 0 || at.Sub(e.newest) > endlessGap {
		e.bytes, e.from = 0, at
	}
	e.bytes += int64(len(data))
	e.newest = at
}

// text says what came.
func (e *endless) text() string {
	return fmt.Sprintf("%d bytes came and no line end: wrong baud rate, or not this board", e.bytes)
}

// watchLineEnds takes a chunk of a port and says if there is no end of a line.
func (w *Watch) watchLineEnds(data []byte) {
	if w.o.Time != HostTime || !w.torn {
		return
	}
	e := &w.endless
	e.add(data, w.taken)
	if e.bytes == 0 || e.told || e.newest.Sub(e.from) < endlessSpan {
		return
	}
	e.told = true
	if !e.toldAt.IsZero() && w.taken.Sub(e.toldAt) < qualityAgain {
		return // it is opened and lost again and again
	}
	e.toldAt = w.taken
	w.emit(Event{Kind: EventKind(pull.EvFault), T: w.now(), Wall: w.arrival, Text: e.text()})
}
