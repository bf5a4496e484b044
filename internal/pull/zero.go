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

// unquiet says why a window is not quiet, and what to do.
func (e *Engine) unquiet(w window) string {
	switch {
	case !w.long || w.tooFew:
		return fmt.Sprintf("fewer than %g s of readings without a hole: wait, then ask again", zeroWindow.Seconds())
	case w.sd > e.quietLimit():
		return fmt.Sprintf("the readings are not quiet (standard deviation %s, %s allowed): keep the rig still, look at the sensor's cable",
			fine(w.sd, e.units), fine(e.quietLimit(), e.units))
	}
	return fmt.Sprintf("the readings drift (%s within %g s): wait until they stand still", fine(w.drift, e.units), zeroWindow.Seconds())
}

// lastZero is the zero in force or the one of the pull before, in Pa.
func (e *Engine) lastZero() (at float64, ok bool) {
	if e.zero.Set {
		return e.zeroAt, true
	}
	if e.cfg.LastZero != nil {
		if p, sig := e.chain.Pressure(*e.cfg.LastZero); sig.Valid() {
			return float64(p), true
		}
	}
	return 0, false
}

// far says why a mean is no zero to be taken unasked, and what to do; empty where
// it is one.
func (e *Engine) far(p float64) (why string) {
	last, ok := e.lastZero()
	if !ok {
		return e.farFromOwn(p)
	}
	if off, within := p-last, zeroNearLast*e.span; math.Abs(off) > within {
		return fmt.Sprintf("the readings lie %s from the last zero, %s allowed: take all load off the rig; if there is none, ask for the zero",
			fine(off, e.units), fine(within, e.units))
	}
	return ""
}

// farFromOwn says why a mean cannot be a zero at all by the sensor's own line.
func (e *Engine) farFromOwn(p float64) (why string) {
	within := zeroNearOwn * e.span
	if math.Abs(p) <= within {
		return ""
	}
	return fmt.Sprintf("the readings lie %s from the sensor's own zero, %s allowed: take all load off the rig; if there is none, look at the sensor and at its numbers in the rig file",
		fine(p, e.units), fine(within, e.units))
}

// findBase keeps the lowest plausible level while there is no zero, so that a
// sensor with an honest offset does not count as loaded from the start, nor one
// that has wandered off the last zero: it would be loading before anybody could
// ask for a zero, in this pull and in every one after it.
func (e *Engine) findBase() {
	p := e.buckets.mean(e.buckets.closed - 1)
	if e.noisy() {
		p = e.level()
	}
	if math.Abs(p) > zeroNearOwn*e.span {
		last, ok := e.lastZero()
		if !ok || math.Abs(p-last) > zeroNearLast*e.span {
			return
		}
	}
	if !e.haveBase || p < e.base {
		e.base, e.haveBase = p, true
	}
}

// firstZero takes the zero from the first quiet 2 s. Why it does not is put into
// the state anew every second; a zero that lies too far off is told once as well.
func (e *Engine) firstZero() {
	if e.cfg.Rig.Sensor.Zeroed { // a preload would be taken for nothing
		return
	}
	w := e.lately(zeroWindow, 0)
	quiet := e.quiet(w)
	if quiet && e.zeroFits(w.p) {
		e.takeZero(w, "quiet", "")
		return
	}
	if !w.long || w.tooFew || (e.zero.Refused != "" && e.t-e.refusedAt < refusedPause) {
		return
	}
	if !quiet {
		e.refused(e.unquiet(w))
		return
	}
	e.refused(e.far(w.p))
	if !e.zeroTold {
		e.zeroTold = true
		e.tell(Event{Kind: EvZero, Text: "no zero taken: " + e.zero.Refused})
	}
}

// zeroFits is far without words.
func (e *Engine) zeroFits(p float64) bool {
	if last, ok := e.lastZero(); ok {
		return math.Abs(p-last) <= zeroNearLast*e.span
	}
	return math.Abs(p) <= zeroNearOwn*e.span
}

func (e *Engine) refused(why string) { e.zero.Refused, e.refusedAt = why, e.t }

// askedZero takes the zero that the person asked for, or says why not. The
// person stands beside the rig and can see that it is free of load: what is far
// from the last zero passes where it may be the sensor's own.
func (e *Engine) askedZero() {
	why, though := "", ""
	w := e.lately(zeroWindow, 0)
	switch {
	case e.phase.now != Slack || e.phase.over != never:
		why = "a zero is only taken before the load: let the load off and take it at the start of the next pull"
	case !e.sees():
		why = "the force cannot be seen: look at the sensor and its cable, then ask again"
	case !e.quiet(w):
		why = e.unquiet(w)
	case e.zeroFits(w.p):
	default:
		if why = e.farFromOwn(w.p); why == "" {
			last, _ := e.lastZero()
			though = fmt.Sprintf(" as asked, though %s from the last zero (%s without asking)",
				fine(w.p-last, e.units), fine(zeroNearLast*e.span, e.units))
		}
	}
	if why != "" {
		e.refused(why)
		e.tell(Event{Kind: EvZero, Text: "no zero taken: " + why})
		return
	}
	e.takeZero(w, "asked", though)
}

// takeZero puts a zero in force. though is added to what is told of it.
func (e *Engine) takeZero(w window, quality, though string) {
	first := !e.zero.Set
	p, _ := e.chain.Pressure(w.raw)
	e.zero = Zero{Set: true, Raw: w.raw, Pressure: p, SD: si.Pressure(w.sd), Readings: w.n, T: e.t, Quality: quality}
	e.zeroAt = float64(p)
	e.setNoise(w.sd)
	e.screenLimits()
	if first {
		e.hand.restart() // what it showed until now was the sensor's own offset
	}
	e.tell(Event{Kind: EvZero, Text: fmt.Sprintf("zero taken%s: %s by the sensor's own line, noise %s",
		though, fine(float64(p), e.units), fine(w.sd, e.units))})
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
	if ph.outcome == Faded && w.p-e.zeroAt > zeroReturnFaded*e.hand.level {
		return // what stands still is what a thread of the bar still holds
	}
	e.zero.Return, e.zero.HasReturn = si.Pressure(w.p-e.zeroAt), true
	e.tell(Event{Kind: EvZero, Text: "zero after the pull: " + fine(w.p-e.zeroAt, e.units) + " from the zero before"})
}

// belowZero notes a force far under the zero: it was taken under load that is off
// now, or the sensor has moved. It is told once of each zero.
func (e *Engine) belowZero() {
	x := e.above(e.level())
	if !e.zero.Set || x >= -e.threshold {
		e.belowSince = never
		return
	}
	if !e.held(&e.belowSince, belowFor) {
		return
	}
	f := si.Force(number(float64(e.chain.Specimen(si.Pressure(x)))))
	if e.zero.Below == 0 {
		e.tell(Event{Kind: EvZero, Text: "the force reads " + f.Text(e.units) + ": the zero was taken under load, or the sensor has moved: what was read since that zero is too low by as much"})
	}
	e.zero.Below = min(e.zero.Below, f)
}

// fine writes a small pressure with more decimals than a reading deserves,
// since it is the spread that is looked at.
func fine(p float64, u si.System) string {
	s := si.Pressure(p).In(u)
	s.Decimals++
	return s.String()
}
