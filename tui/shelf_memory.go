package tui

import "draghand/internal/shelf"

// shelfMemory is what a sitting keeps of the shelf while another screen is in front.
// Only Update touches it.
type shelfMemory struct {
	left    *ShelfScreen    // as it was left; nil: it was never open
	trashed []shelf.Trashed // what may be taken back, the latest last
	told    string          // what came of an action after the shelf was left
}

// done keeps what an action moved, so that it can be taken back: whether the shelf is
// still in front or not.
func (s *shelfMemory) done(msg shelfDone) {
	if n := len(s.trashed) - 1; msg.untrashed && n >= 0 {
		s.trashed = s.trashed[:n]
		if len(msg.left.Moved) > 0 { // to be taken back another time
			s.trashed = append(s.trashed, msg.left)
		}
	}
	if len(msg.trashed.Moved) > 0 {
		s.trashed = append(s.trashed, msg.trashed)
	}
}

// late takes the answer to an action when the shelf that asked is gone.
func (s *shelfMemory) late(msg shelfDone) {
	s.done(msg)
	s.told = msg.note
}
