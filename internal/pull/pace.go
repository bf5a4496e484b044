package pull

import (
	"math"
	"time"
)

// crest is the top of one pump stroke.
type crest struct {
	t time.Duration
	p float64 // Pa above the zero
}

const crestCount = 32

// pace is how fast the load rises, looking through the strokes of a hand pump:
// from crest to crest where there are strokes, else the slope of the readings.
type pace struct {
	rate    float64          // Pa/s
	fastest float64          // of this loading
	lead    time.Duration    // to the nearest limit; 0: not known
	from    time.Duration    // when this loading began
	dip     [2]time.Duration // the newest dropout of the reading, from and to

	rising bool
	top    float64       // highest of this stroke, Pa
	topAt  time.Duration // when
	mark   float64       // last level that was a real gain
	markAt time.Duration
	low    float64 // lowest of this rest
	base   float64 // lowest of the rest before this stroke
	baseAt time.Duration

	crests [crestCount]crest
	n      int
}

// restart begins anew with a loading.
func (p *pace) restart(t time.Duration, level float64) {
	*p = pace{from: t, low: level, base: level, baseAt: t, top: level, mark: level, topAt: t, markAt: t, rising: true}
}

// updatePace follows the strokes with the newest bucket.
func (e *Engine) updatePace() {
	p := &e.pace
	if !e.underway() {
		if p.rate != 0 || p.lead != 0 {
			p.rate = 0
			e.lookAhead()
		}
		return
	}
	i := e.buckets.closed - 1
	b := e.buckets.at(i)
	e.followStroke(b.last, e.above(e.buckets.mean(i)), b.n)
	p.rate = number(e.rate(i))
	p.fastest = max(p.fastest, p.rate)
	e.lookAhead()
}

// strokeStep is what a new stroke must rise, or a crest must fall, to be one.
func (e *Engine) strokeStep(n int) float64 {
	return max(crestNoise*e.sd/sqrtInt(n), crestCounts*e.step, crestShare*e.nearest)
}

func (e *Engine) followStroke(t time.Duration, v float64, n int) {
	p := &e.pace
	h := e.strokeStep(n)
	if !p.rising {
		p.low = min(p.low, v)
		if v > p.low+h {
			p.rising, p.base, p.baseAt = true, p.low, t
			p.top, p.topAt, p.mark, p.markAt = v, t, v, t
		}
		return
	}
	if v > p.top {
		p.top, p.topAt = v, t
	}
	if v > p.mark+h/2 {
		p.mark, p.markAt = v, t
	}
	if t-p.markAt >= crestRest || v < p.top-h {
		p.crests[p.n%crestCount] = crest{p.topAt, p.top}
		p.n++
		p.rising, p.low = false, v
		if p.topAt-p.baseAt <= strokeMost {
			e.strokeDone(p.base, p.top, p.topAt)
		}
	}
}

// rate is the pace after the bucket i, Pa/s.
func (e *Engine) rate(i int) float64 {
	p := &e.pace
	now, v := e.buckets.at(i).last, e.above(e.buckets.mean(i))
	if p.n >= 2 {
		newest := p.crests[(p.n-1)%crestCount]
		ref, strokes := newest, 0
		for k := p.n - 2; k >= max(0, p.n-crestCount); k-- {
			c := p.crests[k%crestCount]
			if newest.t-c.t > paceWindow && strokes > 0 {
				break
			}
			ref = c
			if strokes++; strokes >= paceStrokes && newest.t-c.t >= paceWindow/3 {
				break
			}
		}
		dt := newest.t - ref.t
		if dt > 0 && now-newest.t < paceWindow && v > paceFallen*newest.p {
			rise := newest.p - ref.p
			if late := now - newest.t; float64(late) > paceStale*float64(dt)/float64(strokes) {
				// No new crest where one was due: the pump slows down or rests.
				dt += late
				rise = max(newest.p, v) - ref.p
			}
			return rise / dt.Seconds()
		}
	}
	from := max(p.from, now-paceWindow)
	k := e.buckets.back(from)
	then := e.buckets.at(k)
	for k < i && p.dropped(then.first, then.last) {
		k++ // a slope that begins in a dropout is none
		then = e.buckets.at(k)
	}
	if dt := now - then.last; dt >= paceLeast {
		return (v - e.above(e.buckets.mean(k))) / dt.Seconds()
	}
	return 0
}

// dropped says whether any of a span of time lies in the newest dropout.
func (p *pace) dropped(first, last time.Duration) bool {
	return p.dip[1] > 0 && last >= p.dip[0] && first <= p.dip[1]
}

func sqrtInt(n int) float64 { return math.Sqrt(float64(max(1, n))) }
