package rig

import "draghand/internal/si"

// Bound is a known limit as a straight line over the gauge pressure, drawn
// through the unsafe edge of everything stated with ±: the largest ram area,
// the largest rising friction factor of the band, the largest share on the side
// the limit is on. So it tells earlier than the best estimate would, never
// later. The transducer's own accuracy is not in it: whether the pressure is
// right is what a calibration shows. Where one is used, the bound is the larger
// of that edge and of the calibration's own upper one: a calibration can bring an
// alarm nearer, never further away. That one bends, but rises all the way.
type Bound struct {
	Limit     Limit
	Allowable float64 // newtons; pascals where Limit.At is AtGauge
	gain      float64 // N per Pa
	offset    float64 // N
	// The calibrated edge is calGain · cal + calOffset; none where calGain is 0.
	cal       verge
	calGain   float64
	calOffset float64
}

// Bounds are the rig's limits that are known, in the order of the file. Parts
// of which nothing is known are in UnknownParts.
func (r *Rig) Bounds() []Bound {
	out := make([]Bound, 0, len(r.Limits))
	for _, l := range r.Limits {
		if l.Kind == Unknown {
			continue
		}
		b := Bound{Limit: l, Allowable: l.allowable()}
		ram := (float64(r.Ram.Area) + float64(r.Ram.AreaTol)) * r.Ram.risingMost()
		lost := float64(r.Path.lost())
		at := l.At
		if r.Path.BarFar && (at == AtSpecimen || at == AtFar) {
			// Parts of a rig stay where they are, but the link that made room for
			// the bar mostly takes the bar's place, and the program cannot see
			// which parts were carried over.
			at = AtSides
		}
		share := 1.0
		switch at {
		case AtGauge:
			b.gain = 1
		case AtRam:
			b.gain = ram
		case AtSpecimen:
			share = min(1, r.Path.Share+r.Path.ShareTol)
			b.gain, b.offset = ram*share, -lost*share
		case AtFar:
			share = min(1, 1-r.Path.Share+r.Path.ShareTol)
			b.gain, b.offset = ram*share, -lost*share
		case AtSides:
			share = min(1, max(r.Path.Share, 1-r.Path.Share)+r.Path.ShareTol)
			b.gain, b.offset = ram*share, -lost*share
		}
		b.calibrate(r, at, ram, share)
		out = append(out, b)
	}
	return out
}

// allowable is capacity over design factor, in N or Pa; 0 where it is none.
func (l Limit) allowable() float64 {
	if l.Factor < 1 {
		return 0
	}
	if l.Kind == PressureLimit {
		return float64(l.Pressure) / l.Factor
	}
	return float64(l.Force) / l.Factor
}

// calibrate adds the calibrated upper edge of a limit that acts at a place: ram is
// the largest force per Pa by the file, share the largest of that place. A
// calibration speaks for its own place and for all behind it. One in the place of
// a side knows that side's force; the ram's and the other side's follow from it as
// far as the share's ± cannot explain it: with the largest share of that side.
func (b *Bound) calibrate(r *Rig, at Place, ram, share float64) {
	k := r.Calibration
	if k == nil {
		return
	}
	gain, lost := 0.0, float64(r.Path.lost())
	switch k.At {
	case AtGauge:
		gain = ram
		if at == AtGauge {
			gain = 1
		}
	case AtRam:
		if at != AtGauge {
			gain = 1
		}
	case AtSpecimen:
		gain, share, lost = k.besides(r.Path, at), 1, 0 // shares and weights are in it
		if at == AtRam {
			b.cal, b.calGain, b.calOffset = k.edge(upper), gain, float64(r.Path.lost())
			return
		}
	}
	if at == AtGauge || at == AtRam {
		share, lost = 1, 0
	}
	if gain > 0 {
		b.cal, b.calGain, b.calOffset = k.edge(upper), gain*share, -lost*share
	}
}

// besides is the force at a place, of that on the side which the calibration was
// made on, less what weight takes; 0 where it says nothing of the place.
func (c *Calibration) besides(p Path, at Place) float64 {
	own := p.Share
	if c.Far {
		own = 1 - p.Share
	}
	own = min(1, own+p.ShareTol)
	if !(own > 0) {
		return 0
	}
	other := (1 - own) / own
	switch at {
	case AtRam:
		return 1 / own
	case AtSides:
		return max(1, other)
	case AtSpecimen, AtFar:
		if c.Far == (at == AtFar) {
			return 1
		}
		return other
	}
	return 0
}

// Load is the load on the part at its unsafe edge, in N, or in Pa for a limit
// at the gauge. p is the gauge pressure above the zero; abs is what the
// transducer itself reads, zero and all: a part that bursts feels that one.
func (b *Bound) Load(p, abs si.Pressure) float64 {
	if b.Limit.At == AtGauge {
		p = abs
	}
	load := b.gain*float64(p) + b.offset
	if b.calGain > 0 {
		load = max(load, b.calGain*b.cal.at(p)+b.calOffset)
	}
	return load
}

// Ratio is Load over Allowable: 1 is the limit.
func (b *Bound) Ratio(p, abs si.Pressure) float64 {
	if b.Allowable <= 0 {
		return 0
	}
	return b.Load(p, abs) / b.Allowable
}

// PressureAt is the gauge pressure above the zero at which the ratio is
// reached. For a limit at the gauge it supposes a zero of nothing.
func (b *Bound) PressureAt(ratio float64) si.Pressure {
	if b.gain <= 0 {
		return 0
	}
	p := si.Pressure((ratio*b.Allowable - b.offset) / b.gain)
	if b.calGain > 0 { // the edge that comes first
		p = min(p, b.cal.inverse((ratio*b.Allowable-b.calOffset)/b.calGain))
	}
	return p
}

// UnknownParts names the parts without a known limit, in the order of the file.
func (r *Rig) UnknownParts() []string {
	var out []string
	for _, l := range r.Limits {
		if l.Kind == Unknown {
			out = append(out, l.Name)
		}
	}
	return out
}
