package pull

import (
	"fmt"
	"math"
	"time"

	"draghand/internal/si"
)

// window is what some seconds of readings say together.
type window struct {
	n         int
	p, raw    float64 // means; p in Pa, absolute
	sd        float64 // Pa
	drift     float64 // mean of the newer half less that of the older, Pa
	driftSD   float64 // what the noise alone makes of drift, Pa
	long      bool    // it reaches back far enough, without a hole
	tooFew    bool
	fromFirst time.Duration
}

// lately sums up the closed buckets of the last span, none of them from before
// since.
func (e *Engine) lately(span, since time.Duration) window {
	b := &e.buckets
	var w window
	newest := b.closed - 1
	if newest < 0 {
		return w
	}
	end := b.at(newest).last
	var sum, sq, raw, lateSum float64
	var lateN int
	for i := newest; i >= b.oldest(); i-- {
		k := b.at(i)
		if k.first < since || k.hole {
			break
		}
		w.n += k.n
		sum += k.sum
		sq += k.sq
		raw += k.rawSum
		if end-k.first <= span/2 {
			lateSum += k.sum
			lateN += k.n
		}
		w.fromFirst = k.first
		if end-k.first >= span {
			w.long = true
			break
		}
	}
	early := w.n - lateN
	if w.n < zeroReadings || early == 0 || lateN == 0 {
		w.tooFew = true
		return w
	}
	n := float64(w.n)
	w.p = b.ref + sum/n
	w.raw = b.rawRef + raw/n
	w.sd = math.Sqrt(max(0, (sq-sum*sum/n)/(n-1)))
	w.drift = lateSum/float64(lateN) - (sum-lateSum)/float64(early)
	w.driftSD = w.sd * math.Sqrt(1/float64(lateN)+1/float64(early))
	return w
}

// quietLimit is the largest SD of readings that count as quiet, Pa.
func (e *Engine) quietLimit() float64 {
	return max(zeroQuietCounts*e.step, zeroQuietRange*e.span)
}

// quiet says whether a window is quiet.
func (e *Engine) quiet(w window) bool {
	return w.long && !w.tooFew && w.sd <= e.quietLimit() && math.Abs(w.drift) <= e.driftLimit(w)
}

// driftLimit is how far the halves of a quiet window may lie apart, Pa.
func (e *Engine) driftLimit(w window) float64 {
	return zeroDrift*e.quietLimit() + zeroDriftNoise*w.driftSD
}

// unquiet says why a window is not quiet, in words.
func (e *Engine) unquiet(w window) string {
	switch {
	case !w.long || w.tooFew:
		return fmt.Sprintf("fewer than %g s of readings without a hole", zeroWindow.Seconds())
	case w.sd > e.quietLimit():
		return fmt.Sprintf("the readings are not quiet (standard deviation %s, %s allowed)",
			fine(w.sd, e.units), fine(e.quietLimit(), e.units))
	}
	return fmt.Sprintf("the readings drift (%s within %g s)", fine(w.drift, e.units), zeroWindow.Seconds())
}

// expectedZero is where a zero is to be expected, and how far off it may lie.
func (e *Engine) expectedZero() (at, within float64) {
	if e.zero.Set {
		return e.zeroAt, zeroNearLast * e.span
	}
	if e.cfg.LastZero != nil {
		if p, sig := e.chain.Pressure(*e.cfg.LastZero); sig.Valid() {
			return float64(p), zeroNearLast * e.span
		}
	}
	return 0, zeroNearOwn * e.span
}

// near says whether a mean may be a zero, and why not.
func (e *Engine) near(w window) (why string) {
	at, within := e.expectedZero()
	if off := w.p - at; math.Abs(off) > within {
		return fmt.Sprintf("the readings lie %s from the expected zero, %s allowed: is the rig free of load?",
			fine(off, e.units), fine(within, e.units))
	}
	return ""
}

// findBase keeps the lowest plausible level while there is no zero, so that a
// sensor with an honest offset does not count as loaded from the start.
func (e *Engine) findBase() {
	at, within := e.expectedZero()
	p := e.buckets.mean(e.buckets.closed - 1)
	if math.Abs(p-at) > within {
		return
	}
	if !e.haveBase || p < e.base {
		e.base, e.haveBase = p, true
	}
	if e.slackStats.pairs >= 10 {
		e.setNoise(e.slackStats.sd() * e.perRaw)
	}
}

// firstZero takes the zero from the first quiet 2 s.
func (e *Engine) firstZero() {
	w := e.lately(zeroWindow, 0)
	if !e.quiet(w) {
		return
	}
	if why := e.near(w); why != "" {
		if !e.zeroTold {
			e.zeroTold = true
			e.tell(Event{Kind: EvZero, Text: "no zero taken: " + why})
		}
		return
	}
	e.takeZero(w, "quiet")
}

// askedZero takes the zero that the person asked for, or says why not.
func (e *Engine) askedZero() {
	why := ""
	w := e.lately(zeroWindow, 0)
	switch {
	case e.phase.now != Slack || e.phase.over != never:
		why = "a zero is only taken before the load"
	case !e.sees():
		why = "the force cannot be seen"
	case !e.quiet(w):
		why = e.unquiet(w)
	default:
		why = e.near(w)
	}
	if why != "" {
		e.tell(Event{Kind: EvZero, Text: "no zero taken: " + why})
		return
	}
	e.takeZero(w, "asked")
}

func (e *Engine) takeZero(w window, quality string) {
	first := !e.zero.Set
	p, _ := e.chain.Pressure(w.raw)
	e.zero = Zero{Set: true, Raw: w.raw, Pressure: p, SD: si.Pressure(w.sd), T: e.t, Quality: quality}
	e.zeroAt = float64(p)
	e.setNoise(w.sd)
	e.screenLimits()
	if first {
		e.hand.restart() // what it showed until now was the sensor's own offset
	}
	e.tell(Event{Kind: EvZero, Text: fmt.Sprintf("zero taken: %s by the sensor's own line, noise %s",
		fine(float64(p), e.units), fine(w.sd, e.units))})
}

// zeroReturn compares the zero after the pull with the one before.
func (e *Engine) zeroReturn() {
	ph := &e.phase
	if !ph.low || e.zero.HasReturn || !e.zero.Set {
		return
	}
	since := ph.lowSince + zeroReturnWait
	w := e.lately(zeroReturnWindow, since)
	if !e.quiet(w) {
		return
	}
	e.zero.Return, e.zero.HasReturn = si.Pressure(w.p-e.zeroAt), true
	e.tell(Event{Kind: EvZero, Text: "zero after the pull: " + fine(w.p-e.zeroAt, e.units) + " from the zero before"})
}

// fine writes a small pressure with more decimals than a reading deserves,
// since it is the spread that is looked at.
func fine(p float64, u si.System) string {
	s := si.Pressure(p).In(u)
	s.Decimals++
	return s.String()
}
