package pull

import (
	"fmt"
	"time"

	"draghand/internal/rig"
)

// causeKind is why the force cannot be seen.
type causeKind uint8

const (
	noCause   causeKind = iota
	clipped             // above the band: an overload until proven otherwise
	faults              // readings outside the valid bands
	nothing             // no readings, and nobody says why
	hole                // as nothing, known only from the reading after it
	still               // the reading does not change any more
	unplugged           // the source's own word
	silent              // the source's own word
)

// cause is a kind with its details. Two that are equal are told once.
type cause struct {
	kind causeKind
	sig  rig.Signal // of faults
}

// text says a cause that has lasted for d.
func (c cause) text(d time.Duration) string {
	s := d.Seconds()
	switch c.kind {
	case clipped:
		return "the sensor reads above its range"
	case faults:
		return fmt.Sprintf("%s for %.1f s", c.sig, s)
	case hole:
		return fmt.Sprintf("no valid reading for %.1f s", s)
	case still:
		return fmt.Sprintf("the reading stands still for %.1f s though it never did before", s)
	case unplugged:
		return "the source went away"
	case silent:
		return "the source says nothing"
	}
	return fmt.Sprintf("no readings for %.1f s", s)
}

// lose begins a time without sight, or goes on with it, and raises the alarm if
// there is force. d is how long the cause has lasted.
func (e *Engine) lose(c cause, d time.Duration, alarm bool) {
	l := &e.look
	if !l.lost {
		l.lost, l.lostN = true, e.ringN
		e.gaps++
		e.gapBegins()
		e.tell(Event{Kind: EvLost, Text: c.text(d)})
	}
	l.since = never
	e.blind.below = never
	switch {
	case e.blind.active:
		e.changeCause(c, d)
		return
	case !alarm:
		return
	}
	l.cause, l.causeAt = c, e.t
	e.blind.trips = true
	e.raise(&e.blind, Alarm{Level: Stop, Raised: e.t, Blind: true, Text: blindText(c, d)})
}

// changeCause keeps the words of an active blindness true. Somebody who took
// note of one cause has not taken note of another: what was acknowledged is
// raised again, and so is a sensor that clips, acknowledged or not.
func (e *Engine) changeCause(c cause, d time.Duration) {
	l := &e.look
	if c == l.cause {
		l.causeAt = e.t
		return
	}
	if !e.replaces(c) {
		return
	}
	l.cause, l.causeAt = c, e.t
	a := e.blind.alarm
	if a.Acked || c.kind == clipped {
		a.Raised = e.t
	}
	a.Acked, a.Text = false, blindText(c, d)
	e.raise(&e.blind, a)
}

// replaces says whether a cause takes the place of the one that was told. A
// clipped sensor, a reading that stands still and the source's own word do at
// once. Faulty readings do when the other cause was not seen for a second, so
// that a loose contact does not chatter. That there are no readings adds nothing
// to a source that said so itself.
func (e *Engine) replaces(c cause) bool {
	told := e.look.cause.kind
	switch c.kind {
	case clipped, still, unplugged, silent:
		return true
	case nothing, hole:
		if told == unplugged || told == silent || told == nothing || told == hole {
			return false
		}
	}
	return e.t-e.look.causeAt >= faultPause
}

func blindText(c cause, d time.Duration) string {
	return "cannot see the force: stop pumping (" + c.text(d) + "); release the pressure before acknowledging"
}
