package rig

import "draghand/internal/si"

// First is where one thing ends the pull: a part at its stop, or the sensor at
// the end of what it can read. Its pressure is above the zero, its forces are the
// best estimates then. For what is held against the gauge itself it supposes a
// zero of nothing.
type First struct {
	Part     string // name of the limit
	Bound    Bound  // its limit
	Gauge    si.Pressure
	Ram      si.Force
	Specimen si.Force
}

// FirstAt is the known limit that reaches a ratio of its allowable first; ok is
// false where no part has one. At Alarm.Stop it is the limit, and are the numbers,
// that a rig check, a plan, the bench and the alarm of a pull name alike.
func (r *Rig) FirstAt(ratio float64) (first First, ok bool) {
	c := r.Chain()
	for _, b := range r.Bounds() {
		if !(b.Load(1, 1) > b.Load(0, 0)) {
			continue // no load reaches it
		}
		p := b.PressureAt(ratio)
		if !ok || p < first.Gauge {
			first, ok = First{Part: b.Limit.Name, Bound: b, Gauge: p, Ram: c.Ram(p), Specimen: c.Specimen(p)}, true
		}
	}
	return first, ok
}

// FirstStop is the known limit that comes to its stop first; nil where no part
// has one.
func (r *Rig) FirstStop() *First {
	if first, ok := r.FirstAt(r.Alarm.Stop); ok {
		return &first
	}
	return nil
}

// SeenTo is the gauge pressure up to which the rig can be read: the top of the
// sensor's range, or where the converter is full before it.
func (r *Rig) SeenTo() si.Pressure {
	top := r.Sensor.High
	if at, ok := r.clippedAt(); ok {
		top = min(top, at)
	}
	return top
}

// Where says in words on what a limit acts: "on each side".
func (p Place) Where() string { return p.where() }

// Loads is a load in its three places: at the gauge above the zero, and by the
// best estimate on the ram and on the specimen.
type Loads struct {
	Gauge    si.Pressure `json:"gauge_pa"`
	Ram      si.Force    `json:"ram_n"`
	Specimen si.Force    `json:"specimen_n"`
}

// Derived is what follows from a rig file: what its parts may carry and where
// their alarms come, what one count is worth, what to look at.
type Derived struct {
	Limits  []DerivedLimit `json:"limits"` // known ones, the first to be reached in front
	Unknown []string       `json:"unknown_parts"`
	// Count is one count of the converter; all 0 where the board sends no counts.
	Count    Loads       `json:"count"`
	SeenTo   si.Pressure `json:"seen_to_pa"` // how far the sensor can be read
	Cautions []string    `json:"cautions"`
}

// DerivedLimit is a known limit and where its alarms come.
type DerivedLimit struct {
	Name       string      `json:"name"`
	Kind       LimitKind   `json:"kind"`
	At         Place       `json:"at"`
	Allowable  si.Force    `json:"allowable_n,omitempty"`
	AllowableP si.Pressure `json:"allowable_pa,omitempty"` // of a limit at the gauge
	Factor     float64     `json:"design_factor"`
	// FactorWords is the design factor in words, Governing the name of the weakest
	// mode of a computed limit; the rig's own limits hold all modes.
	FactorWords string `json:"design_factor_words"`
	Governing   string `json:"governing,omitempty"`
	Nearest     bool   `json:"nearest"`
	Allowed     Loads  `json:"allowed"` // the moment at which the unsafe edge reaches the allowable
	Caution     Loads  `json:"caution"`
	Warning     Loads  `json:"warning"`
	Stop        Loads  `json:"stop"`
}

// Derive works out what follows from the rig; texts are in the units given.
func (r *Rig) Derive(sys si.System) Derived {
	c := r.Chain()
	at := func(p si.Pressure) Loads { return Loads{p, c.Ram(p), c.Specimen(p)} }
	step := c.Step()
	out := Derived{
		Limits: []DerivedLimit{}, Unknown: append([]string{}, r.UnknownParts()...), SeenTo: r.SeenTo(),
		// A difference of pressure: the weight in the path falls out.
		Count:    Loads{step, si.Force(float64(step) * c.RamPer()), si.Force(float64(step) * c.SpecimenPer())},
		Cautions: append([]string{}, r.Cautions(sys)...),
	}
	for i, b := range r.Nearest() {
		d := DerivedLimit{
			Name: b.Limit.Name, Kind: b.Limit.Kind, At: b.Limit.At, Factor: b.Limit.Factor, Nearest: i == 0,
			FactorWords: b.Limit.FactorWords(), Allowed: at(b.PressureAt(1)),
			Caution: at(b.PressureAt(r.Alarm.Caution)), Warning: at(b.PressureAt(r.Alarm.Warning)), Stop: at(b.PressureAt(r.Alarm.Stop)),
		}
		if b.Limit.At == AtGauge {
			d.AllowableP = si.Pressure(b.Allowable)
		} else {
			d.Allowable = si.Force(b.Allowable)
		}
		if m, ok := b.Limit.Governing(); ok {
			d.Governing = m.Name
		}
		out.Limits = append(out.Limits, d)
	}
	return out
}
