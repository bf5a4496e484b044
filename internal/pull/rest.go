package pull

import (
	"math"
	"time"
)

// rest is the time since a load went, without a break, in which nobody loads the rig.
type rest struct {
	from  time.Duration // of the end that it follows
	since time.Duration // since when the force rests, or never
	all   levels        // of it
	few   levels        // of the newest seconds of it
	began time.Duration // of these
	low   float64       // lowest mean of such seconds, Pa above the zero
}

// levels are summed up, Pa above the zero.
type levels struct {
	n   int
	sum float64
}

func (l *levels) add(x float64) { l.n, l.sum = l.n+1, l.sum+x }

func (l *levels) mean() float64 { return l.sum / float64(max(1, l.n)) }

// open says that the load has ended so that more may come: a tension bar was let
// off, or nobody knows whether it broke.
func (e *Engine) open() bool {
	ph := &e.phase
	return !ph.ended && (ph.outcome == Unclear || ph.outcome == LetOff && e.cfg.Kind == Tension)
}

// stepRest follows the force after such an end. It rests while it is seen, is no
// load, and does not rise: who takes up the slack of a rig loads it already. What the
// noise hides in single readings shows in the means of some seconds.
func (e *Engine) stepRest(x float64) {
	r, share, noise := &e.phase.rest, e.loadShare(), restNoise*e.view.sd
	if !e.open() || e.look.lost || math.Abs(x) > share+noise {
		r.since = never
		return
	}
	if r.since == never {
		*r = rest{from: r.from, since: e.t, began: e.t, low: math.Inf(1)}
	}
	if x > r.low+max(restRise*share, noise) {
		r.since = never
		return
	}
	r.all.add(x)
	r.few.add(x)
	if e.t-r.began < restMean {
		return
	}
	mean, noise := r.few.mean(), restNoise*e.sd/sqrtInt(r.few.n)
	if math.Abs(mean) > share+noise/2 || mean > r.low+max(restRise*share, noise) {
		r.since = never
		return
	}
	r.low, r.began, r.few = min(r.low, mean), e.t, levels{}
}

// Rested says whether a run of a live source that nobody can end by hand may end
// though its bar may not have broken: it was let off, or how it ended is unclear,
// and by the time of the readings the force has rested for RestFor, in the mean no
// farther from the zero than a load begins without noise. It is never so under load,
// nor while the force is out of sight.
func (e *Engine) Rested() bool {
	r := &e.phase.rest
	return e.open() && !e.look.lost && r.since != never && e.last.t-r.since >= RestFor &&
		r.all.n >= restReadings && math.Abs(r.all.mean()) <= e.loadShare()
}

// Waits says that such an end lies some seconds back: nobody went on at once, and
// a run that nobody can end by hand waits for what comes.
func (e *Engine) Waits() bool { return e.open() && e.t-e.phase.rest.from >= waitsAfter }
