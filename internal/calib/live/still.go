package live

import (
	"fmt"
	"math"
	"time"

	"draghand/internal/si"
)

// When a reading stands still. The figures of scatter are those of the zero
// (docs/engine.md).
const (
	stillFor      = 2 * time.Second
	stillMean     = 1500 * time.Millisecond // of it, the newest, are in the mean: the end of a stroke is not
	stillLeast    = 10                      // readings, at a slow source they take longer
	stillCounts   = 2                       // SD in converter counts
	stillRange    = 0.001                   // SD as a fraction of the range
	stillDrift    = 0.0005                  // of the reading: the halves of the window may differ by so much
	stillNoise    = 3                       // and by so many standard errors
	stillLoose    = 1.5                     // times as much before what stands still is taken to move
	stillHole     = 500 * time.Millisecond  // without a reading, the window begins anew
	stillReadings = 3                       // or so many missing of a source that is slower by its rig file
	quietCounts   = 0.6                     // SD in counts: a reading that toggles between two codes has 0.5
	bucketFor     = 50 * time.Millisecond
	mostBuckets   = 128 // over 6 s, or as many readings of a slow source
)

// bucket is what readings of 50 ms say together.
type bucket struct {
	n           int
	sum, sq     float64 // of the pressure less the first of all, Pa
	raw         float64 // sum
	first, last time.Duration
}

// still finds when a reading stands still. It takes each good reading in order and
// keeps sums of the last seconds.
type still struct {
	step, span float64 // Pa: a count, the range
	hole       time.Duration

	ring   [mostBuckets]bucket
	closed int // buckets closed so far; the open one is ring[closed%mostBuckets]
	any    bool
	ref    float64 // first reading

	steady  bool
	stands  int // how often it has come to stand
	w       stand
	reached float64 // part of the way
}

// stand is what the readings of a window say.
type stand struct {
	n           int
	p, raw, sd  float64 // means, Pa, absolute
	drift       float64 // newer half less older half, Pa
	driftSD     float64 // what noise makes of that
	early, late int
	long        bool // as long and as many as wanted
}

func newStill(step, span, rate float64) still {
	s := still{step: step, span: span, hole: stillHole}
	if rate > 0 {
		s.hole = max(s.hole, time.Duration(stillReadings/rate*float64(time.Second)))
	}
	return s
}

// restart forgets all readings.
func (s *still) restart() {
	s.closed, s.any, s.steady, s.reached, s.w = 0, false, false, 0, stand{}
	s.ring[0] = bucket{}
}

// add takes a reading of a pressure, not above any zero; zero is what is taken off
// to see how large it is. It says whether a bucket was closed, and so the verdict is
// new.
func (s *still) add(t time.Duration, p, raw, zero float64) (fresh bool) {
	b := &s.ring[s.closed%mostBuckets]
	if s.any {
		last := b.last
		if b.n == 0 {
			last = s.ring[(s.closed+mostBuckets-1)%mostBuckets].last
		}
		if t-last > s.hole || t < last {
			s.restart()
			b, fresh = &s.ring[0], true
		}
	}
	if b.n > 0 && t-b.first >= bucketFor {
		s.closed++
		s.judge(zero)
		b = &s.ring[s.closed%mostBuckets]
		*b = bucket{}
		fresh = true
	}
	if !s.any {
		s.any, s.ref = true, p
	}
	d := p - s.ref
	if b.n == 0 {
		b.first = t
	}
	b.n, b.sum, b.sq, b.raw, b.last = b.n+1, b.sum+d, b.sq+d*d, b.raw+raw, t
	return fresh
}

// newest is the mean of the newest closed bucket; false before there is one.
func (s *still) newest() (float64, bool) {
	if s.closed == 0 {
		return 0, false
	}
	b := &s.ring[(s.closed-1)%mostBuckets]
	return s.ref + b.sum/float64(b.n), true
}

// lately sums up the closed buckets of a span.
func (s *still) lately(span time.Duration, least int) stand {
	var w stand
	if s.closed == 0 {
		return w
	}
	end := s.ring[(s.closed-1)%mostBuckets].last
	var sum, sq, raw, lateSum float64
	from := end
	back := s.closed
	for back > max(0, s.closed-mostBuckets+1) {
		back--
		b := &s.ring[back%mostBuckets]
		w.n, sum, sq, raw, from = w.n+b.n, sum+b.sum, sq+b.sq, raw+b.raw, b.first
		if end-from >= span && w.n >= least {
			w.long = true
			break
		}
	}
	for i := s.closed - 1; i >= back; i-- {
		if b := &s.ring[i%mostBuckets]; end-b.first <= (end-from)/2 {
			w.late += b.n
			lateSum += b.sum
		}
	}
	w.early = w.n - w.late
	if w.early == 0 || w.late == 0 {
		w.long = false
		return w
	}
	n := float64(w.n)
	w.p, w.raw = s.ref+sum/n, raw/n
	w.sd = math.Sqrt(max(0, (sq-sum*sum/n)/(n-1)))
	w.drift = lateSum/float64(w.late) - (sum-lateSum)/float64(w.early)
	w.driftSD = w.sd * math.Sqrt(1/float64(w.late)+1/float64(w.early))
	return w
}

// mostSD and mostDrift are what a window that stands still may show.
func (s *still) mostSD() float64 { return max(stillCounts*s.step, stillRange*s.span) }

func (s *still) mostDrift(w stand, zero float64) float64 {
	most := stillDrift*math.Abs(w.p-zero) + stillNoise*w.driftSD
	if w.sd < quietCounts*s.step { // without noise of its own a converter tells no drift under half a count
		most += s.step / 2
	}
	return most
}

func (s *still) quiet(w stand, zero, loose float64) bool {
	return w.sd <= loose*s.mostSD() && math.Abs(w.drift) <= loose*s.mostDrift(w, zero)
}

// judge says anew whether the reading stands still.
func (s *still) judge(zero float64) {
	w := s.lately(stillFor, stillLeast)
	loose := 1.0
	if s.steady {
		loose = stillLoose
	}
	was := s.steady
	s.w, s.steady = w, w.long && s.quiet(w, zero, loose)
	if s.steady {
		s.w = s.lately(stillMean, stillLeast)
	}
	if s.steady && !was {
		s.stands++
	}
	s.reached = 1
	if s.steady {
		return
	}
	s.reached = 0
	const parts = 8
	for i := 1; i <= parts; i++ {
		part := s.lately(stillFor*time.Duration(i)/parts, 2)
		if !part.long || !s.quiet(part, zero, 1) {
			return
		}
		s.reached = min(float64(i)/parts, float64(part.n)/stillLeast, 0.99)
	}
}

// moving says why the reading does not stand still; empty where it does, or there is
// no saying yet.
func (s *still) moving(zero float64, u si.System) string {
	w := s.w
	switch {
	case s.steady || !w.long:
		return ""
	case math.Abs(w.drift) > s.mostDrift(w, zero):
		if w.drift < 0 {
			return fmt.Sprintf("it sinks, by %s a second", fine(-2*w.drift/stillFor.Seconds(), u))
		}
		return fmt.Sprintf("it rises, by %s a second", fine(2*w.drift/stillFor.Seconds(), u))
	case w.sd > s.mostSD():
		return fmt.Sprintf("it is restless, by %s (%s allowed): keep the rig still, look at the sensor's cable", fine(w.sd, u), fine(s.mostSD(), u))
	}
	return ""
}

// fine writes a small pressure with one more decimal than a reading has.
func fine(p float64, u si.System) string {
	s := si.Pressure(p).In(u)
	s.Decimals++
	return s.String()
}
