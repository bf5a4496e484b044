package trace

import (
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
)

// sight follows a replay and says of each reading whether it shows the force, and
// whether the force was out of sight since the one before that did.
type sight struct {
	last time.Duration // of the newest reading that showed it
	had  bool
	lost bool // the engine said so, and not yet that it is back
	gap  bool
}

// joinAcross is the longest time without a reading while the engine waits to be sure
// that the force is back; before and after, its own word counts.
const joinAcross = 500 * time.Millisecond

// step takes one line.
func (s *sight) step(l record.Line) (gap, seen bool) {
	for i := range l.Events {
		switch l.Events[i].Kind {
		case pull.EvLost:
			s.lost, s.gap = true, true
		case pull.EvBack:
			s.lost = false
		}
	}
	switch l.Reading.Mark {
	case pull.NoMark:
	case pull.Lost, pull.Silent, pull.Reset:
		s.gap = true
		return false, false
	default:
		return false, false
	}
	live := l.Engine.Live()
	if live.Signal != rig.OK || !live.Seen || live.Point.T != l.Reading.T {
		if s.lost {
			s.gap = true
		}
		return false, false
	}
	if s.lost && s.had && l.Reading.T-s.last > joinAcross {
		s.gap = true
	}
	gap = s.gap && s.had // nothing is before the first
	s.last, s.had, s.gap = l.Reading.T, true, false
	return gap, true
}
