package pull

import (
	"fmt"
	"time"
)

// phases is the life of the pull.
type phases struct {
	now     Phase
	outcome Phase
	ended   bool // the readings ended

	loaded time.Duration // when the first loading began; 0: not yet
	over   time.Duration // since when the load is over the threshold, or never
	reload time.Duration // the same after an outcome
	regain time.Duration // the same after a break

	top        float64       // highest level of this loading, Pa above the zero
	nearTop    time.Duration // when the load was last near it
	grewAt     time.Duration // when it last grew by more than 1 %
	grewTo     float64       // how high that was
	highAt     time.Duration // when it was last at 90 % of it
	highCrests int           // crests of strokes until then
	halfAt     time.Duration // when it was last at 50 % of it
	steepest   float64       // largest fall since the top from one level to the next, Pa
	level      float64       // the level before, Pa above the zero
	gone       time.Duration // since when all but 10 % of it is off, without a fast fall, or never
	recent     float64       // highest level of the last moments, Pa above the zero
	recentAt   time.Duration // when
	recentN    int           // at which reading
	armed      time.Duration // nothing before counts for it

	fall    fall
	dip     dip
	yielded bool
	yield   YieldDrop
	hold    hold

	broke    bool
	brk      Break
	timed    bool    // its fall time is known
	lowest   float64 // since the break, never below nothing, Pa above the zero
	low      bool    // the force is under 10 % of the peak
	lowSince time.Duration
	was      Phase // before the break
	paceWas  pace

	rest rest
}

// stepPhase moves the life of the pull on with a valid reading.
func (e *Engine) stepPhase() {
	ph := &e.phase
	if ph.ended {
		return
	}
	x := e.above(e.level())
	if x >= ph.recent {
		ph.recent, ph.recentAt, ph.recentN = x, e.t, e.ringN
	}
	switch ph.now {
	case Slack:
		e.stepSlack(e.level() - e.slackBase())
	case Loading, PastPeak, Holding:
		e.stepLoading(x)
	default:
		e.stepAfter(x)
	}
}

// underway says whether a loading is on that has no outcome yet.
func (e *Engine) underway() bool {
	return e.phase.now == Loading || e.phase.now == PastPeak || e.phase.now == Holding
}

// held says whether a condition that is true now has been so for d.
func (e *Engine) held(since *time.Duration, d time.Duration) bool {
	if *since == never {
		*since = e.t
	}
	return e.t-*since >= d
}

func (e *Engine) stepSlack(x float64) {
	ph := &e.phase
	if x <= e.threshold {
		ph.over = never
		return
	}
	if !e.noiseKnown() && e.sinceFirst() < noiseTime && !e.zero.Set {
		return // it may be noise
	}
	if !e.held(&ph.over, loadingHold) && (x <= loadingAtOnce*e.threshold || !e.noiseSet) {
		return
	}
	if !e.zero.Set {
		e.zero.Quality = "none"
		before := "2 s of quiet"
		if e.zeroTold { // there was quiet, but off the last zero
			before = "a zero was asked for"
		}
		e.refused("the load began before " + before + "; forces are by the sensor's own line: leave the rig unloaded for 2 s before the next pull")
		e.tell(Event{Kind: EvZero, Text: "no zero taken: " + e.zero.Refused})
	}
	e.look.changes = e.slackStats.changes()
	e.startLoading("loading")
}

// startLoading begins a loading: the first, or again after a slip or let-off.
func (e *Engine) startLoading(text string) {
	ph := &e.phase
	x := e.above(e.level())
	ph.outcome = ""
	ph.over, ph.reload, ph.regain = never, never, never
	ph.top = x
	ph.recent, ph.recentAt, ph.recentN = x, e.t, e.ringN
	ph.nearTop, ph.highAt, ph.halfAt, ph.armed = e.t, e.t, e.t, e.t
	ph.grewAt, ph.grewTo = e.t, x
	ph.steepest, ph.level = 0, x
	ph.hold.on = false
	ph.fall = fall{}
	ph.gone = never
	ph.low = false
	if ph.loaded == 0 {
		ph.loaded = max(e.t, 1) // 0 is "not yet"
	}
	ph.highCrests = 0
	e.pace.restart(e.t, x)
	e.strokes.at, e.strokes.weak = never, 0
	e.restartDip(x)
	e.restartGave()
	e.enter(Loading, text)
}

// enter changes the phase.
func (e *Engine) enter(p Phase, text string) {
	e.phase.now = p
	e.tell(Event{Kind: EvPhase, Text: text})
}

func (e *Engine) stepLoading(x float64) {
	ph := &e.phase
	ph.steepest, ph.level = max(ph.steepest, ph.level-x), x
	if x >= ph.top {
		ph.top, ph.steepest = x, 0
		if ph.now == PastPeak {
			e.enter(Loading, "loading: over the peak of before")
		}
		if x > ph.grewTo*(1+holdGrowth) {
			ph.grewTo, ph.grewAt = x, e.t
		}
	}
	if x >= ph.top*(1-pastPeakDrop)-edgeNoise*e.view.sd {
		ph.nearTop = e.t
	} else if ph.now == Loading && e.t-ph.nearTop >= pastPeakFor {
		e.enter(PastPeak, "past the peak")
	}
	if x >= fallTrigger*ph.top {
		ph.halfAt = e.t
		if x >= fallHigh*ph.top {
			ph.highAt, ph.highCrests = e.t, e.pace.n
		}
	}
	if e.cfg.Kind == Proof {
		e.stepHold(x)
	}
	e.stepDip(x)
	e.watchFall(x)
}

// outcome ends a loading.
func (e *Engine) setOutcome(p Phase, text string) {
	ph := &e.phase
	if e.hand.untold {
		e.tellPeak()
	}
	ph.outcome = p
	ph.reload, ph.regain = never, never
	ph.low = false
	ph.rest = rest{from: e.t, since: never}
	e.pace.rate, e.pace.lead = 0, 0
	e.lookAhead()
	e.enter(p, text)
	e.noteLow(e.above(e.level()))
}

// noteLow keeps since when the force is under 10 % of the peak.
func (e *Engine) noteLow(x float64) {
	ph := &e.phase
	if x >= doneBelow*e.hand.level {
		ph.low = false
		return
	}
	if !ph.low {
		ph.low, ph.lowSince = true, e.t
	}
}

// stepAfter watches what follows an outcome.
func (e *Engine) stepAfter(x float64) {
	ph := &e.phase
	e.noteLow(x)
	if ph.now == Broken {
		e.stepBroken(x)
		return
	}
	e.stepRest(x)
	if x <= max(e.threshold, reloadAbove*ph.top) {
		ph.reload = never
		return
	}
	if e.held(&ph.reload, loadingHold) {
		e.startLoading("loading again")
	}
}

// stepBroken times the fall, settles the break, or withdraws it as a slip. The
// force may swing below nothing after a break; coming back from there is no
// regain.
func (e *Engine) stepBroken(x float64) {
	ph := &e.phase
	if e.withdraw(x) {
		return
	}
	if !ph.timed && x <= fallLow*ph.fall.level && !e.backUp(ph.fall.level) {
		ph.timed = true
		ph.brk.Fall = e.fallShape(fallLow).whole()
	}
	if ph.brk.Provisional && ph.low && e.t-ph.lowSince >= breakSettled {
		ph.brk.Provisional = false
	}
	ph.lowest = min(ph.lowest, max(x, 0))
	if x <= ph.lowest+max(slipRegain*e.hand.level, regainNoise*e.sd/sqrtInt(e.view.n)) {
		ph.regain = never
		return
	}
	if !e.held(&ph.regain, slipHold) {
		return
	}
	e.slips++
	ph.broke = false
	text := fmt.Sprintf("no break but a slip: the force came back to %s", e.point(e.mid).Specimen.Text(e.units))
	e.tell(Event{Kind: EvSlip, Point: e.point(e.mid), Text: text})
	e.startLoading("loading again after a slip")
}

// end closes the pull: the readings stop. A file that stops while more than
// half of the peak is on is no break.
func (e *Engine) end() {
	ph := &e.phase
	if ph.ended {
		return
	}
	ph.ended = true
	if e.underway() && ph.fall.on && ph.fall.under != never {
		e.nameNoisy()
	}
	if f := &ph.fall; f.waits && !e.backUp(f.level) {
		e.declareBreak(f.snap)
	}
	if e.underway() && ph.gone != never && !e.backUp(ph.top) {
		e.judgeSlow(ph.gone - ph.highAt)
	}
	switch ph.now {
	case Slack:
		if e.midOK && e.level()-e.slackBase() > e.threshold { // too short to be a loading, but a load
			ph.loaded = max(e.t, 1)
			e.setOutcome(Ended, fmt.Sprintf("ended with %s on, within less than a loading takes", e.point(e.mid).Specimen.Text(e.units)))
			return
		}
		e.setOutcome(Ended, "ended before any load")
		return
	case Loading, PastPeak, Holding:
	default:
		if ph.broke && ph.low {
			ph.brk.Provisional = false
		}
		return
	}
	x := 0.0
	if e.have {
		x = e.above(e.last.p)
	}
	switch {
	case x > endedAbove*e.hand.level || x >= fallHigh*ph.top:
		e.setOutcome(Ended, fmt.Sprintf("ended with %s still on", e.point(e.last).Specimen.Text(e.units)))
	case e.cfg.Kind == Crush:
		e.setOutcome(LetOff, "let off, or crushed: the readings end in the fall")
	case e.snappedAtEnd(x):
	case e.fading(x, e.t):
		e.setOutcome(Faded, fmt.Sprintf("faded: down to %.0f %% without a snap when the readings end", 100*max(x/ph.top, 0)))
	default:
		e.setOutcome(Unclear, "unclear: the readings end in the middle of a fall")
	}
}

// snappedAtEnd takes the beginning of a fall, that nothing follows any more, for
// a break if it was as fast as one. x is the last level.
func (e *Engine) snappedAtEnd(x float64) bool {
	ph := &e.phase
	if !ph.fall.on {
		// What went away after the last reading left no gap in what was read.
		gapped := e.look.lost && e.look.lostN != e.ringN
		ph.fall = fall{on: true, at: e.t, level: ph.recent, gapped: gapped}
	}
	level := ph.fall.level
	if level < fallLeast*e.threshold || x > endFall*level {
		return false
	}
	s := e.fallShape(min(max(x/level, fallLow), endFall))
	if !e.snapped(s) {
		return false
	}
	e.declareBreak(s)
	return true
}
