package wire

import (
	"math"
	"time"
)

const (
	// bucketSpan and buckets make a window of 32 s: long enough to see drift
	// through the jitter of a busy host, short enough to follow a board that
	// warms up.
	bucketSpan = 500 * time.Millisecond
	buckets    = 64
	// fitSpan is the least time over which a drift is believed. Until then a
	// late reading or two would look like one.
	fitSpan = 5 * time.Second
)

// point is a reading that had the least delay in its bucket, in ns.
type point struct{ board, offset float64 }

// envelope keeps, for each half second of the board's clock, the reading with
// the smallest (arrival − board), and draws the line under them.
type envelope struct {
	ring  [buckets]point
	n     int // points held
	next  int // where the next one goes
	open  point
	index int64 // of the open bucket
	any   bool  // the open bucket holds a point
}

// add takes a reading in, and says that a bucket was closed.
func (e *envelope) add(board, offset time.Duration) (closed bool) {
	p := point{float64(board), float64(offset)}
	index := int64(board / bucketSpan)
	if e.any && index == e.index {
		if p.offset < e.open.offset {
			e.open = p
		}
		return false
	}
	if e.any {
		e.ring[e.next] = e.open
		e.next = (e.next + 1) % buckets
		e.n = min(e.n+1, buckets)
		closed = true
	}
	e.open, e.index, e.any = p, index, true
	return closed
}

// fit draws the line that lies under all points and, of all such lines, is the
// nearest to them: that is the edge of their lower hull across their mean
// (S. B. Moon, P. Skelly, D. Towsley, Estimation and removal of clock skew from
// network delay measurements, INFOCOM 1999; from memory). It gives the line's
// value at now and its slope; while the slope is not known yet, the one given is
// used.
func (e *envelope) fit(now, slope float64) (goal, newSlope float64, known bool) {
	var pts [buckets]point
	first := (e.next - e.n + buckets) % buckets
	mean := 0.0
	for i := range e.n {
		pts[i] = e.ring[(first+i)%buckets]
		mean += pts[i].board
	}
	mean /= float64(e.n)
	if e.n > 2 && pts[e.n-1].board-pts[0].board >= float64(fitSpan) {
		slope = max(-maxDrift, min(maxDrift, hullSlope(pts[:e.n], mean)))
		known = true
	}
	goal = math.Inf(1)
	for _, p := range pts[:e.n] {
		goal = min(goal, p.offset+float64(slope*(now-p.board)))
	}
	return goal, slope, known
}

// hullSlope is the slope of the lower hull of pts, which are in order, at x.
func hullSlope(pts []point, x float64) float64 {
	var hull [buckets]point
	n := 0
	for _, p := range pts {
		for n >= 2 && cross(hull[n-2], hull[n-1], p) <= 0 {
			n--
		}
		hull[n] = p
		n++
	}
	for i := 1; i < n; i++ {
		if hull[i].board >= x || i == n-1 {
			return (hull[i].offset - hull[i-1].offset) / (hull[i].board - hull[i-1].board)
		}
	}
	return 0
}

// cross is positive when c lies to the left of the way from a to b: the hull
// turns upwards there.
func cross(a, b, c point) float64 {
	return float64((b.board-a.board)*(c.offset-a.offset)) - float64((b.offset-a.offset)*(c.board-a.board))
}
