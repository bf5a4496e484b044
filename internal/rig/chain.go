package rig

import (
	"math"

	"draghand/internal/si"
)

// Chain turns the sensor's raw number into pressure and forces. It is a plain
// value without pointers: build it once, copy it freely, ask it from any
// goroutine. Nothing it does allocates.
//
// Every kind of sensor comes down to one straight line through the raw number
// at the low end of the range, and to the raw numbers at which its bands end:
//
//	p = low + slope·(raw − rawLow)
//
// A Chain of a Rig that does not Validate answers NotANumber and zeros.
type Chain struct {
	low, high si.Pressure
	rawLow    float64
	slope     float64 // Pa per one of the raw number
	bands     bands
	step      si.Pressure
	ram       curve // ram force: area × rising friction factor per Pa, or what a calibration says
	bar       curve // force on the specimen where a calibration in its place says it
	barOwn    bool  // bar counts
	share     float64
	weight    si.Force // taken off the ram force before the share; negative where it adds
}

// Chain builds the converter of the rig.
func (r *Rig) Chain() Chain {
	s := &r.Sensor
	c := Chain{
		low:    s.Low,
		high:   s.High,
		ram:    straight(float64(r.Ram.Area) * r.Ram.rising()),
		share:  r.Path.BarShare(),
		weight: r.Path.lost(),
	}
	c.calibrate(r)
	unit := s.signalPerRaw(r.Ram.Area)
	c.rawLow = s.SigLow / unit
	c.slope = float64(s.High-s.Low) / (s.SigHi - s.SigLow) * unit
	if s.Kind == PressureOut || s.Kind == ForceOut {
		// The number is the pressure, or the force over the area, itself.
		c.rawLow, c.slope = float64(s.Low)/unit, unit
	}
	c.bands = s.bands(unit, c.rawLow, c.slope)
	if s.Bits > 0 || s.Kind == Counts {
		c.step = si.Pressure(c.slope)
	}
	if !finite(c.rawLow) || !finite(c.slope) || c.slope <= 0 {
		return Chain{slope: math.NaN()}
	}
	return c
}

// rising is the factor of seal friction on the ram's force while the load
// rises. A closed-off ram pushed in by the press carries its friction on top of
// the oil, so the gauge reads low; a pumped ram loses it, so the gauge reads
// high.
func (r Ram) rising() float64 {
	if r.Role == ActuatorRam {
		return 1 - r.Friction
	}
	return 1 + r.Friction
}

// risingMost is the largest the rising factor can be within the friction's
// band: the unsafe edge for a limit.
func (r Ram) risingMost() float64 { return r.rising() + r.FrictionBand }

// lost is what the weight of the moving parts takes off the ram's force on its
// way to the bar: a ram that pushes up has to lift it, one that pushes down has
// it added.
func (p Path) lost() si.Force {
	if p.RamPushes == "down" {
		return -p.Weight
	}
	return p.Weight
}

// signalPerRaw is what one of the raw number is as a signal: volts, amperes, a
// fraction of the supply, counts, pascals.
func (s *Sensor) signalPerRaw(area si.Area) float64 {
	volts := 1.0 // a bare number of a voltage or ratiometric sensor is in volts
	if s.Bits > 0 {
		volts = float64(s.Reference) / s.Divisor / s.Divider
	}
	switch s.Kind {
	case Ratiometric:
		return volts / float64(s.Supply)
	case VoltageOut:
		return volts
	case CurrentLoop:
		if s.Bits > 0 {
			return volts / float64(s.Shunt)
		}
		return si.Milliampere
	case PressureOut:
		return s.UnitFactor
	case ForceOut:
		return s.UnitFactor / float64(area)
	case Counts:
		return 1
	}
	return math.NaN()
}

// rawMost bounds the raw number before any arithmetic: no converter and no
// board sends more, and within it no product below overflows.
const rawMost = 1e15

// Pressure is the gauge pressure of a raw number, before any zero is taken off,
// and what the reading is worth. Only OK may move anything; the pressure of any
// other reading is evidence, no measurement, and is finite all the same.
func (c Chain) Pressure(raw float64) (si.Pressure, Signal) {
	if raw-raw != 0 || !(c.slope > 0) { // NaN, infinite; a chain of no rig
		return 0, NotANumber
	}
	at := min(max(raw, -rawMost), rawMost)
	return c.low + si.Pressure(c.slope*(at-c.rawLow)), c.bands.of(raw)
}

// Step is the pressure of one converter count; 0 where the raw number is no
// count.
func (c Chain) Step() si.Pressure { return c.step }

// Range is the span of the sensor, high end less low end.
func (c Chain) Range() si.Pressure { return c.high - c.low }

// calibrate puts what a calibration says in the place of what the file says. One
// at the specimen says nothing of the ram, and nothing of a bar on the other side.
func (c *Chain) calibrate(r *Rig) {
	k := r.Calibration
	if k == nil {
		return
	}
	switch k.At {
	case AtGauge: // the true pressure, and all behind it as the file says
		c.ram = k.Line.curve().times(c.ram.slope)
	case AtRam:
		c.ram = k.Line.curve()
	case AtSpecimen:
		if k.Far == r.Path.BarFar {
			c.bar, c.barOwn = k.Line.curve(), true
		}
	}
}

// Ram is the ram's force at a gauge pressure above the zero, with the friction
// of a rising load by the ram's role, or as the calibration says. It never
// switches to the falling one.
func (c Chain) Ram(p si.Pressure) si.Force { return si.Force(c.ram.at(p)) }

// Specimen is the force on the specimen at a gauge pressure above the zero:
// what the weight of the moving parts leaves of the ram's force, times the
// share. It is the line of a loaded rig: with a ram that pushes up, pressures
// below the weight give a small negative force, which is no load yet. Where a
// calibration in the specimen's place is used, it is what that one says.
func (c Chain) Specimen(p si.Pressure) si.Force {
	if c.barOwn {
		return si.Force(c.bar.at(p))
	}
	return si.Force(c.share) * (c.Ram(p) - c.weight)
}

// PressureForRam is the gauge pressure above the zero at a ram force.
func (c Chain) PressureForRam(f si.Force) si.Pressure { return c.ram.inverse(float64(f)) }

// PressureForSpecimen is the gauge pressure above the zero at a force on the
// specimen.
func (c Chain) PressureForSpecimen(f si.Force) si.Pressure {
	if c.barOwn {
		return c.bar.inverse(float64(f))
	}
	if c.share <= 0 {
		return 0
	}
	return c.PressureForRam(f/si.Force(c.share) + c.weight)
}

// Knee is the pressure above the zero below which the forces rise at another rate
// than above: the least of a calibration line with an offset. 0: the forces are
// straight lines.
func (c Chain) Knee() si.Pressure {
	if c.barOwn {
		return c.bar.knee
	}
	return c.ram.knee
}

// RamPer is what the ram's force rises by with each Pa, N, from the knee on.
func (c Chain) RamPer() float64 { return c.ram.slope }

// SpecimenPer is the same of the force on the specimen.
func (c Chain) SpecimenPer() float64 {
	if c.barOwn {
		return c.bar.slope
	}
	return c.share * c.ram.slope
}

func finite(v float64) bool { return v-v == 0 }
