package pull

import (
	"fmt"
	"math"
	"time"

	"draghand/internal/si"
)

// fall is a fall of the force that is being watched: the spike-proof force is
// under half of what it was a moment ago.
type fall struct {
	on     bool
	at     time.Duration // when it was noticed
	first  time.Duration // when it was last at the level, at the latest
	level  float64       // Pa above the zero that it fell from
	rising bool          // the bar was still being loaded
	under  time.Duration // with a noisy sensor: when three quarters of it were gone, or never
	gapped bool          // the force could not be seen during it
	waits  bool          // it looks like a break; a dropout would be over in a moment
	snap   shape         // of it, while it waits
	lowest float64       // since it was noticed, never below nothing, Pa above the zero
}

// recentTop keeps the highest spike-proof level of the last moments. It is what
// a fall is held against: never the peak, which may lie 40 s back. It only looks
// back through the buckets when the highest has become too old.
func (e *Engine) recentTop() {
	ph := &e.phase
	if e.t-ph.recentAt <= fallWindow || e.ringN-ph.recentN < fallReadings {
		return
	}
	b := &e.buckets
	ph.recent, ph.recentAt, ph.recentN = e.above(e.level()), e.t, e.ringN
	n := e.ringN - 1 // readings before the open bucket, which holds the newest one
	for i, seen := b.closed-1, 0; i >= b.oldest(); i-- {
		k := b.at(i)
		if k.last < ph.armed || (e.t-k.last > fallWindow && seen >= fallReadings) {
			break
		}
		if top := e.above(k.top); top > ph.recent {
			ph.recent, ph.recentAt, ph.recentN = top, k.last, n
		}
		n -= k.n
		seen += k.n
	}
}

// watchFall looks for the end of a loading.
func (e *Engine) watchFall(x float64) {
	ph := &e.phase
	if e.cfg.Kind != Crush {
		e.watchSnap(x)
		if ph.now == Broken {
			return
		}
	}
	switch {
	case ph.fall.waits:
	case ph.fall.on && e.noisy():
		e.judgeNoisy(x)
	case ph.fall.on && x <= max(fallLow*ph.fall.level, e.threshold/2):
		e.judgeFall(e.fallShape(fallLow))
	case !ph.fall.on && x <= max(fallLow*ph.top, e.threshold/2):
		// Nothing that goes slowly needs telling at once, and it may be a dropout.
		if e.held(&ph.gone, dropoutMost) {
			e.judgeSlow(ph.gone - ph.highAt)
		}
		return
	}
	ph.gone = never
}

// watchSnap notices a fast fall, and a break in it as soon as half of the force
// is gone.
func (e *Engine) watchSnap(x float64) {
	ph := &e.phase
	if ph.fall.waits {
		e.waitForBreak(x)
		return
	}
	if ph.fall.on {
		switch {
		case x >= fallHigh*ph.fall.level, e.t-ph.fall.at > fallForget && ph.fall.under == never:
			e.forgetFall(x)
		case e.holedAt >= ph.fall.first:
			ph.fall.gapped = true
		}
		return
	}
	level := ph.recent
	if x >= fallTrigger*level ||
		level < e.breakLeast() {
		return
	}
	ph.fall = fall{
		on: true, at: e.t, under: never, first: ph.recentAt, level: level,
		rising: e.rising(),
		gapped: e.holedAt >= ph.recentAt,
		lowest: max(x, 0),
	}
	if e.noisy() {
		return // half of it says too little
	}
	if s := e.fallShape(fallTrigger); e.snapped(s) {
		ph.fall.waits, ph.fall.snap = true, s
	}
}

// breakLeast is from how high a bar may break, Pa above the zero.
func (e *Engine) breakLeast() float64 {
	share := fallOfPeak
	if e.noisy() {
		share = fallOfNoisy
	}
	return max(fallLeast*e.threshold, fallNoise*e.view.sd, share*e.phase.top)
}

// rising says that the load was still going up just now.
func (e *Engine) rising() bool {
	return e.t-e.hand.at <= risingFor
}

// shape is what the readings of a fall look like.
type shape struct {
	from   float64       // fraction of the level that it was followed from
	to     float64       // and to
	est    time.Duration // between both, between the readings by straight lines
	least  time.Duration // it took no less: between the first and last reading inside
	ratio  float64       // rate of fall over load rate before
	level  float64       // Pa above the zero just before
	edge   moment        // first reading of the fall
	sudden float64       // with a noisy sensor: most of the level that went within noisyStep
}

// share is how much of a fall from 90 to 10 % was followed.
func (s shape) share() float64 { return (s.from - s.to) / (fallHigh - fallLow) }

// whole is the 90 to 10 % fall time, by a straight line where less was followed.
func (s shape) whole() time.Duration {
	return time.Duration(min(float64(s.est)/s.share(), float64(leadMost)))
}

// fallShape follows the fall that is on in the readings, back from the newest
// one.
func (e *Engine) fallShape(to float64) shape {
	s := e.shapeFrom(e.phase.fall.level, to)
	if n := e.ringN; n > 0 && s.level > 0 && s.level < necked*e.phase.fall.level {
		// It necked before it let go: what counts is how it let go.
		now := e.above(e.ring[(n-1)&(ringCount-1)].p) / s.level
		if to = max(to, now); to <= endFall {
			return e.shapeFrom(s.level, to)
		}
	}
	return s
}

// shapeFrom follows the fall from a level down to a fraction of it.
func (e *Engine) shapeFrom(level, to float64) shape {
	s := shape{from: fallHigh, to: to, level: level}
	n := e.ringN
	oldest := max(0, n-ringCount)
	x := func(i int) float64 { return e.above(e.ring[i&(ringCount-1)].p) }
	at := func(i int) time.Duration { return e.ring[i&(ringCount-1)].t }

	high := n - 1 // last reading at or over 90 %
	for high > oldest && x(high) < fallHigh*level {
		high--
	}
	low := high // first one at or under the lower mark
	for low < n-1 && (low == high || x(low) > to*level) {
		low++
	}
	if low == high { // it did not fall
		s.edge = e.ring[high&(ringCount-1)]
		s.est = math.MaxInt64
		return s
	}
	if x(high) < fallHigh*level { // longer than the ring reaches back
		s.edge = e.ring[oldest&(ringCount-1)]
		s.est = e.t - s.edge.t
		s.least = s.est
		return s
	}
	t90 := crossing(at(high), x(high), at(high+1), x(high+1), fallHigh*level)
	tLow := crossing(at(low-1), x(low-1), at(low), x(low), to*level)
	s.est = max(0, tLow-t90)
	if low-high > 2 {
		s.least = at(low-1) - at(high+1)
	}

	edge := e.fallEdge(high, low, t90, &s)
	s.edge = e.ring[edge&(ringCount-1)]
	if load := e.loadRate(s.edge.t, edge, s.level); s.est > 0 && load > 0 {
		s.ratio = (fallHigh - to) * level / s.est.Seconds() / load
	} else {
		s.ratio = math.Inf(1)
	}
	return s
}

// fallEdge finds the first reading of a fall that passed 90 % after the reading
// high and its lower mark at the reading low, and sets the level before it.
//
// First by level: going back from low, the first reading that is not under the
// mean of the last 50 ms before by more than the noise. Where the bar necked on
// its way that is too early, since the force fell before as well, only slower. So
// then by rate: forward to where it falls at a tenth of the steepest, taken over
// an eighth of the fall, lest noise be taken for a fall at high rates; and from
// there by level again.
func (e *Engine) fallEdge(high, low int, t90 time.Duration, s *shape) int {
	x := func(i int) float64 { return e.above(e.ring[i&(ringCount-1)].p) }
	at := func(i int) time.Duration { return e.ring[i&(ringCount-1)].t }
	oldest := max(0, e.ringN-ringCount)

	start := t90 - time.Duration(float64(s.est)*(1-s.from)/(s.from-s.to))
	sum, count := 0.0, 0
	for i := high; i >= oldest && count < levelMost && start-at(i) <= levelWindow; i-- {
		if at(i) <= start {
			sum += x(i)
			count++
		}
	}
	s.level = x(high)
	if count > 0 {
		s.level = sum / float64(count)
	}
	band := max(edgeNoise*e.sd, edgeCounts*e.step, edgeShare*s.level)
	first := low
	for first > oldest+1 && x(first-1) < s.level-band {
		first--
	}

	lag := max(1, (low-high)/edgeParts)
	by := e.steepFrom(first, low, lag)
	for fine := lag / 4; fine >= 1; fine /= 4 {
		by = e.steepFrom(by, min(by+lag, low), fine)
	}
	if by == first {
		return first
	}
	sum, count = 0, 0
	for i := by - 1; i >= max(oldest, by-lag); i-- {
		sum += x(i)
		count++
	}
	s.level = sum / float64(count)
	edge := low
	for edge > by && x(edge-1) < s.level-band {
		edge--
	}
	return edge
}

// steepFrom is the first reading from first on into which the force falls at a
// tenth of the steepest rate until low, both taken over lag readings.
func (e *Engine) steepFrom(first, low, lag int) int {
	rate := func(i int) float64 {
		from, to := e.ring[(i-1)&(ringCount-1)], e.ring[min(i-1+lag, low)&(ringCount-1)]
		return (from.p - to.p) / max(to.t-from.t, 1).Seconds()
	}
	steepest := 0.0
	for i := first; i <= low; i++ {
		steepest = max(steepest, rate(i))
	}
	for first < low && rate(first) < edgeRate*steepest {
		first++
	}
	return first
}

// crossing is when a straight line between two readings passes the level.
func crossing(t0 time.Duration, x0 float64, t1 time.Duration, x1, level float64) time.Duration {
	if x0 == x1 {
		return t1
	}
	k := min(max((x0-level)/(x0-x1), 0), 1)
	return t0 + time.Duration(k*float64(t1-t0))
}

// loadRate is how fast the load rose before the reading edge, at t, Pa/s: the slope of
// the last 5 s, or how fast the upper half was reached if that is faster, so that
// the two flanks of one glitch are equals.
func (e *Engine) loadRate(t time.Duration, edge int, level float64) float64 {
	b := &e.buckets
	rate, half := 0.0, never
	for i := edge - 1; i >= max(0, e.ringN-ringCount) && !e.noisy(); i-- {
		m := e.ring[i&(ringCount-1)]
		if t-m.t > rateWindow {
			break
		}
		if e.pace.dropped(m.t, m.t) {
			continue
		}
		if half == never && e.above(m.p) <= level/2 {
			half = m.t
			break
		}
	}
	for i := b.closed - 1; i >= b.oldest(); i-- {
		k := b.at(i)
		if k.last >= t || e.pace.dropped(k.first, k.last) {
			continue
		}
		if low := k.min; half == never && (e.above(low) <= level/2 && !e.noisy() || e.above(b.mean(i)) <= level/2) {
			half = k.last
		}
		if d := (t - k.last).Seconds(); d >= levelWindow.Seconds() {
			rate = math.Abs(level-e.above(b.mean(i))) / d
		}
		if t-k.last > rateWindow {
			break
		}
	}
	if half != never && t > half {
		rate = max(rate, level/2/(t-half).Seconds())
	}
	return rate
}

// snapped says whether a fall was as fast as only a break is. With few readings
// its time is only known to lie between the last one above and the first one
// below; then it counts as fast if it can have been, and if a hand on a valve
// would have left more readings.
func (e *Engine) snapped(s shape) bool {
	part := s.share()
	return !e.phase.fall.gapped && s.level >= e.breakLeast() &&
		float64(s.least) <= part*float64(breakTime) &&
		float64(s.est) < part*float64(letOffTime) &&
		s.ratio >= fallRatio
}

// judgeFall names a fall that went down to 10 % and was not taken for a break on
// its way.
func (e *Engine) judgeFall(s shape) {
	f := &e.phase.fall
	switch {
	case s.level < e.breakLeast():
		e.forgetFall(e.above(e.level())) // the tail of a slower one
	case e.snapped(s):
		e.declareBreak(s)
	case f.gapped:
		e.fellUnseen()
	case s.least > breakTime && s.whole() >= letOffTime && !(f.rising && s.ratio >= fallRatioUp):
		e.judgeSlow(s.whole())
	case f.rising && s.ratio >= fallRatioUp && s.whole() < risingFall:
		// Nobody opens the valve while pumping.
		e.declareBreak(s)
	default:
		e.setOutcome(Unclear, fmt.Sprintf("unclear: the force fell within %.2f s, a break or a quick let-off", s.whole().Seconds()))
	}
}

// judgeSlow names a fall that a person can have made with the valve, or that a
// bar makes that necks to nothing.
func (e *Engine) judgeSlow(took time.Duration) {
	now := e.t
	if e.phase.gone != never {
		now = e.phase.gone
	}
	switch {
	case e.fading(fallLow*e.phase.top, now):
		e.setOutcome(Faded, "faded: the force went down without a snap")
	case e.cfg.Kind == Crush, took <= letOffSlow:
		e.setOutcome(LetOff, "let off")
	default:
		e.setOutcome(Unclear, fmt.Sprintf("unclear: the force faded or was let off over %.0f s", took.Seconds()))
	}
}

// fellUnseen ends a loading of which nobody knows how it ended.
func (e *Engine) fellUnseen() {
	e.unseen++
	e.fellInGap()
	e.setOutcome(Unclear, "unclear: the force fell while it could not be seen")
}

// declareBreak takes a fall for a break, provisionally.
func (e *Engine) declareBreak(s shape) {
	ph := &e.phase
	at := e.point(spot{t: s.edge.t, raw: s.edge.raw, p: s.edge.p})
	from := si.Force(number(float64(e.chain.Specimen(si.Pressure(s.level)))))
	ph.broke, ph.timed = true, false
	ph.lowest = math.Inf(1)
	if ph.fall.waits {
		ph.lowest, ph.fall.waits = ph.fall.lowest, false
	}
	e.apart = e.apartBy(e.ringFrom(s.edge.t))
	ph.brk = Break{T: s.edge.t, Specimen: from, Provisional: true}
	if s.to == fallLow {
		ph.timed, ph.brk.Fall = true, s.whole()
	}
	ph.was, ph.paceWas = ph.now, e.pace
	text := fmt.Sprintf("break at %s", from.Text(e.units))
	if e.hand.untold {
		e.tellPeak()
	}
	e.tell(Event{Kind: EvBreak, Point: at, Text: text})
	e.events[len(e.events)-1].T = s.edge.t
	e.setOutcome(Broken, "broken")
}
