package bench

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/watch"
)

const (
	// zeroOwn of the sensor's range is how far its own zero may lie off: what reads
	// more cannot be a sensor that moved (docs/engine.md).
	zeroOwn = 0.02
	// A zero of what reads as load is only taken where it is asked for again, so
	// long after the first time: not by a finger that presses twice.
	againFrom = 2 * time.Second
	againTill = 30 * time.Second
)

// Zero asks the look for a new zero. Whether it is taken shows in View.Look. What
// reads as load is refused with the reason: a zero would hide it. Where it may be
// the sensor that has moved, a person who has looked asks again; the zero is then
// taken, and arming wants a reason.
func (b *Bench) Zero() error {
	b.mu.Lock()
	defer b.mu.Unlock()
	snap := b.snapshot()
	switch {
	case b.running != nil:
		return errors.New("a pull is being recorded: ask it for its zero")
	case snap == nil || b.form.rig == nil:
		return errors.New("no zero: nothing is read yet")
	}
	m, s := b.moment(snap), &snap.State
	if m.underLoad(s) {
		if err := b.zeroUnderLoad(m, s); err != nil {
			return err
		}
	} else {
		b.zeroAsked = time.Time{}
		if s.Phase == pull.Slack {
			b.look.w.Do(watch.ZeroNow)
			return nil
		}
	}
	// A look that has seen load takes no zero any more: another is begun.
	if !b.look.ask.Load() { // else it is on its way
		b.anew = true
		b.kick()
	}
	return nil
}

// zeroUnderLoad says why no zero is taken of what reads as load; nil where the
// person asked again. The caller holds mu.
func (b *Bench) zeroUnderLoad(m *moment, s *pull.State) error {
	what := fmt.Sprintf("no zero taken: it would hide the load of %s: take it off", s.Live.Specimen.Text(m.units))
	by := float64(s.Zero.Pressure + s.Live.Gauge)
	if math.Abs(by) > zeroOwn*float64(m.rig.Chain().Range()) {
		return errors.New(what)
	}
	since := time.Since(b.zeroAsked)
	if since >= againFrom && since <= againTill {
		b.zeroAsked = time.Time{}
		return nil
	}
	if since > againTill {
		b.zeroAsked = time.Now()
	}
	return fmt.Errorf("%s; if it is the sensor that has moved, ask again after %g s", what, againFrom.Seconds())
}

// underLoad says that the look shows load. A force under nothing is none.
func (m *moment) underLoad(s *pull.State) bool {
	if s.Zero.Set || m.rig.Sensor.Zeroed {
		return float64(s.Live.Specimen) > m.threshold(s)
	}
	return s.Phase != pull.Slack && s.Outcome == ""
}

// trusted is the zero of the sitting that later ones are held against.
type trusted struct {
	raw    float64
	at     time.Time
	from   string     // source
	sensor rig.Sensor // of the rig it was taken on
}

// noteZero keeps the first zero of the sitting, and any that lies lower: load only
// ever reads higher.
func (b *Bench) noteZero() {
	b.mu.Lock()
	defer b.mu.Unlock()
	snap := b.snapshot()
	if snap == nil || !snap.State.Zero.Set {
		return
	}
	b.trustZero(snap, false)
}

// trustZero makes the look's zero the one that later ones are held against: where
// it is the first, lower than that, or accepted by the person. The caller holds mu.
func (b *Bench) trustZero(snap *watch.Snapshot, accepted bool) {
	z, r, from := snap.State.Zero, b.form.rig, b.form.source()
	old := b.trust
	if old != nil && old.from == from && reflect.DeepEqual(old.sensor, r.Sensor) && !accepted {
		if was, sig := r.Chain().Pressure(old.raw); sig.Valid() && z.Pressure >= was {
			return
		}
	}
	b.trust = &trusted{raw: z.Raw, at: time.Now(), from: from, sensor: r.Sensor}
	b.changed()
}

// refuseZero wants a zero that can be believed. One reason is enough.
func (m *moment) refuseZero(s *pull.State, may func(what, next string)) {
	if far, ok := m.zeroMoved(s); ok {
		may(fmt.Sprintf("the zero has moved by %s since the last pull on this rig, more than 1 %% of the sensor's range", fine(far, m.units)),
			"take all load off the rig and take a new zero; if it stays, find out why: a sensor that moves cannot be trusted")
		return
	}
	const next = "see that the ram is without pressure and nothing pulls on the bar, and take a new zero; if it is the sensor, arm with that as the reason"
	if by, ok := m.zeroRisen(s); ok {
		may(fmt.Sprintf("the zero was taken %s higher than at %s, %s on the specimen: it may be load", fine(by, m.units), m.trust.at.Format(time.TimeOnly),
			(m.rig.Chain().Specimen(by)-m.rig.Chain().Specimen(0)).Text(m.units)), next)
		return
	}
	if m.lastZero == nil && s.Zero.Set && math.Abs(float64(s.Zero.Pressure)) > zeroNear*float64(m.rig.Chain().Range()) {
		may(fmt.Sprintf("no earlier zero of this rig is known, and this one lies %s from the sensor's own, more than 1 %% of its range: it may be load", fine(s.Zero.Pressure, m.units)), next)
	}
}

// zeroRisen is how much higher than the one trusted the zero lies, and whether as
// much as counts for load.
func (m *moment) zeroRisen(s *pull.State) (si.Pressure, bool) {
	if m.trust == nil || !s.Zero.Set || m.trust.from != m.from || !reflect.DeepEqual(m.trust.sensor, m.rig.Sensor) {
		return 0, false
	}
	chain := m.rig.Chain()
	was, sig := chain.Pressure(m.trust.raw)
	by := s.Zero.Pressure - was
	return by, sig.Valid() && float64(chain.Specimen(by)-chain.Specimen(0)) > m.threshold(s)
}
