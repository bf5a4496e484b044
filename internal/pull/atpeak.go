package pull

// atPeak counts the gaps that may have hidden the largest force. One that began
// near it is forgotten once the drag hand is seen to move up again: then the
// force was larger later, in sight.
type atPeak struct {
	gaps int
	over bool // the sensor was over its range while there was load, for sure
	near bool // one reading was, near the largest force so far
	run  int  // readings over the range, one after the other, up to now
	from float64
}

// gapBegins looks at a gap as it begins: e.level is still the force before it.
func (e *Engine) gapBegins() {
	// The drag hand is the largest of many; the level is no such maximum.
	if e.underway() && e.above(e.level()) >= gapAtPeak*(e.hand.level-e.peakBias()) {
		e.atPeak.gaps++
	}
}

// fellInGap counts a gap in which the force went, wherever it began: how high it
// was before nobody saw.
func (e *Engine) fellInGap() {
	if e.atPeak.gaps == 0 {
		e.atPeak.gaps = 1
	}
}

// handMoved forgets the gaps before, unless what moved the drag hand are the
// first readings after one: those may be on the way down.
func (e *Engine) handMoved() {
	if (e.atPeak.gaps > 0 || e.atPeak.near) && e.look.since != never && e.t-e.look.since >= gapLooked {
		e.atPeak.gaps, e.atPeak.near = 0, false
	}
}

// clippedNow notes a sensor that is over its range while there is load. Two readings
// in a row are believed, as everywhere; one is only where the force may have been
// larger then than it was ever seen: with the load near the drag hand, until that
// moves on in sight, or where the force is gone in the next reading.
func (e *Engine) clippedNow() {
	if !e.underway() && !e.loaded() {
		return
	}
	a := &e.atPeak
	if a.run++; a.run > 1 {
		a.over = true
		return
	}
	a.from = e.above(e.level())
	if a.from >= gapAtPeak*(e.hand.level-e.peakBias()) {
		a.near = true
	}
}

// clippedNoMore takes the first valid reading after some that were over the range.
func (e *Engine) clippedNoMore(p float64) {
	a := &e.atPeak
	if a.run > 0 && e.above(p) < gapAtPeak*a.from {
		a.over = true
	}
	a.run = 0
}

// overRange says whether the largest force may have been over the range.
func (e *Engine) overRange() bool { return e.atPeak.over || e.atPeak.near || e.atPeak.run > 0 }
