package pull

import (
	"fmt"

	"draghand/internal/si"
)

// hold is a proof being held.
type hold struct {
	on    bool
	state Hold
	level float64 // Pa above the zero
	last  spot
}

// pressureFor is the pressure above the zero at a force on the specimen, Pa.
func (e *Engine) pressureFor(f si.Force) float64 {
	if e.perPa <= 0 {
		return 0
	}
	return number(float64(f-e.chain.Specimen(0)) / e.perPa)
}

// holdLowest keeps the lowest force of the hold. It looks holdLag back, from a
// force that still holds: the first of a let-off is no loss.
func (e *Engine) holdLowest() {
	h := &e.phase.hold
	if e.phase.now != Holding || e.above(e.level()) < holdBand*h.level {
		return
	}
	i := e.buckets.back(e.t - holdLag)
	if e.buckets.at(i).first < h.state.From {
		return
	}
	p := si.Pressure(number(e.above(e.buckets.mean(i))))
	h.state.Lowest = min(h.state.Lowest, si.Force(number(float64(e.chain.Specimen(p)))))
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
		h.on, h.last = true, e.mid
		h.state = Hold{From: e.t, Force: f, Lowest: f}
		if e.cfg.Target > 0 {
			h.state.Force = e.cfg.Target
		}
		e.enter(Holding, "holding "+h.state.Force.Text(e.units))
		return
	}
	if x >= holdBand*h.level {
		h.state.For += e.t - h.last.t
	}
	h.last = e.mid
	if e.cfg.Hold > 0 && !h.state.Met && h.state.For >= e.cfg.Hold {
		h.state.Met = true
		e.tell(Event{Kind: EvRemark, Text: fmt.Sprintf("held %s for %.0f s, lowest %s: let off slowly",
			h.state.Force.Text(e.units), h.state.For.Seconds(), h.state.Lowest.Text(e.units))})
	}
}
