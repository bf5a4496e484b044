package pull

import (
	"fmt"
	"time"

	"draghand/internal/si"
)

// dip is what the force does under its highest level of this loading: a rest
// between two strokes, a pause of the drive, an upper yield point or a slip.
// What it was is told by how the force comes back: elastically, as fast as it
// rose before, from a pause or a slip; slowly, while the metal hardens, from a
// yield drop. A dip from which it does not come back is no matter of this file.
type dip struct {
	top, low   spot
	topX, lowX float64       // Pa above the zero
	rate       float64       // Pa/s, the fastest pace until the top: where all was elastic
	near       time.Duration // when the force last was at the top but for the noise
	left       time.Duration // near, when it fell under the first of the levels
	deep       bool          // it stayed away for longer than the rest between two strokes
	n          int           // levels passed downwards
	rest       float64       // Pa, what the rests between the strokes before it lost
	crests     int           // of strokes until the top
	at         [dipLevels]time.Duration
}

// dipLevels are at 0.5, 1, 2 … 64 % under the top.
const dipLevels = 8

func dipLevel(k int) float64 { return dipLeast * float64(int(1)<<k) }

// restartDip begins with the newest spike-proof reading as the top.
func (e *Engine) restartDip(x float64) {
	d := &e.phase.dip
	d.top, d.low, d.topX, d.lowX = e.mid, e.mid, x, x
	d.rate, d.near = e.pace.fastest, e.stamp()
	d.deep, d.n, d.crests = false, 0, e.pace.n
	d.rest = e.strokes.rest()
}

// stepDip follows the dip with a spike-proof level.
func (e *Engine) stepDip(x float64) {
	d := &e.phase.dip
	if x > d.topX {
		switch {
		case d.deep:
			e.dipFilled()
		case d.n > 0 && e.t-d.left <= min(dropWithin, e.strokes.every/3):
			e.noteDrop()
		}
		e.restartDip(x)
		return
	}
	if x < d.lowX {
		d.low, d.lowX = e.mid, x
	}
	if depth := d.topX - d.lowX; d.n > 0 && depth >= slipLeast*d.topX && x >= d.lowX+depth*slipBack {
		e.slipped(depth, x)
	}
	band := e.dipBand(d.topX)
	if x >= d.topX-band {
		d.near = e.stamp()
		return
	}
	if d.n == 0 {
		d.left = d.near
	}
	for d.n < dipLevels && x < d.topX*(1-dipLevel(d.n)) {
		d.at[d.n] = e.stamp()
		d.n++
	}
	if e.t-d.near >= dipDeep {
		d.deep = true
	}
}

// stamp is the time of the level that is judged: a median may come out only
// after a hole.
func (e *Engine) stamp() time.Duration {
	if e.noisy() {
		return e.t
	}
	return e.mid.t
}

// dipBand is what a dip must fall to be one, under a top.
func (e *Engine) dipBand(top float64) float64 {
	return max(dipLeast*top, dipNoise*e.view.sd, dipCounts*e.step)
}

// dipFilled names a dip as the force rises over its top again.
func (e *Engine) dipFilled() {
	d := &e.phase.dip
	depth := d.topX - d.lowX
	if d.n == 0 || !(d.rate > 0) || !e.mayYield() {
		return
	}
	rise := e.t - d.low.t
	elastic := depth / d.rate // s
	if e.pumped() {
		// So many strokes would have been enough to come back from a rest.
		if float64(e.pace.n-d.crests) < yieldStrokes+yieldSlow*depth/e.strokes.best {
			return
		}
	} else if rise < yieldRise || rise.Seconds() < yieldSlow*elastic || e.strokes.any(gainLeast*e.hand.level) {
		return
	}
	e.yielded(e.point(d.top), e.point(d.low))
}

// mayYield says whether the dip can be a yield drop by its size and place.
func (e *Engine) mayYield() bool {
	d := &e.phase.dip
	depth := d.topX - d.lowX
	return !e.phase.yielded && e.cfg.Kind != Crush && e.interval() <= yieldSource && e.holedAt < d.top.t &&
		depth >= e.dipBand(d.topX) && depth <= yieldMost*d.topX &&
		d.topX >= max(fallLeast*e.threshold, fallNoise*e.view.sd)
}

// noteDrop notes a drop that is made up for within the same stroke. A small slip
// looks the same; the strokes after it tell them apart.
func (e *Engine) noteDrop() {
	d := &e.phase.dip
	if depth := d.topX - d.lowX; e.pumped() && e.strokes.drop.n == 0 && e.mayYield() &&
		depth >= dropBands*e.dipBand(d.topX) && d.low.t-d.left <= dropFall {
		e.strokes.drop = drop{n: e.strokes.n, upper: e.point(d.top), lower: e.point(d.low)}
	}
}

// drop is a dip within a stroke.
type drop struct {
	n            int // strokes before it; 0: there is none
	upper, lower Point
}

// dropTold takes a drop for an upper yield point if the strokes after it gain far
// less than the best, since the metal flows.
func (e *Engine) dropTold() {
	s := &e.strokes
	if s.drop.n == 0 || s.n < s.drop.n+dropStrokes {
		return
	}
	if s.gain() < dropGain*s.best && !e.phase.yielded {
		e.yielded(s.drop.upper, s.drop.lower)
	}
	s.drop = drop{}
}

func (e *Engine) yielded(upper, lower Point) {
	e.phase.yielded = true
	e.phase.yield = YieldDrop{Upper: upper, Lower: lower}
	e.tell(Event{Kind: EvYield, Point: upper, Text: fmt.Sprintf("upper yield at %s, lower at %s, seen by what came after",
		upper.Specimen.Text(e.units), lower.Specimen.Text(e.units))})
}

// slipped names a sudden loss of force of which half came back, if it was one,
// and begins anew from there: the next slip may come before all of it is back.
func (e *Engine) slipped(depth, x float64) {
	d := &e.phase.dip
	last := 0
	for last+1 < d.n && dipLevel(last+1)*d.topX <= depth {
		last++
	}
	if e.t-d.at[last] < dropoutMost { // the reading dropped out: as if it had not
		for d.n > 0 && x >= d.topX*(1-dipLevel(d.n-1)) {
			d.n--
		}
		d.low, d.lowX = e.mid, x
		return
	}
	took := d.at[last] - d.left
	if took > slipSudden || e.holedAt >= d.left ||
		depth < max(slipNoise*e.view.sd, 2*dipCounts*e.step, e.loadShare()) || d.topX < max(fallLeast*e.threshold, fallNoise*e.view.sd) ||
		d.topX < slipLow*e.nearest ||
		depth < slipRatio*d.rate*took.Seconds() || depth < slipRests*d.rest {
		return
	}
	e.slips++
	e.strokes.slipped(d.rest)
	lost := si.Force(number(depth * e.per(x)))
	e.tell(Event{Kind: EvSlip, Point: e.point(d.low), Text: fmt.Sprintf("slip: %s lost within %.2f s, and coming back", lost.Text(e.units), took.Seconds())})
	e.restartDip(x)
}
