package pull

import (
	"math"
	"time"

	"draghand/internal/rig"
)

// sight is whether the force can be seen at all.
type sight struct {
	since     time.Duration // valid readings without a break since, or never
	lost      bool          // the force cannot be seen; ends after 0.5 s of valid readings
	gone      bool          // the source says itself that it is away
	stuck     bool
	faulty    bool       // the newest reading was a fault
	was       rig.Signal // which
	toldAt    time.Duration
	resetAt   time.Duration // when a restart of the board was last told
	resetTold bool
	told      bool
	cause     cause         // of the newest blindness
	causeAt   time.Duration // when it was last seen to be that
	lostN     int           // valid readings seen when it began
	same      int           // readings without any change of raw
	sameFrom  time.Duration // since when
	changes   float64       // share of readings that should change, learnt in slack; 0: not known
}

// sees says whether the newest force is one to show: valid, fresh, not stuck.
func (e *Engine) sees() bool {
	l := &e.look
	return e.have && !l.gone && !l.stuck && e.t-e.last.t < e.blindFor &&
		!(l.faulty && (l.lost || l.was == rig.AboveBand))
}

// loaded says whether there is force that must be seen. After an outcome a
// small rest does not count: the zero may have moved by more than the threshold.
func (e *Engine) loaded() bool {
	switch e.phase.now {
	case Loading, PastPeak, Holding:
		return true
	case Slack:
		return e.midOK && e.level()-e.slackBase() > e.sightLevel()
	}
	return e.midOK && e.above(e.level()) > max(e.threshold, afterBreak*e.hand.level)
}

// sightLevel is from what load in slack on the force must be seen, Pa. It is lower
// than what begins a loading: an alarm that nobody needed costs less than one
// that did not come.
func (e *Engine) sightLevel() float64 {
	noise := sightNoise * e.view.sd
	if e.nearest > 0 {
		noise = min(noise, sightMost*e.nearest)
	}
	return min(e.threshold, max(e.loadShare(), noise))
}

// slackBase is what the load is counted from in slack: the zero, or while there
// is none the lowest plausible level seen.
func (e *Engine) slackBase() float64 {
	if !e.zero.Set && e.haveBase {
		return e.base
	}
	return e.zeroAt
}

// fault takes a reading outside the valid bands. It moves nothing.
func (e *Engine) fault(sig rig.Signal) {
	l := &e.look
	e.phase.regain = never // a force that comes back is seen without faults
	e.faults++
	e.holed = true
	l.since = never
	if (!l.faulty || l.was != sig) && (!l.told || e.t-l.toldAt >= faultPause) {
		l.told, l.toldAt = true, e.t
		e.tell(Event{Kind: EvFault, Text: "faulty reading: " + sig.String()})
	}
	l.faulty, l.was = true, sig
	if sig == rig.AboveBand {
		// A clipped sensor is an overload until proven otherwise.
		e.clippedNow()
		e.lose(cause{kind: clipped}, 0, true)
		return
	}
	e.checkSight()
}

// checkSight notices that too much time has passed without a valid reading.
func (e *Engine) checkSight() {
	if !e.have || e.t-e.last.t < e.blindFor {
		return
	}
	c := cause{kind: nothing}
	if e.look.faulty {
		c = cause{kind: faults, sig: e.look.was}
	}
	e.lose(c, e.t-e.last.t, e.loaded())
}

// gap notices a hole between two valid readings that nothing told of.
func (e *Engine) gap(dt time.Duration) {
	if dt < e.blindFor {
		return
	}
	if !e.look.lost || (e.loaded() && !e.blind.active) {
		e.lose(cause{kind: hole}, dt, e.loaded())
	}
	e.look.since = never // and begins again with this reading
	e.restartReturns()
}

// restartReturns makes every alarm wait anew: what was not seen did not return.
func (e *Engine) restartReturns() {
	for i := range e.limits {
		for j := range e.limits[i].slots {
			e.limits[i].slots[j].below = never
		}
	}
	e.blind.below = never
}

// away takes the source's own word that nothing will come.
func (e *Engine) away(k causeKind) {
	e.look.gone = true
	e.look.since = never
	e.holed = true
	e.lose(cause{kind: k}, 0, e.loaded())
}

// boardReset takes a restart of the board: a hole in the readings, no jump of
// the force.
func (e *Engine) boardReset() {
	e.holed = true
	e.gaps++
	if l := &e.look; !l.resetTold || e.t-l.resetAt >= resetEvery {
		// A clock that jumps at every line must not drown the alarms.
		l.resetTold, l.resetAt = true, e.t
		e.tell(Event{Kind: EvFault, Text: "the board started again: its clock begins anew"})
	}
	e.checkSight()
}

// seen counts a valid reading towards sight again.
func (e *Engine) seen() {
	l := &e.look
	l.faulty, l.gone = false, false
	if l.stuck {
		return
	}
	if l.since == never {
		l.since = e.t
	}
	if !l.lost || e.t-l.since < seenAgain {
		return
	}
	l.lost = false
	e.tell(Event{Kind: EvBack, Text: "the force is seen again"})
	if e.blind.active {
		e.returned(&e.blind)
	}
}

// watchStuck learns in slack how often the raw number changes, and notices
// under load that it does not any more. A sensor whose noise is too small to be
// sure about is never called stuck.
func (e *Engine) watchStuck(s, before spot, had bool) {
	l := &e.look
	if !had {
		l.sameFrom = s.t
		return
	}
	d := s.raw - before.raw
	if e.phase.now == Slack && math.Abs(s.p-e.slackBase()) < e.threshold/2 {
		e.slackStats.add(d)
	}
	if d != 0 {
		l.same, l.sameFrom = 0, s.t
		if l.stuck {
			l.stuck = false
			e.holedAt = s.t
		}
		return
	}
	l.same++
	if l.same < stuckChanges || l.stuck || s.t-l.sameFrom < stuckFor || !e.loaded() {
		return
	}
	if float64(l.same)*l.changes >= stuckChanges {
		l.stuck = true
		e.lose(cause{kind: still}, s.t-l.sameFrom, true)
	}
}

// changes is the share of readings that must differ from the one before, at the
// least; 0 where the noise is too small or too little known to say. The share
// seen in slack holds for the place between two codes where the zero happened to
// lie; in the middle of a code noise of SD s leaves it with the probability
// erfc(0.5/(s·√2)), and two neighbours differ in 2q(1−q) of all cases. The
// smaller of both is taken.
func (n *noise) changes() float64 {
	if n.pairs < stuckPairs || n.doubles < stuckDoubles {
		return 0
	}
	s := n.sd() / n.count
	if !(s > stuckNoise) {
		return 0
	}
	q := min(0.5, math.Erfc(0.5/(s*math.Sqrt2))) // beyond one half there are more than two codes
	c := min(float64(n.changed)/float64(n.pairs), 2*q*(1-q))
	if c < stuckLeast {
		return 0
	}
	return c
}
