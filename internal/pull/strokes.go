package pull

import (
	"fmt"
	"time"

	"draghand/internal/si"
)

// strokes keeps what each pump stroke gave, from the lowest of the rest before
// it to its crest: what leaks back in a rest is no fault of the stroke.
type strokes struct {
	n      int
	last   [3]float64    // Pa, newest first
	best   float64       // largest median of three
	rests  [3]float64    // Pa lost in the rest before each
	crest  float64       // Pa, of the newest
	at     time.Duration // when that was, or never
	every  time.Duration // from the crest before to it
	weak   int           // strokes in a row far under it
	giving bool
	drop   drop // one that may turn out an upper yield point
}

// gain is the median of the last three strokes, Pa; 0 before there are three.
func (s *strokes) gain() float64 {
	if s.n < 3 {
		return 0
	}
	a, b, c := s.last[0], s.last[1], s.last[2]
	return max(min(a, b), min(max(a, b), c))
}

// slipped forgets what a slip made of the strokes: what it cut in two is none to
// go by, and what it lost is no rest. rest is what those before it lost, Pa.
func (s *strokes) slipped(rest float64) {
	s.at = never
	for i := range s.rests {
		s.rests[i] = min(s.rests[i], rest)
	}
}

// rest is what the last three rests between strokes lost by their median, Pa,
// since one may have been a slip; of fewer the most.
func (s *strokes) rest() float64 {
	a, b, c := s.rests[0], s.rests[1], s.rests[2]
	if s.n < 3 {
		return max(a, b, c)
	}
	return max(min(a, b), min(max(a, b), c))
}

// any says whether one of the last strokes gained so much, Pa.
func (s *strokes) any(gain float64) bool { return max(s.last[0], s.last[1], s.last[2]) >= gain }

// pumped says that the load comes in strokes, large enough not to be the bumps of
// a motor's drive.
func (e *Engine) pumped() bool {
	return e.strokes.n >= 3 && e.strokes.best >= gainLeast*e.hand.level
}

// strokeDone takes a stroke that rose from low to top, Pa above the zero, its
// crest at that time.
//
// The same pump gives the same oil with each stroke, so the force it gains tells
// how stiff all that it pulls on is: when the gain falls, something yields. Under
// the specimen's own yield that is another part.
func (e *Engine) strokeDone(low, top float64, at time.Duration) {
	s := &e.strokes
	if top-low < gainNone*s.best {
		return // the noise of a rest
	}
	alone := s.at == never || at-s.at > strokeApart
	s.every, s.at = at-s.at, at
	if alone {
		// The first, or the first after a pause; or a bump of a motor's drive.
		s.crest = top
		e.gave.gaveStroke(at, top)
		return
	}
	if s.n > 0 {
		s.rests = [3]float64{max(0, s.crest-low), s.rests[0], s.rests[1]}
	}
	s.n++
	s.crest = top
	s.last = [3]float64{top - low, s.last[0], s.last[1]}
	g := s.gain()
	s.best = max(s.best, g)
	e.gave.gaveStroke(at, top)
	e.dropTold()
	yield := e.yieldPressure()
	switch {
	case g >= gainBack*s.best:
		s.weak, s.giving = 0, false
	case g > 0 && g < gainWeak*s.best:
		s.weak++
	default:
		s.weak = 0
	}
	e.strokeGave(s.weak, false)
	if s.giving || s.weak < gainStrokes || e.toppingUp(top) || !e.pumped() || s.best < gainSteps*e.strokeStep(1) {
		return
	}
	s.giving = true
	e.strokeGave(s.weak, true)
	share := 100 * g / s.best
	switch {
	case yield == 0:
		e.tell(Event{Kind: EvRemark, Text: fmt.Sprintf("a stroke gains %.0f %% of the best: something yields, the specimen or another part", share)})
	case top < gainYield*yield:
		if e.givingAt == 0 {
			e.givingAt = e.point(e.last).Specimen
		}
		e.tell(Event{Kind: EvRemark, Text: fmt.Sprintf(
			"a stroke gains %.0f %% of the best, under the specimen's yield: something other than the specimen may be giving: look at the %s", share, e.suspect())})
	}
}

// toppingUp says that a proof is at its force, or near: then small strokes are
// meant.
func (e *Engine) toppingUp(top float64) bool {
	return e.cfg.Kind == Proof && (e.phase.now == Holding || e.cfg.Target > 0 && top >= holdNear*e.pressureFor(e.cfg.Target))
}

// suspect is the part to look at first: the one whose limit is met first.
func (e *Engine) suspect() string {
	if e.firstAt < 0 {
		return "fixture"
	}
	return e.limits[e.firstAt].bound.Limit.Name
}

// yieldPressure is the pressure above the zero at the specimen's lowest expected
// yield, Pa; 0: not known.
func (e *Engine) yieldPressure() float64 {
	return max(0, e.pressureFor(si.Force(float64(e.cfg.Yield)*float64(e.cfg.Area))))
}
