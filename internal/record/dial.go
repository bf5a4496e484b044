package record

import (
	"errors"
	"fmt"
	"math"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// Dial is what a person read by eye, once, off a dial gauge: all that there is of
// a pull without a trace. The peak is a gauge pressure or a force, never both.
type Dial struct {
	Pressure *si.Pressure `json:"peak_pa,omitempty"` // above the zero of the dial, > 0
	Force    *si.Force    `json:"peak_n,omitempty"`  // > 0
	At       rig.Place    `json:"at,omitempty"`      // of a force: ram or specimen
	// The smallest division that could be read, ±, in the quantity of the peak;
	// missing: not stated.
	PressureError *si.Pressure `json:"reading_error_pa,omitempty"`
	ForceError    *si.Force    `json:"reading_error_n,omitempty"`
	Outcome       pull.Phase   `json:"outcome"` // as the person says; unclear where they do not
}

// ParseDial reads a peak such as "5200 psi ± 50 psi" or "62 kN". A force is one
// on the ram, unless at says that it is on the specimen; at is empty for a
// pressure. The outcome is left to the caller.
func ParseDial(text string, at rig.Place) (Dial, error) {
	value, tol := si.SplitTolerance(text)
	if p, err := si.ParsePressure(value); err == nil {
		if at != "" {
			return Dial{}, fmt.Errorf("%q is a pressure: only a force acts on the %s", text, at)
		}
		e, err := part(text, p, tol, si.ParsePressure)
		return Dial{Pressure: &p, PressureError: e}, err
	}
	f, err := si.ParseForce(value)
	if err != nil {
		return Dial{}, fmt.Errorf("%q is neither a gauge pressure, such as \"5200 psi\" or \"360 bar\", nor a force, such as \"62 kN\" or \"14000 lbf\"", value)
	}
	if at == "" {
		at = rig.AtRam
	}
	e, err := part(text, f, tol, si.ParseForce)
	return Dial{Force: &f, At: at, ForceError: e}, err
}

// part looks at a value and reads the ± behind it; nil where there is none.
func part[T ~float64](text string, v T, tol string, parse func(string) (T, error)) (*T, error) {
	if !(v > 0) {
		return nil, fmt.Errorf("%q is no load: the drag hand stands above zero after a pull", text)
	}
	if tol == "" {
		return nil, nil
	}
	e, err := parse(tol)
	switch {
	case err != nil:
		return nil, fmt.Errorf("the ± of %q: %w", text, err)
	case !(e >= 0 && e < v):
		return nil, fmt.Errorf("the ± of %q is not between nothing and the value", text)
	}
	return &e, nil
}

// Gauge is the gauge pressure of the peak on a rig, and its ±, 0 where not
// stated.
func (d Dial) Gauge(r *rig.Rig) (p, e si.Pressure) {
	c := r.Chain()
	switch {
	case d.Pressure != nil:
		p = *d.Pressure
		if d.PressureError != nil {
			e = *d.PressureError
		}
		return p, e
	case d.Force == nil:
		return 0, 0
	}
	to := c.PressureForRam
	if d.At == rig.AtSpecimen {
		to = c.PressureForSpecimen
	}
	p = to(*d.Force)
	if d.ForceError != nil {
		e = to(*d.Force+*d.ForceError) - p
	}
	return p, e
}

// Fits refuses what cannot have been read on a rig.
func (d Dial) Fits(r *rig.Rig) error {
	p, _ := d.Gauge(r)
	if !(p > 0) || math.IsInf(float64(p), 0) {
		return errors.New("the peak is no load on this rig")
	}
	if r.Sensor.High > 0 && p > r.Sensor.High {
		return fmt.Errorf("the peak of %s on the gauge is past its range, which ends at %s", p.Text(r.Units), r.Sensor.High.Text(r.Units))
	}
	if f := r.Chain().Specimen(p); !(f > 0) {
		return fmt.Errorf("at %s on the gauge nothing reaches the specimen: the ram only bears the weight of the parts", p.Text(r.Units))
	}
	return nil
}

// dialState is the state that stands for a pull without a trace: the peak by the
// same chain as any, no reading, no time.
func (h Head) dialState() pull.State {
	d, c := h.Dial, h.Rig.Chain()
	s := pull.State{
		Kind: h.Kind, Phase: d.Outcome, Outcome: d.Outcome, Nearest: -1,
		Zero: pull.Zero{Quality: "none"}, Eye: &pull.Eye{},
	}
	p, e := d.Gauge(h.Rig)
	if !(p > 0) { // a head that no program of ours wrote
		return s
	}
	s.Peak = pull.Point{Gauge: p, Ram: c.Ram(p), Specimen: c.Specimen(p), Stress: si.StressOn(c.Specimen(p), h.Specimen.Area())}
	s.Eye.Error = c.Specimen(p+e) - s.Peak.Specimen
	for _, b := range h.Rig.Bounds() {
		l := pull.Limit{
			Name: b.Limit.Name, At: b.Limit.At, Allowable: b.Allowable,
			PeakRatio: b.Ratio(p, p), AtForce: c.Specimen(b.PressureAt(h.Rig.Alarm.Stop)),
		}
		if s.Nearest < 0 || l.PeakRatio > s.Limits[s.Nearest].PeakRatio {
			s.Nearest = len(s.Limits)
		}
		s.Limits = append(s.Limits, l)
	}
	return s
}

// CreateDial makes the whole record of a pull without a trace on a shelf, closed,
// and gives its folder and the state it stands for. The head's Dial must be set
// and fit the rig. samples.csv holds its header alone.
func CreateDial(shelf string, h Head) (dir string, s pull.State, err error) {
	if h.Dial == nil || h.Rig == nil {
		return "", s, errors.New("make a record without a trace: no peak, or no rig")
	}
	h.Rig = h.placed()
	if err := h.Dial.Fits(h.Rig); err != nil {
		return "", s, err
	}
	w, err := Create(shelf, h)
	if err != nil {
		return "", s, err
	}
	s = h.dialState()
	c := ClosingFrom(s, ByPerson)
	c.Ended = h.Started
	return w.Dir(), s, w.Close(c)
}
