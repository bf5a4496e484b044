package pull

// atPeak counts the gaps that may have hidden the largest force. One that began
// near it is forgotten once the drag hand is seen to move up again: then the
// force was larger later, in sight.
type atPeak struct {
	gaps int
	over bool // the sensor was over its range while there was load
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
	if e.atPeak.gaps > 0 && e.look.since != never && e.t-e.look.since >= gapLooked {
		e.atPeak.gaps = 0
	}
}

// clippedNow notes a sensor that is over its range while there is load.
func (e *Engine) clippedNow() {
	if e.underway() || e.loaded() {
		e.atPeak.over = true
	}
}
