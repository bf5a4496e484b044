package pull

import "math"

// bias estimates how far the drag hand lies over the force without the noise.
// It counts the readings for which the force, smoothed over 0.1 s, was near its
// top: so many had the chance to be the largest. One that lies under the top
// counts the less the farther, since it must err by so much more.
type bias struct {
	top float64 // largest smoothed level, Pa by the sensor's own line
	n   float64 // readings near it
}

// stepBias looks at the newest closed bucket.
func (e *Engine) stepBias() {
	b, k := &e.bias, &e.buckets
	i := k.closed - 1
	sum, n := 0.0, 0
	for j := i; j >= max(k.oldest(), i-biasBuckets+1); j-- {
		sum += k.at(j).sum
		n += k.at(j).n
	}
	m := k.ref + sum/float64(n)
	newest := float64(k.at(i).n)
	if !(e.sd > 0) {
		return
	}
	free := e.sd / math.Sqrt(float64(n)) // what the noise of m itself makes of it
	near := func(d float64) float64 { return math.Exp(-biasFade * max(0, d-free) / e.sd) }
	if d := m - b.top; d > 0 {
		b.top, b.n = m, b.n*near(d)+newest
	} else {
		b.n += newest * near(-d)
	}
}

// peakBias is the expected excess of the largest of the medians counted, Pa.
//
// A median of three passes u with the probability 3q²−2q³, q that of a single
// reading (order statistics); it takes two readings to do so, and then two
// medians mostly do, so n medians are worth n/2 independent ones. The mean of the largest of m lies
// about where the chance is e^−γ/m (Gumbel). Readings that are not normal, or
// that hang together, such as mains hum, are not seen.
func (e *Engine) peakBias() float64 {
	if e.sd <= 0 || e.bias.n < 3 {
		return 0
	}
	const half = 0.5615 // e^−γ
	p := half / (e.bias.n / 2)
	q := math.Sqrt(min(p, 1) / 3)
	for range 8 { // 3q²−2q³ = p by Newton's steps; q stays in (0, 0.5]
		q = min(0.5, q-(3*q*q-2*q*q*q-p)/(6*q-6*q*q))
		if !(q > 0) {
			return 0
		}
	}
	return e.sd * math.Sqrt2 * math.Erfinv(1-2*q)
}
