package pull

import (
	"math"
	"time"

	"draghand/internal/si"
)

// The methods by which it is seen that a block gave.
const (
	BySlope  = "slope"
	ByStroke = "gain per stroke"
)

// FirstYield is where a block in a crush first gave.
type FirstYield struct {
	T        time.Duration
	Specimen si.Force
	Stress   si.Stress // 0 where the area is unknown
	Method   string    // BySlope or ByStroke
}

// gave looks for the first yield of a crush. Where the load comes in strokes of a
// pump it is the crest after which they gain less than half of the best. Else it
// is where the force rises less than half as steeply, over a second, as it ever
// did over one, and goes on to rise so: this takes the drive as steady. A force
// that only stands still is a drive that rests.
type gave struct {
	tops   [4]crest // crests of strokes, newest first
	n      int
	weak   FirstYield // the crest before the strokes that gain little
	stroke FirstYield
	has    bool // stroke is there
	pumped bool // the load was once seen to come in strokes

	top      float64       // highest level of a bucket, Pa above the zero
	dipped   time.Duration // when it last was under it: what rises to it again is elastic
	steepest float64       // Pa/s, over gaveWindow
	on       bool          // the slope is under half of it
	before   crest         // the beginning of the second in which it first was
	seen     crest         // the end of it
	rose     time.Duration // when the force had risen on from there, or never
	sure     bool          // and it stayed so for a second more
	at       crest         // then: where it gave
}

// restartGave begins anew with a loading. What was seen stays.
func (e *Engine) restartGave() {
	g := &e.gave
	g.n = 0
	if !g.sure {
		g.on = false
	}
}

// gaveStroke takes a stroke of a crush with its crest, before it is known whether
// it is weak.
func (g *gave) gaveStroke(at time.Duration, top float64) {
	g.tops = [4]crest{{at, top}, g.tops[0], g.tops[1], g.tops[2]}
	g.n = min(g.n+1, len(g.tops))
}

// strokeGave is told how many strokes in a row gained little, and whether that is
// enough to say so.
func (e *Engine) strokeGave(weak int, giving bool) {
	g := &e.gave
	g.pumped = g.pumped || e.pumped()
	if g.has || e.cfg.Kind != Crush {
		return
	}
	if weak == 1 {
		// The median of three is low: two of the three are, or all.
		before := 2
		if e.strokes.last[2] < gainWeak*e.strokes.best {
			before = 3
		}
		if before < g.n {
			g.weak = e.firstYield(g.tops[before], ByStroke)
		} else {
			g.weak = FirstYield{}
		}
	}
	if giving && g.weak.Method != "" {
		g.stroke, g.has = g.weak, true
	}
}

// stepGave follows the slope of a crush with the newest closed bucket. Only what
// lies over all before it is judged: a rest and what makes up for it are not.
func (e *Engine) stepGave() {
	g, b := &e.gave, &e.buckets
	i := b.closed - 1
	now, v := b.at(i).last, e.above(b.mean(i))
	if v < g.top-e.dipBand(g.top) {
		g.dipped = now
	}
	if v <= g.top {
		return
	}
	g.top = v
	from := now - gaveWindow
	if from < max(e.pace.from, g.dipped) {
		return
	}
	k := b.back(from)
	then := b.at(k)
	dt := (now - then.last).Seconds()
	if e.holedAt > then.first || dt > 2*gaveWindow.Seconds() || !(dt > 0) || e.pace.dropped(then.first, now) {
		return
	}
	slope := (v - e.above(b.mean(k))) / dt
	noise := e.sd * math.Sqrt(1/float64(b.at(i).n)+1/float64(then.n)) / dt
	switch {
	case slope > g.steepest && slope > gaveNoise*noise:
		g.steepest = slope
		g.on, g.sure = false, false // all before was slack, or a slow hand
	case !(g.steepest > 0) || g.sure:
	case slope >= gaveBack*g.steepest:
		g.on = false // the drive had rested or was slow
	case !g.on && slope < gaveHalf*g.steepest-2*noise:
		g.on, g.before, g.seen, g.rose = true, crest{then.last, e.above(b.mean(k))}, crest{now, v}, never
	case g.on && g.rose == never:
		if now-g.seen.t >= gaveWindow && v >= g.seen.p*(1+gaveRise) {
			g.rose = now // or the drive has just gone on again
		}
	case g.on && now-g.rose >= gaveWindow && slope < gaveHalf*g.steepest:
		g.sure, g.at = true, g.knee(slope)
	}
}

// knee is where the steepest line, through the beginning of the second in which the
// slope became small, meets one through its end with the slope after, Pa/s; never outside that second.
func (g *gave) knee(after float64) crest {
	within := (g.seen.t - g.before.t).Seconds()
	x := (g.seen.p - g.before.p - after*within) / (g.steepest - after) // s from the beginning
	x = min(max(x, 0), within)
	return crest{g.before.t + time.Duration(x*float64(time.Second)), min(g.before.p+g.steepest*x, g.seen.p)}
}

// firstYield is a crest as a yield.
func (e *Engine) firstYield(c crest, method string) FirstYield {
	f := si.Force(number(float64(e.chain.Specimen(si.Pressure(c.p)))))
	return FirstYield{T: c.t, Specimen: f, Stress: si.Stress(number(float64(si.StressOn(f, e.cfg.Area)))), Method: method}
}

// stateGave is the first yield as far as it is known.
func (e *Engine) stateGave() *FirstYield {
	g := &e.gave
	switch {
	case e.cfg.Kind != Crush:
		return nil
	case g.has:
		e.outGave = g.stroke
	case g.sure && !g.pumped && !e.pumped():
		e.outGave = e.firstYield(g.at, BySlope)
	default:
		return nil
	}
	return &e.outGave
}
