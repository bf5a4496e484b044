package pull

import (
	"time"

	"draghand/internal/si"
)

// Apart is what the drag hand may have missed of the largest force between the
// readings before a break, force on the specimen. The force rose on until the bar
// broke, somewhere between the last reading and the first one of the fall, and a
// median of three shows a rise one reading late: Lag is what the last reading
// before the fall lay over the drag hand, by the line of the readings before it;
// Most what the line comes to at the first reading of the fall.
type Apart struct {
	Lag, Most si.Force
}

// apartBy reckons Apart for a break whose first reading of the fall is edge, an
// index of the ring.
func (e *Engine) apartBy(edge int) Apart {
	oldest := max(0, e.ringN-ringCount)
	if edge-1 < oldest || edge >= e.ringN {
		return Apart{}
	}
	at := func(i int) moment { return e.ring[i&(ringCount-1)] }
	end := at(edge - 1)
	// Least squares of the level against the time before the last reading.
	var n, st, sx, stt, stx float64
	for i := edge - 1; i >= oldest; i-- {
		m := at(i)
		t, x := (m.t - end.t).Seconds(), e.above(m.p)
		if n >= apartFew && (end.t-m.t > apartFor || n >= apartMany) {
			break
		}
		n, st, sx, stt, stx = n+1, st+t, sx+x, stt+t*t, stx+t*x
		if x < e.threshold { // the last one without load is where the rise began
			break
		}
	}
	d := n*stt - st*st
	if n < 2 || !(d > 0) {
		return Apart{}
	}
	slope := (n*stx - st*sx) / d
	last := (sx - slope*st) / n // of the line, at the last reading
	hand := e.hand.level - e.peakBias()
	most := last + slope*(at(edge).t-end.t).Seconds() - hand
	if !(slope > 0) || !(most > 0) {
		return Apart{}
	}
	lag := min(max(0, last-hand), most)
	per := e.per(e.hand.level)
	return Apart{Lag: si.Force(number(lag * per)), Most: si.Force(number(most * per))}
}

// ringFrom is the index in the ring of the first reading from a time on.
func (e *Engine) ringFrom(t time.Duration) int {
	i := e.ringN
	for i > max(0, e.ringN-ringCount) && e.ring[(i-1)&(ringCount-1)].t >= t {
		i--
	}
	return i
}
