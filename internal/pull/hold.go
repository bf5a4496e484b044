package pull

import (
	"fmt"
	"time"

	"draghand/internal/si"
)

// hold is a proof being held.
type hold struct {
	on    bool
	state Hold
	level float64       // Pa above the zero
	last  time.Duration // reading before
	// What was lowest of late. It counts once the force holds a moment later: the
	// beginning of the let-off is no loss.
	since      time.Duration
	late, prev si.Force
	// The same of what was lost from the highest.
	high               si.Force
	was                si.Force // when since began
	lateLost, prevLost float64
}

// pressureFor is the pressure above the zero at a force on the specimen, Pa.
func (e *Engine) pressureFor(f si.Force) float64 {
	return number(float64(e.chain.PressureForSpecimen(f)))
}

// stepHold follows a proof. With a target it is held from where it is reached;
// without one from where the load stopped rising.
func (e *Engine) stepHold(x float64) {
	h := &e.phase.hold
	if !h.on {
		target := e.pressureFor(e.cfg.Target)
		switch {
		case e.cfg.Target > 0 && x >= target:
			h.level = target
		case e.cfg.Target <= 0 && e.t-e.phase.grewAt >= pastPeakFor && x >= holdBand*e.phase.top:
			h.level = x
		default:
			return
		}
		f := e.point(e.mid).Specimen
		h.on, h.last, h.since, h.late, h.prev = true, e.t, e.t, f, f
		h.high, h.was, h.lateLost, h.prevLost = f, f, 0, 0
		h.state = Hold{From: e.t, Force: f, Lowest: f}
		if e.cfg.Target > 0 {
			h.state.Force = e.cfg.Target
		}
		e.enter(Holding, "holding "+h.state.Force.Text(e.units))
		return
	}
	now := e.point(e.mid).Specimen
	h.late = min(h.late, now)
	if h.high = max(h.high, now); h.high > 0 {
		h.lateLost = min(1, max(h.lateLost, float64((h.high-now)/h.high)))
	}
	if x >= holdBand*h.level {
		if d := e.t - h.last; d <= e.blindFor { // what was not seen was not held
			h.state.For += d
		}
		if e.t-h.since >= holdLag {
			h.lows(now, e.t)
		}
	} else if e.cfg.Hold > 0 && !h.state.Met && e.t-h.since >= holdLag {
		// Far under it before the time was up. A force that stands there has sunk; one
		// that goes on falling is being let off, unless it comes back.
		if now >= h.was-si.Force(holdStill)*h.state.Force {
			h.lows(now, e.t)
		} else {
			h.prev, h.prevLost = min(h.prev, h.late), max(h.prevLost, h.lateLost)
			h.late, h.lateLost, h.since, h.was = now, 0, e.t, now
		}
	}
	h.last = e.t
	if e.cfg.Hold > 0 && !h.state.Met && h.state.For >= e.cfg.Hold {
		h.state.Met = true
		e.tell(Event{Kind: EvRemark, Text: fmt.Sprintf("held %s for %.0f s, lowest %s: let off slowly",
			h.state.Force.Text(e.units), h.state.For.Seconds(), h.state.Lowest.Text(e.units))})
	}
}

// lows takes what was lowest a moment ago for what the force held went down to.
func (h *hold) lows(now si.Force, t time.Duration) {
	h.state.Lowest = min(h.state.Lowest, h.prev)
	h.prev, h.late, h.since, h.was = h.late, now, t, now
	h.state.Lost = max(h.state.Lost, h.prevLost)
	h.prevLost, h.lateLost = h.lateLost, 0
}
