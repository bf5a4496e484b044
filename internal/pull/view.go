package pull

import (
	"math"
	"time"
)

// view is the force that phases, dips and falls are judged on. With a quiet
// sensor it is the median of three readings. With a noisy one it is the mean of
// as many readings as bring the noise down to what is judged, but of no longer
// than viewMost, since a break must still look like one. Its lone readings are
// taken out first, for which it lags one reading behind.
type view struct {
	n    int     // readings wanted; 1: the median of three
	have int     // readings in sum, all since the last hole
	sum  float64 // Pa, by the sensor's own line
	sd   float64 // Pa, noise of the view
	lone bool    // the reading before the newest was a lone one

	// What the means of slack, one after the other, spread by: less than the
	// noise of the readings says where that is hum.
	a, b    float64 // the two before, Pa
	since   int     // readings since the newest
	means   int
	squares float64 // Pa², of second differences
	hum     float64 // what the means' spread is of what the noise says; 0: not known
}

// confirm looks at the reading before the newest one, that both its neighbours
// are known of: a lone one gives way to their median in the ring, so that no
// fall is measured to it.
func (e *Engine) confirm() {
	m := &e.median
	e.view.lone = false
	if m.n < 3 {
		return
	}
	over, under := m.b.p-max(m.a.p, m.c.p), min(m.a.p, m.c.p)-m.b.p
	if max(over, under) <= e.loneBand(max(m.a.p, m.c.p)) {
		return
	}
	e.view.lone = true
	k := &e.ring[(e.ringN-2)&(ringCount-1)]
	k.raw, k.p = e.mid.raw, e.mid.p
}

// loneBand is by how much a reading must stand out from both neighbours, at this
// level, to be a lone one: far more than the noise, and more than a slow source
// shows at a true crest.
func (e *Engine) loneBand(level float64) float64 {
	return max(loneNoise*e.sd, loneShare*math.Abs(e.above(level)), e.threshold/2)
}

// spikeless is the newest reading, or the spike-proof one where it stands out
// from that. The next reading tells whether it stood alone.
func (e *Engine) spikeless(s spot) spot {
	if e.midOK && math.Abs(s.p-e.mid.p) > e.loneBand(e.mid.p) {
		return spot{t: s.t, raw: e.mid.raw, p: e.mid.p}
	}
	return s
}

// stepView takes the reading that confirm has looked at.
func (e *Engine) stepView(hole bool) {
	v := &e.view
	if e.ringN < 2 {
		return
	}
	// Before a hole there is nothing to go on with: what is confirmed with the
	// reading after it begins anew.
	e.cells.add(e.ring[(e.ringN-2)&(ringCount-1)], e.ringN-2 == e.sinceHole)
	if hole {
		v.have, v.sum = 0, 0
		return
	}
	if v.n <= 1 {
		return
	}
	v.sum += e.ring[(e.ringN-2)&(ringCount-1)].p
	v.have++
	if v.have > v.n {
		v.sum -= e.ring[(e.ringN-2-v.n)&(ringCount-1)].p
		v.have = v.n
	}
	if v.since++; v.since >= v.n && v.have == v.n && e.phase.now == Slack {
		v.spread(v.sum / float64(v.n))
	}
}

// spread takes the next mean of slack.
func (v *view) spread(m float64) {
	v.since = 0
	if v.means++; v.means > 2 {
		d := m - 2*v.b + v.a
		v.squares += d * d
	}
	v.a, v.b = v.b, m
}

// spreadSD is the SD of the view as its means in slack tell it, a quarter more
// since they are few; false before there are enough. Second differences of
// independent means have √6 of it.
func (v *view) spreadSD() (float64, bool) {
	if n := v.means - 2; n >= viewMeans {
		return 1.25 * math.Sqrt(v.squares/float64(n)/6), true
	}
	return 0, false
}

// level is the view of the force, Pa by the sensor's own line.
func (e *Engine) level() float64 {
	if v := &e.view; v.n > 1 && v.have > 0 {
		return v.sum / float64(v.have)
	}
	return e.mid.p
}

// noisy says that the view is a mean.
func (e *Engine) noisy() bool { return e.view.n > 1 }

// chooseView sets how many readings the view needs at this noise.
func (e *Engine) chooseView() {
	v := &e.view
	want := viewShare * max(e.phase.top, 2*e.threshold)
	if e.phase.now == Slack {
		want = e.loadShare() / loadingNoise
	}
	n := 1
	if e.sd > want {
		n = max(3, int(min(math.Ceil(e.sd*e.sd/(want*want)), ringCount/4)))
		n = min(n, e.most())
		if n < 3 {
			n = 1 // too slow a source: the median does as much
		}
	}
	if n != v.n {
		v.resize(e, n)
	}
	v.sd = e.sd / math.Sqrt(float64(n))
	if sd, ok := v.spreadSD(); ok && e.phase.now == Slack {
		v.hum = min(1, max(viewHum, sd/v.sd))
	}
	if v.hum > 0 {
		v.sd *= v.hum
	}
	if e.phase.now == Slack {
		e.setThreshold()
	}
}

// most is how many readings there are within viewMost.
func (e *Engine) most() int {
	each := e.interval()
	if each <= 0 {
		return 1
	}
	return int(min(viewMost/each, ringCount/4))
}

// interval is the mean time from one reading to the next of late; 0: not known.
func (e *Engine) interval() time.Duration {
	b := &e.buckets
	n, i := 0, b.closed-1
	if i < b.oldest() {
		return 0
	}
	last := b.at(i).last
	for ; i > b.oldest() && (last-b.at(i).first < 8*bucketSpan || n+b.at(i).n < 3); i-- {
		n += b.at(i).n
	}
	n += b.at(i).n
	if n < 2 {
		return 0
	}
	return (last - b.at(i).first) / time.Duration(n-1)
}

// resize sums up the newest confirmed readings anew.
func (v *view) resize(e *Engine, n int) {
	known := max(v.have, 0)
	if v.n <= 1 {
		known = n // nothing was summed; what is in the ring since the last hole counts
	}
	v.n, v.sum, v.have = n, 0, 0
	v.since, v.means, v.squares = 0, 0, 0
	for i := e.ringN - 2; n > 1 && i >= max(0, e.ringN-ringCount, e.sinceHole) && v.have < min(n, max(known, 1)); i-- {
		v.sum += e.ring[i&(ringCount-1)].p
		v.have++
	}
}
