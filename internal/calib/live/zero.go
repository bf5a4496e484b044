package live

import (
	"errors"
	"fmt"
	"math"
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// How far a zero may lie, of the sensor's range, by the rules of a pull's zero
// (docs/engine.md).
const (
	zeroNearLast = 0.01
	zeroNearOwn  = 0.02
)

// zero is what stands for no load.
type zero struct {
	have     bool
	at       float64 // Pa, by the sensor's own line
	raw      float64
	afterDue bool // the load has come off since the last zero after it
}

// sent is the zero of numbers that were sent with theirs taken off.
func (z *zero) sent(c rig.Chain) {
	p0, _ := c.Pressure(0)
	p1, _ := c.Pressure(1)
	z.have, z.at = true, 0
	if slope := float64(p1 - p0); slope != 0 {
		z.raw = -float64(p0) / slope
	}
}

// tendZero takes the first zero by itself, and the zero after the load. The caller
// holds mu.
func (t *Taking) tendZero() {
	if !t.still.steady {
		return
	}
	w := &t.still.w
	switch {
	case !t.zero.have:
		if t.farZero(w.p) == "" {
			t.setZero()
		}
	case t.zero.afterDue && math.Abs(w.p-t.zero.at) <= nearZero*t.way.span:
		t.zeroAfter()
	}
}

// setZero makes the mean that stands now the zero. The caller holds mu.
func (t *Taking) setZero() {
	t.zero = zero{have: true, at: t.still.w.p, raw: t.still.w.raw}
	t.run.Zero, t.run.ZeroAfter = t.zero.raw, nil
	t.run.ZeroU = si.Pressure(t.still.w.sd / math.Sqrt(float64(max(1, t.still.w.n))))
	t.way.forget()
	t.change++
}

// zeroAfter makes it the zero after the points. The caller holds mu.
func (t *Taking) zeroAfter() {
	raw := t.still.w.raw
	t.run.ZeroAfter, t.zero.afterDue = &raw, false
	t.change++
}

// farZero says why a mean is no zero to be taken by itself; empty where it is. The
// caller holds mu.
func (t *Taking) farZero(p float64) string {
	u := t.o.Run.Rig.Units
	if t.o.LastZero != nil {
		if last, s := t.chain.Pressure(*t.o.LastZero); s.Valid() && math.Abs(p-float64(last)) > zeroNearLast*t.way.span {
			return fmt.Sprintf("the reading lies %s from the last zero of this rig, %s allowed: take all load off; if there is none, ask for the zero",
				fine(p-float64(last), u), fine(zeroNearLast*t.way.span, u))
		}
		return ""
	}
	return t.farOwn(p)
}

// farOwn says why a mean can be no zero at all.
func (t *Taking) farOwn(p float64) string {
	if math.Abs(p) <= zeroNearOwn*t.way.span {
		return ""
	}
	u := t.o.Run.Rig.Units
	return fmt.Sprintf("the reading lies %s from the sensor's own zero, %s allowed: take all load off; if there is none, look at the sensor and at its numbers in the rig file",
		fine(p, u), fine(zeroNearOwn*t.way.span, u))
}

// zeroNote says why there is no zero yet. The caller holds mu.
func (t *Taking) zeroNote() string {
	switch {
	case t.zero.have:
		return ""
	case !t.seen:
		return "no reading has come yet"
	case !t.signal.Valid():
		return "the sensor cannot be read: " + t.signal.String()
	case t.still.steady:
		return t.farZero(t.still.w.p)
	}
	if why := t.still.moving(0, t.o.Run.Rig.Units); why != "" {
		return "the reading does not stand still (" + why + "): no load on the rig, nobody at the pump"
	}
	return fmt.Sprintf("wait %g s with no load on the rig", stillFor.Seconds())
}

// Zero takes the reading that stands still as the zero: before the first point as
// the zero of the run, after it as the zero after the points. What reads as load is
// refused; where it may be the sensor that has moved, a person who has looked asks
// again.
func (t *Taking) Zero() error {
	t.mu.Lock()
	defer t.mu.Unlock()
	if t.o.Run.Rig.Sensor.Zeroed {
		return errors.New("the board takes the zero off its numbers itself: take it there")
	}
	if err := t.stands("no zero taken"); err != nil {
		return err
	}
	w := &t.still.w
	if why := t.farOwn(w.p); why != "" {
		return errors.New("no zero taken: " + why)
	}
	if off := w.p - t.zero.at; t.zero.have && off > nearZero*t.way.span && !t.again("zero") {
		return fmt.Errorf("no zero taken: it would hide %s above the zero: take the load off; if it is the sensor that has moved, ask again",
			si.Pressure(off).Text(t.o.Run.Rig.Units))
	}
	t.unsure = doubt{}
	if len(t.run.Points) > 0 {
		t.zeroAfter()
		return nil
	}
	t.setZero()
	t.w.Do(watch.ZeroNow) // the alarms reckon from the look's own
	return nil
}

// doubt is what was refused a moment ago and is done where it is asked for again.
type doubt struct {
	what string
	at   time.Time
}

const (
	againFrom = time.Second // not a key pressed twice
	againTill = 60 * time.Second
)

// again says whether the same was refused a moment ago, and notes it. The caller
// holds mu.
func (t *Taking) again(what string) bool {
	since := time.Since(t.unsure.at)
	if t.unsure.what == what && since >= againFrom && since <= againTill {
		t.unsure = doubt{}
		return true
	}
	if t.unsure.what != what || since > againTill {
		t.unsure = doubt{what: what, at: time.Now()}
	}
	return false
}
