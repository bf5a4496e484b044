package pull

import "time"

// fading says whether the fall that is on goes down as a bar does that necks to
// nothing, the newest level being x: it began round, not with a knee, and did
// not slow down. Through a valve, or past one that leaks, the force goes down as
// an exponential does, fast first; a valve opened and left so makes a knee. What
// cannot be told apart is taken for a let-off, since a let-off claims less. A
// slow source that shows a large part of the fall in one step may hide a snap.
func (e *Engine) fading(x float64, now time.Duration) bool {
	ph := &e.phase
	if e.cfg.Kind != Tension || e.look.lost || ph.top <= 0 {
		return false
	}
	frac := max(x/ph.top, 0)
	round, first, second := ph.highAt-ph.nearTop, ph.halfAt-ph.highAt, now-ph.halfAt
	if e.pace.n-ph.highCrests >= fadeStrokes {
		return true // somebody pumps on while it falls
	}
	if frac >= fallTrigger || first <= 0 || now-ph.nearTop < fadeLeast {
		return false
	}
	// Rates over the two halves, in the same unit: the second is from 50 % to x.
	slowing := (fallTrigger-frac)*first.Seconds() < fadeSlowing*(fallHigh-fallTrigger)*second.Seconds()
	if slowing {
		return false
	}
	return float64(round) >= fadeRound*float64(first) && max(ph.steepest, ph.level-x) < fadeStep*ph.top
}
