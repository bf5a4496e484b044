package sim

import (
	"time"
)

// longestIdle is how long a waiting rig idles before it is made anew: below the
// longest Idle there is.
const longestIdle = 50 * time.Minute

// NewSitting makes a feed of a whole sitting: a rig that idles at zero until
// Begin, then pulls the bar that next gives (0 for the first), idles on after it
// and pulls the next one at the next Begin. Board, clock and transducer are those
// of the first for all of it. Next is called from Run's goroutine; a bar that it
// cannot give is not pulled. Idle is a rig on which nothing is pulled yet: its
// Options.Idle is taken for the longest there is.
func NewSitting(idle Options, next func(n int) (*Sim, error), speed float64) (*SimFeed, error) {
	idle.Idle, idle.Fault, idle.Script = longestIdle+time.Minute, "", nil
	s, err := New(idle)
	if err != nil {
		return nil, err
	}
	return &SimFeed{sim: s, speed: speed, waiting: &idle, next: next, begin: make(chan struct{}, 1)}, nil
}

// Begin tells the simulated person to pull the next bar. A feed that is no
// sitting pulls by itself and does not mind.
func (f *SimFeed) Begin() {
	select {
	case f.begin <- struct{}{}:
	default: // nil, or told already
	}
}

// turn puts another bar into the rig where it is time: t is how long the present
// one has been in it. It says whether there is another.
func (f *SimFeed) turn(t time.Duration) bool {
	if f.next == nil {
		return false
	}
	select {
	case <-f.begin:
		s, err := f.next(f.bars)
		if err != nil {
			return false
		}
		f.bars++
		s.follow(f.sim, t)
		f.sim, f.waiting = s, nil
		return true
	default:
	}
	if f.waiting == nil || t < longestIdle {
		return false
	}
	s, err := New(*f.waiting)
	if err != nil {
		return false
	}
	s.follow(f.sim, t)
	f.sim = s
	return true
}

// follow makes s the next pull on the rig of before, t into that one: the board
// counts on, and the transducer is the same.
func (s *Sim) follow(before *Sim, t time.Duration) {
	s.board = before.board
	s.board.clock.epoch -= t
	s.xducr.offset, s.xducr.zeroReturn = before.xducr.offset, before.xducr.zeroReturn
	s.truth.ZeroOffset = s.xducr.offset
}
