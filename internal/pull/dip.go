package pull

import (
	"fmt"
	"math"
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
	rate       float64       // Pa/s, of the load when the top was reached
	near       time.Duration // when the force last was at the top but for the noise
	deep       bool          // it stayed away for longer than the rest between two strokes
	n          int           // levels passed downwards
	at         [dipLevels]time.Duration
}

// dipLevels are at 0.5, 1, 2 … 64 % under the top.
const dipLevels = 8

func dipLevel(k int) float64 { return dipLeast * float64(int(1)<<k) }

// restartDip begins with the newest spike-proof reading as the top.
func (e *Engine) restartDip(x float64) {
	d := &e.phase.dip
	d.top, d.low, d.topX, d.lowX = e.mid, e.mid, x, x
	d.rate, d.near = math.Max(e.pace.rate, 0), e.stamp()
	d.deep, d.n = false, 0
}

// stepDip follows the dip with a spike-proof level.
func (e *Engine) stepDip(x float64) {
	d := &e.phase.dip
	if x > d.topX {
		if d.deep {
			e.dipFilled()
		}
		e.restartDip(x)
		return
	}
	if x < d.lowX {
		d.low, d.lowX = e.mid, x
	}
	band := e.dipBand(d.topX)
	if x >= d.topX-band {
		d.near = e.stamp()
		return
	}
	for d.n < dipLevels && x < d.topX*(1-dipLevel(d.n)) {
		d.at[d.n] = e.stamp()
		d.n++
	}
	if e.t-d.near >= dipDeep {
		d.deep = true
	}
	if depth := d.topX - d.lowX; depth >= slipLeast*d.topX && x >= d.lowX+depth*slipBack {
		e.slipped(depth, x)
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
	ph := &e.phase
	d := &ph.dip
	depth := d.topX - d.lowX
	if ph.yielded || e.cfg.Kind == Crush || d.n == 0 || !(d.rate > 0) ||
		depth < e.dipBand(d.topX) || depth > yieldMost*d.topX ||
		d.topX < max(fallLeast*e.threshold, fallNoise*e.view.sd) {
		return
	}
	// The half of the dip, to the next level above it.
	half := d.at[0]
	for k := 1; k < d.n && dipLevel(k)*d.topX <= depth/2; k++ {
		half = d.at[k]
	}
	rise := e.t - d.low.t
	elastic := time.Duration(depth / d.rate * float64(time.Second))
	if rise < yieldRise || float64(rise) < yieldSlow*float64(elastic) || float64(half-d.top.t)*yieldSkew > float64(e.t-half) {
		return
	}
	ph.yielded = true
	ph.yield = YieldDrop{Upper: e.point(d.top), Lower: e.point(d.low)}
	e.tell(Event{Kind: EvYield, Point: ph.yield.Upper, Text: fmt.Sprintf("upper yield at %s, lower at %s, seen as the force rose over it again",
		ph.yield.Upper.Specimen.Text(e.units), ph.yield.Lower.Specimen.Text(e.units))})
}

// slipped names a sudden loss of force of which half came back, if it was one,
// and begins anew from there: the next slip may come before all of it is back.
func (e *Engine) slipped(depth, x float64) {
	d := &e.phase.dip
	last := 0
	for last+1 < d.n && dipLevel(last+1)*d.topX <= depth {
		last++
	}
	took := d.at[last] - d.near
	if d.n == 0 || took > slipSudden || e.t-d.near < dropoutMost ||
		depth < max(slipNoise*e.view.sd, 2*dipCounts*e.step) || d.topX < max(fallLeast*e.threshold, fallNoise*e.view.sd) ||
		depth < slipRatio*d.rate*took.Seconds() || depth < slipRests*e.strokes.rest() {
		return
	}
	e.slips++
	lost := si.Force(number(depth * e.perPa))
	e.tell(Event{Kind: EvSlip, Point: e.point(d.low), Text: fmt.Sprintf("slip: %s lost within %.2f s, and coming back", lost.Text(e.units), took.Seconds())})
	e.restartDip(x)
}
