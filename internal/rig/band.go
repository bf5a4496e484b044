package rig

import (
	"math"

	"draghand/internal/si"
)

// NAMUR NE 43, the bands of a 4 to 20 mA loop: at 3.6 mA and below, and at
// 21.0 mA and above, the transducer itself declares a failure; 3.8 to 20.5 mA
// is a valid signal; between them it is neither. (Four explainer pages agree on
// 3.6 and 21.0, three of them on 3.8 and 20.5; the recommendation itself was
// not seen.)
const (
	loopFailLow  si.Current = 3.6e-3
	loopValidLow si.Current = 3.8e-3
	loopValidTop si.Current = 20.5e-3
	loopLow      si.Current = 4e-3
	loopHigh     si.Current = 20e-3
)

// voltageMargin is how far outside its span, as a fraction of it, a voltage,
// ratiometric or odd current signal may lie and still be believed. Cheap
// transducers state a total error of 1 to 2 % of full scale (common practice,
// no source), so a sound one stays within 2 %; on 0.5 to 4.5 V it makes
// 0.42 to 4.58 V.
const voltageMargin = 0.02

// deadFraction of a live zero is a broken wire: a transducer whose zero is
// 0.5 V cannot send 0.25 V in any state it has, but a pulled-down open input
// reads close to 0 V.
const deadFraction = 0.5

// digitalMargin is the same as voltageMargin for numbers that arrive as
// pressure, force or bare counts: boards may offset and scale them, so that a
// few percent over range can be honest, more than 5 % cannot.
const digitalMargin = 0.05

// edge keeps a reading that lies exactly on a band's end on its stated side,
// whatever the last bit of the conversion does.
const edge = 1e-9

// bands are the raw numbers at which a signal's bands end. An end that does not
// exist is infinite.
type bands struct {
	open  float64 // at or below: open circuit
	below float64 // below: under the valid band
	above float64 // above: over the valid band
	full  float64 // at or above: the converter is full
}

// of is the signal of a finite raw number.
func (b bands) of(raw float64) Signal {
	switch {
	case raw > b.above || raw >= b.full:
		return AboveBand
	case raw >= b.below:
		return OK
	case raw <= b.open:
		return Open
	}
	return BelowBand
}

// bands finds the ends for the sensor: unit is the signal of one raw.
func (s *Sensor) bands(unit, rawLow, slope float64) bands {
	b := bands{open: math.Inf(-1), full: math.Inf(1)}
	switch {
	case s.Kind == CurrentLoop && s.namur():
		b.open = float64(loopFailLow) / unit
		b.below = float64(loopValidLow) / unit
		b.above = float64(loopValidTop) / unit
	case s.Kind == Ratiometric || s.Kind == VoltageOut || s.Kind == CurrentLoop:
		margin := voltageMargin * (s.SigHi - s.SigLow)
		b.below = (s.SigLow - margin) / unit
		b.above = (s.SigHi + margin) / unit
		if s.liveZero() {
			b.open = min(deadFraction*s.SigLow, s.SigLow-margin) / unit
		}
	default:
		span := float64(s.High-s.Low) / slope
		b.below = rawLow - digitalMargin*span
		b.above = rawLow + (1+digitalMargin)*span
	}
	slack := edge * (math.Abs(b.above) + math.Abs(b.below))
	b.open += slack
	b.below -= slack
	b.above += slack
	if s.Bits > 0 {
		// Half a count less than full: a board that averages sends 4094.7 of
		// 4095 when most of its conversions are clipped.
		b.full = math.Ldexp(1, s.Bits) - 1 - 0.5
	}
	return b
}

// namur says whether the loop is a plain 4 to 20 mA one, the only one NE 43
// speaks of.
func (s *Sensor) namur() bool {
	return math.Abs(s.SigLow-float64(loopLow)) < 1e-9 && math.Abs(s.SigHi-float64(loopHigh)) < 1e-9
}

// liveZero says whether a dead wire can be told from no load: the signal's low
// end must lie well above nothing. Numbers that a board has already turned into
// pressure or force carry no such proof.
func (s *Sensor) liveZero() bool {
	switch s.Kind {
	case CurrentLoop, VoltageOut, Ratiometric:
		return s.SigLow-voltageMargin*(s.SigHi-s.SigLow) > 0
	}
	return false
}

// clippedAt is the pressure at which the converter is full, and whether that is
// below the end of the sensor's valid band: from there on the rig is blind.
func (r *Rig) clippedAt() (si.Pressure, bool) {
	c := r.Chain()
	if r.Sensor.Bits == 0 || c.bands.full > c.bands.above {
		return 0, false
	}
	p, _ := c.Pressure(c.bands.full)
	return p, true
}
