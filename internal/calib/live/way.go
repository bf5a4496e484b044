package live

import "draghand/internal/calib"

// Which way the load goes, over the range of the sensor but for turnShare.
const (
	turnShare = 0.03  // of the highest, or
	turnRange = 0.005 // of the range: back by as much, the load goes the other way
	nearZero  = 0.005 // of the range: below it there is no load
	passShare = 0.003 // of the load: passed by more, the friction may have turned
	passNoise = 2     // SDs of the readings
)

// way follows the load up and down, on the median of three means of 50 ms.
type way struct {
	span float64 // Pa, range

	last   [3]float64 // means above the zero, Pa
	n      int
	turn   float64 // highest while rising, lowest while falling
	falls  bool
	off    bool // no load on the rig
	loaded bool // there was some since the last time it was off
}

// add takes a mean above the zero; it says whether the load has just come off.
func (w *way) add(p float64) (off bool) {
	w.last[w.n%3] = p
	w.n++
	if w.n < 3 {
		return false
	}
	a, b, c := w.last[0], w.last[1], w.last[2]
	p = max(min(a, b), min(max(a, b), c))
	if p < nearZero*w.span {
		off = !w.off && w.loaded
		w.off, w.loaded, w.falls, w.turn = true, false, false, p
		return off
	}
	w.off, w.loaded = false, true
	if w.falls {
		if p < w.turn {
			w.turn = p
		} else if p-w.turn > w.clear(w.turn) {
			w.falls, w.turn = false, p
		}
		return false
	}
	if p > w.turn {
		w.turn = p
	} else if w.turn-p > w.clear(w.turn) {
		w.falls, w.turn = true, p
	}
	return false
}

func (w *way) clear(at float64) float64 { return max(turnShare*at, turnRange*w.span) }

// forget begins anew, as after a new zero.
func (w *way) forget() { *w = way{span: w.span} }

// passed is how far a load was passed by before the reading came to stand at p, Pa; 0
// where it is too little to tell.
func (w *way) passed(p, sd float64) float64 {
	by := w.turn - p
	if w.falls {
		by = -by
	}
	if by > max(passShare*p, passNoise*sd) {
		return by
	}
	return 0
}

func (w *way) going() calib.Direction {
	if w.falls {
		return calib.Falling
	}
	return calib.Rising
}
