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
		e.fellUnseen()
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
	c := &e.cells
	newest, oldest := c.n-1, c.oldest()
	if newest <= oldest {
		return shape{}, false
	}
	at := func(i int) time.Duration { return c.at(i).t }
	x := func(i int) float64 { return e.above(c.at(i).p) }
	edgeAt := func(i int) moment { return moment{t: c.at(i).t, raw: c.at(i).raw, p: c.at(i).p} }

	// Where it began: the view lags by its own length.
	span := e.interval() * time.Duration(e.view.n)
	high := newest
	for high > oldest && e.above(c.around(high, span)) < fallHigh*f.level && e.t-at(high) < noisySlow {
		high--
	}
	if e.t-at(high) >= noisySlow {
		return shape{from: fallHigh, to: fallLow, level: f.level, est: e.t - at(high), edge: edgeAt(high)}, true
	}
	begin := at(high) - span
	before := f.level
	if m, ok := c.mean(begin-noisyWindow, begin); ok {
		before = e.above(m)
	}
	if m, ok := c.mean(begin-noisyWindow/5, (begin+at(high))/2); ok {
		before = max(before, e.above(m)) // it broke in the middle of a stroke
	}
	after := x(newest)
	if m, ok := c.mean(e.t-noisyWait/2, e.t); ok {
		after = e.above(m)
	}
	if !(after < fallTrigger*before) {
		return shape{}, false
	}
	s = shape{from: fallHigh, to: fallLow, level: before}
	y := func(i int) float64 { return (x(i) - after) / (before - after) }

	first := newest
	for first > oldest && at(first-1) > begin {
		first--
	}
	area, last := 0.0, begin
	for i := first; i <= newest; i++ {
		area += y(i) * (at(i) - last).Seconds()
		last = at(i)
	}
	middle := begin + time.Duration(area*float64(time.Second))
	off := 0.0
	last = begin
	for i := first; i <= newest; i++ {
		dt := (at(i) - last).Seconds()
		last = at(i)
		if max(at(i)-middle, middle-at(i)) > noisyReach {
			continue
		}
		if at(i) <= middle {
			off += (1 - y(i)) * dt
		} else {
			off += y(i) * dt
		}
		high, over := c.mean(at(i)-noisyStep, at(i)-noisyStep/5)
		low, under := c.mean(at(i)+noisyStep/5, at(i)+noisyStep)
		if over && under { // not where a hole left no readings
			s.sudden = max(s.sudden, (high-low)/(before-after))
		}
	}
	s.est = time.Duration(max(0, 0.8*4*off) * float64(time.Second))
	start := middle - time.Duration(float64(s.est)/(fallHigh-fallLow)/2)
	edge := first
	for edge < newest && at(edge) < start {
		edge++
	}
	s.edge = edgeAt(edge)
	s.ratio = math.Inf(1)
	if load := e.loadRate(s.edge.t, 0, before); load > 0 {
		s.ratio = (fallHigh - fallLow) * before / max(s.est, e.interval(), 1).Seconds() / load
	}
	return s, true
}
