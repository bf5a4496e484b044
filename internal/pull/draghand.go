package pull

import (
	"math"
	"time"
)

// dragHand is the latched peak: the largest spike-proof reading, and beside it
// the largest single valid one. It never falls, and only valid readings move
// it. While there is no zero it only holds what the pull would be if the load
// had already begun; the first zero starts it anew.
type dragHand struct {
	peak, raw       Point
	peakAbs, rawAbs float64 // Pa, absolute
	level, rawLevel float64 // Pa above the zero
	moved, rawMoved bool
	at              time.Duration // when it last moved
	untold          bool
	toldAt          time.Duration
	told            bool
}

func (h *dragHand) restart() { *h = dragHand{} }

// moveHand lets the newest reading push the drag hand on.
func (e *Engine) moveHand(s, mid spot, ok bool) {
	h := &e.hand
	if p := e.above(s.p); p > h.rawLevel {
		h.raw, h.rawLevel, h.rawAbs, h.rawMoved = e.point(s), p, s.p, true
	}
	if !ok {
		return
	}
	if p := e.above(mid.p); p > h.level {
		h.peak, h.level, h.peakAbs, h.moved = e.point(mid), p, mid.p, true
		h.at = e.t
		h.untold = true
		e.handMoved()
	}
	if h.untold && e.phase.now != Slack && (!h.told || e.t-h.toldAt >= peakEvery) {
		e.tellPeak()
	}
}

// tellPeak says where the drag hand is.
func (e *Engine) tellPeak() {
	h := &e.hand
	h.untold, h.told, h.toldAt = false, true, e.t
	e.tell(Event{Kind: EvPeak, Point: h.peak})
}

// noise is what differences of neighbouring readings tell in slack: a slow
// drift does not count.
type noise struct {
	pairs   int
	changed int
	doubles int     // steps of two counts and more
	count   float64 // smallest step seen, raw: one count of whatever the board sends
	sq      float64 // sum of squared steps, raw
}

func (n *noise) add(d float64) {
	n.pairs++
	if d == 0 {
		return
	}
	d = math.Abs(d)
	if n.count == 0 || d < n.count*0.75 {
		// A finer step than any before: what was counted as double is in doubt.
		n.count, n.doubles = d, 0
	}
	n.changed++
	if d > 1.5*n.count {
		n.doubles++
	}
	n.sq += d * d
}

// sd is the SD of a single reading, raw: differences have √2 of it.
func (n *noise) sd() float64 {
	if n.pairs == 0 {
		return 0
	}
	return math.Sqrt(n.sq / float64(2*n.pairs))
}

// slackNoise is the noise in slack as the medians of three tell it, lest a lone
// reading counts, in two ways: by their second differences, which a steady drift
// does not touch, and by their spread within short blocks, which hum at half the
// sampling rate does not inflate. The smaller is taken.
type slackNoise struct {
	a, b float64 // the two medians before, Pa
	have int
	n    int
	sq   float64 // Pa², of second differences

	block          int
	ref, sum, sum2 float64 // of the block that is open
	blocks         int
	spread         float64 // Pa², sum of the variances of the blocks
}

const slackBlock = 16

func (m *slackNoise) add(p float64) {
	if m.have < 2 {
		m.have++
	} else {
		d := p - 2*m.b + m.a
		m.n++
		m.sq += d * d
	}
	m.a, m.b = m.b, p

	if m.block == 0 {
		m.ref, m.sum, m.sum2 = p, 0, 0
	}
	d := p - m.ref
	m.sum += d
	m.sum2 += d * d
	if m.block++; m.block == slackBlock {
		m.spread += max(0, m.sum2-m.sum*m.sum/slackBlock) / (slackBlock - 1)
		m.blocks++
		m.block = 0
	}
}

// restart begins anew after a hole.
func (m *slackNoise) restart() { m.have, m.block = 0, 0 }

// sd is the SD of a single reading, Pa. For normal readings the second
// differences of the medians of three have 0.970 of it, and within blocks of 16
// the medians spread by 0.636 of it (by simulation: 600,000 draws).
func (m *slackNoise) sd() float64 {
	if m.n == 0 {
		return 0
	}
	sd := math.Sqrt(m.sq/float64(m.n)) / 0.970
	if m.blocks > 0 {
		sd = min(sd, math.Sqrt(m.spread/float64(m.blocks))/0.636)
	}
	return sd
}
