package pull

import "time"

// bucket sums up the readings of at most bucketSpan. A bucket is opened by a
// reading and closed by the first one that is bucketSpan later, so that the
// windows do not depend on where time zero lies, and a slow source simply makes
// one bucket a reading.
type bucket struct {
	first, last time.Duration
	n           int
	sum, sq     float64 // of p − ref and its square, Pa
	rawSum      float64 // of raw − rawRef
	min, max    float64 // of p, Pa by the sensor's own line
	top         float64 // largest median
	hole        bool    // a fault, or too long without a reading, came before or in it
}

const bucketCount = 512 // a power of two; 5 s need 251

// buckets is a ring of the last closed buckets and the open one. All sums are
// taken from a reference reading, so that a small spread on a large level keeps
// its digits.
type buckets struct {
	ring        [bucketCount]bucket
	closed      int // ever closed; the open one is ring[closed%bucketCount]
	open        bool
	ref, rawRef float64
	haveRef     bool
}

func (b *buckets) at(i int) *bucket { return &b.ring[i&(bucketCount-1)] }

// oldest is the index of the oldest closed bucket still held.
func (b *buckets) oldest() int { return max(0, b.closed-(bucketCount-1)) }

// add takes a valid reading and says whether a bucket was closed by it.
func (b *buckets) add(t time.Duration, raw, p, median float64, hole bool) (closed bool) {
	if !b.haveRef {
		b.ref, b.rawRef, b.haveRef = p, raw, true
	}
	cur := b.at(b.closed)
	if b.open && t-cur.first >= bucketSpan {
		b.closed++
		b.open, closed = false, true
		cur = b.at(b.closed)
	}
	d := p - b.ref
	if !b.open {
		*cur = bucket{first: t, last: t, n: 1, sum: d, sq: d * d, rawSum: raw - b.rawRef, min: p, max: p, top: median, hole: hole}
		b.open = true
		return closed
	}
	cur.last = t
	cur.n++
	cur.sum += d
	cur.sq += d * d
	cur.rawSum += raw - b.rawRef
	if p < cur.min {
		cur.min = p
	}
	if p > cur.max {
		cur.max = p
	}
	if median > cur.top {
		cur.top = median
	}
	if hole {
		cur.hole = true
	}
	return closed
}

// mean is the mean pressure of a bucket by the sensor's own line.
func (b *buckets) mean(i int) float64 {
	k := b.at(i)
	return b.ref + k.sum/float64(k.n)
}

// back finds the newest closed bucket that began at or before t, by halving;
// the oldest held one if none did.
func (b *buckets) back(t time.Duration) int {
	lo, hi := b.oldest(), b.closed-1
	for lo < hi {
		mid := (lo + hi + 1) / 2
		if b.at(mid).first <= t {
			lo = mid
		} else {
			hi = mid - 1
		}
	}
	return lo
}
