package watch

import (
	"fmt"
	"time"

	"draghand/internal/pull"
)

const (
	// qualitySpan is over what time lines are judged together.
	qualitySpan = 2 * time.Second
	// qualityLines is how many must have come: a few bad ones of a slow board
	// say nothing.
	qualityLines = 40
	// badShare is the share of bad lines above which something is wrong with
	// the port. Of the lines that two readers share out among them nearly all
	// are torn; a noisy cable spoils some in a hundred (a guess, no source).
	badShare = 0.2
	// qualityAgain is how often it is said while it lasts.
	qualityAgain = 30 * time.Second
)

// quality judges the lines of a port.
type quality struct {
	since           time.Time // of the span
	good            int
	torn, unprinted int // bad lines; those of them with bytes that are no text
	jumps           int // good lines at which the board's clock jumped
	toldAt          time.Time
}

// bad counts a line that could not be read.
func (q *quality) bad(text []byte) {
	q.torn++
	for _, c := range text {
		if (c < 0x20 || c > 0x7e) && c != '\t' {
			q.unprinted++
			return
		}
	}
}

// judgeLines says, once the span is over, what bad lines come from. Lines of
// text that are torn are what is left when a second program reads the same port
// and each gets some of the bytes: nothing tells of that but the lines. Two
// pieces that happen to make a line are found by the board's clock, if there is
// one. Whole lines that the other program took leave no trace.
func (w *Watch) judgeLines() {
	q := &w.quality
	if w.o.Time != HostTime || !w.torn || w.taken.Sub(q.since) < qualitySpan {
		return
	}
	all, wrong := q.good+q.torn, q.torn
	if q.torn > 0 { // a clock that jumps by itself is no torn line
		wrong += q.jumps
	}
	text := ""
	// Without any good line so far the layout is wrong, which is told elsewhere.
	if all >= qualityLines && w.good > 0 && float64(wrong) > badShare*float64(all) {
		text = fmt.Sprintf("%d of the last %d lines are ", wrong, all)
		if 2*q.unprinted > q.torn {
			text += "no text: look at the baud rate, the cable and its screen"
		} else {
			text += "torn: another program may be reading this port; close it"
		}
	}
	q.since, q.good, q.torn, q.unprinted, q.jumps = w.taken, 0, 0, 0, 0
	if text == "" || !q.toldAt.IsZero() && w.taken.Sub(q.toldAt) < qualityAgain {
		return
	}
	q.toldAt = w.taken
	w.emit(Event{Kind: EventKind(pull.EvFault), T: w.last, Wall: w.arrival, Text: text})
}
