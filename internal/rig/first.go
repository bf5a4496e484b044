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

// SeenTo is the gauge pressure up to which the rig can be read: the top of the
// sensor's range, or where the converter is full before it.
func (r *Rig) SeenTo() si.Pressure {
	top := r.Sensor.High
	if at, ok := r.clippedAt(); ok {
		top = min(top, at)
	}
	return top
}
