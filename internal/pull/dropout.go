package pull

import (
	"fmt"
	"time"
)

// waitForBreak holds a fall that looks like a break back until a dropout of the
// reading would be over, and forgets it when the force is back.
func (e *Engine) waitForBreak(x float64) {
	f := &e.phase.fall
	f.lowest = min(f.lowest, max(x, 0))
	switch {
	case x >= fallHigh*f.level:
		e.forgetFall(x)
	case e.t-f.at >= dropoutWait && !e.backUp(f.level):
		e.declareBreak(f.snap)
	}
}

// backUp says whether the newest reading is back at the level before a fall. The
// spike-proof force follows with the next one.
func (e *Engine) backUp(level float64) bool {
	if e.noisy() {
		return e.above(e.level()) >= fallHigh*level
	}
	return e.have && e.above(e.last.p) >= fallHigh*level
}

// forgetFall takes a fall for none.
func (e *Engine) forgetFall(x float64) {
	ph := &e.phase
	e.pace.dip = [2]time.Duration{ph.fall.first, e.t}
	ph.fall = fall{}
	ph.armed = e.t
	ph.recent, ph.recentAt, ph.recentN = x, e.t, e.ringN
}

// withdraw takes a break back whose force is whole again at once, and goes on as
// if it had not been. A bar that slips loads up again by the pump only.
func (e *Engine) withdraw(x float64) bool {
	ph := &e.phase
	if !ph.brk.Provisional || x < fallHigh*ph.fall.level || ph.fall.level <= 0 {
		return false
	}
	lasted := e.backSince(ph.fall.level) - ph.brk.T
	if lasted > dropoutMost {
		return false
	}
	ph.broke, ph.outcome, ph.low = false, "", false
	ph.reload, ph.regain = never, never
	e.pace = ph.paceWas
	e.forgetFall(x)
	e.tell(Event{Kind: EvWithdrawn, Text: fmt.Sprintf(
		"break withdrawn: the reading dropped out for %.3g ms; look at the sensor's cable", float64(lasted)/float64(time.Millisecond))})
	e.enter(ph.was, string(ph.was)+": there was no break")
	return true
}

// backSince is the first of the newest readings that are at the level again.
func (e *Engine) backSince(level float64) time.Duration {
	t := e.t
	if e.noisy() {
		return t
	}
	for i := e.ringN - 1; i >= max(0, e.ringN-ringCount); i-- {
		m := e.ring[i&(ringCount-1)]
		if e.above(m.p) < fallHigh*level {
			break
		}
		t = m.t
	}
	return t
}
