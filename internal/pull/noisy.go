package pull

import (
	"math"
	"time"
)

// judgeNoisy follows a fall of a noisy force, whose view is x. No single reading
// tells when it passed 90 and 10 %, but all of them together tell how long it
// took, once there are some after it.
func (e *Engine) judgeNoisy(x float64) {
	f := &e.phase.fall
	if f.under == never {
		if x > noisyUnder*f.level {
			return
		}
		f.under = e.t
	}
	if e.t-f.under >= noisyWait {
		e.nameNoisy()
	}
}

// nameNoisy names the fall that is on.
func (e *Engine) nameNoisy() {
	ph := &e.phase
	s, fell := e.noisyShape()
	switch {
	case !fell || s.level < e.breakLeast():
		e.forgetFall(e.above(e.level()))
	case ph.fall.gapped:
		e.setOutcome(Unclear, "unclear: the force fell while it could not be seen")
	case s.ratio >= fallRatio && (s.est <= noisyBreak || s.est <= noisyNecked && s.sudden >= noisySudden || s.sudden >= noisySurely):
		e.declareBreak(s)
	case s.est >= noisyLetOff:
		e.judgeSlow(s.est)
	default:
		e.setOutcome(Unclear, "unclear: the force fell too fast for a hand on a valve and too slowly for a break")
	}
}

// noisyShape measures the fall that is on by areas. With the level before at 1
// and the one after at 0, the area under the readings ends at the middle of the
// fall, and what the readings lie off a sudden step there is a quarter of the
// time that a straight fall takes; 90 to 10 % are four fifths of that. Only what
// is near the middle counts, lest necking before a break does. fell is
// false where most of the force is there.
func (e *Engine) noisyShape() (s shape, fell bool) {
	f := &e.phase.fall
	oldest := max(0, e.ringN-ringCount, e.sinceHole)
	newest := e.ringN - 2 // the last one that is known not to stand alone
	if newest <= oldest {
		return shape{}, false
	}
	at := func(i int) time.Duration { return e.ring[i&(ringCount-1)].t }
	x := func(i int) float64 { return e.above(e.ring[i&(ringCount-1)].p) }

	// Where it began: the view lags by its own length.
	high := newest
	for high > oldest && e.near(high) < fallHigh*f.level && e.t-at(high) < noisySlow {
		high--
	}
	begin := at(high) - e.interval()*time.Duration(e.view.n)
	if e.t-at(high) >= noisySlow {
		return shape{from: fallHigh, to: fallLow, level: f.level, est: e.t - at(high), edge: e.ring[high&(ringCount-1)]}, true
	}
	mean := func(from, to time.Duration) float64 {
		sum, n := 0.0, 0
		for i := newest; i >= oldest && at(i) >= from; i-- {
			if at(i) <= to {
				sum += x(i)
				n++
			}
		}
		if n == 0 {
			return math.NaN()
		}
		return sum / float64(n)
	}
	before, after := mean(begin-noisyWindow, begin), mean(e.t-noisyWait/2, e.t)
	if late := mean(begin-noisyWindow/5, (begin+at(high))/2); late > before {
		before = late // it broke in the middle of a stroke
	}
	if after != after { // only faults of late
		after = x(newest)
	}
	if !(after < fallTrigger*before) {
		return shape{}, false
	}
	s = shape{from: fallHigh, to: fallLow, level: before}

	area, last := 0.0, begin
	first := newest
	for first > oldest && at(first-1) > begin {
		first--
	}
	for i := first; i <= newest; i++ {
		area += (x(i) - after) / (before - after) * (at(i) - last).Seconds()
		last = at(i)
	}
	middle := begin + time.Duration(area*float64(time.Second))
	off := 0.0
	last = begin
	for i := first; i <= newest; i++ {
		y, dt := (x(i)-after)/(before-after), (at(i) - last).Seconds()
		last = at(i)
		if at(i) <= middle {
			y = 1 - y
		}
		if max(at(i)-middle, middle-at(i)) <= noisyReach {
			off += y * dt
		}
	}
	s.est = time.Duration(max(0, 0.8*4*off) * float64(time.Second))
	for i := first; i <= newest; i++ {
		drop := mean(at(i)-noisyStep, at(i)-noisyStep/5) - mean(at(i)+noisyStep/5, at(i)+noisyStep)
		if share := drop / (before - after); share > s.sudden { // not where a hole left no readings
			s.sudden = share
		}
	}
	start := middle - time.Duration(float64(s.est)/(fallHigh-fallLow)/2)
	edge := first
	for edge < newest && at(edge) < start {
		edge++
	}
	s.edge = e.ring[edge&(ringCount-1)]
	s.ratio = math.Inf(1)
	if load := e.loadRate(edge, before); load > 0 {
		s.ratio = (fallHigh - fallLow) * before / max(s.est, e.interval(), 1).Seconds() / load
	}
	return s, true
}
