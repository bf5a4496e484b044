package pull

import "draghand/internal/rig"

// Live is the newest reading as the engine understood it: the small part of
// State that is wanted for every reading.
type Live struct {
	Point
	Phase  Phase
	Signal rig.Signal
	Seen   bool // the reading is valid and fresh; else Point is an older one
}

// Live is the newest reading. It costs a few multiplications where State copies
// all there is.
func (e *Engine) Live() Live {
	out := Live{Phase: e.phase.now, Signal: e.signal, Seen: e.sees()}
	if e.have {
		out.Point = e.point(e.last)
	}
	return out
}

// String is the word of a mark as it stands in a record; empty for NoMark.
func (m Mark) String() string {
	words := [...]string{"", "bad", "lost", "back", "silent", "reset", "zero", "ack", "end"}
	if int(m) >= len(words) {
		return "unknown"
	}
	return words[m]
}
