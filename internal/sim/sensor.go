package sim

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// transducer turns the oil's pressure into the number the board sends. Every
// kind of sensor is a straight line from pressure to number, so the whole chain
// (signal, shunt or divider, reference) folds into two figures.
type transducer struct {
	zero, gain float64 // number at no pressure, number per pascal
	full       float64 // number at which the converter is at its end
	least      float64 // the smallest number there is
	whole      bool    // whole codes of a converter
	decimals   int     // where it is no code
	digits     float64 // 10^decimals
	electric   bool    // there is a wire that can come off; the number is then 0

	span       float64     // Pa, of the range
	offset     si.Pressure // of the zero, fixed in a pull
	zeroReturn si.Pressure // how much of it moves with the break
	sd         si.Pressure // of the noise
}

// How good the simulated transducer is, as fractions of its range but for the
// last.
const (
	zeroOffset = 0.003   // at most, either side
	zeroMoves  = 0.0003  // at most, either side, over the pull
	noiseSD    = 0.00035 // a little over one count of 12 bits on 4 to 20 mA
	noiseCount = 0.7     // counts: the least noise a converter shows
	overrange  = 0.125   // past the range, where no converter ends it: 22 mA, 5.0 V
)

func newTransducer(r *rig.Rig, rng *rand.Rand) (transducer, error) {
	var (
		s    = r.Sensor
		x    = transducer{least: math.Inf(-1)}
		span = float64(s.High - s.Low)
		low  = s.SigLow
		high = s.SigHi
	)
	if span == 0 && (s.Kind == rig.PressureOut || s.Kind == rig.ForceOut) {
		span = 700 * si.Bar // a board that sends units need not say its range
	}
	if !(span > 0) || math.IsInf(span, 0) {
		return x, errors.New("simulated sensor: its pressure range is empty; give the sensor's low and high end")
	}
	x.electric, x.span = true, span
	switch s.Kind {
	case rig.Ratiometric:
		supply := float64(s.Supply)
		if supply <= 0 {
			supply = 5
		}
		low, high = low*supply, high*supply
		low, high = x.convert(s, low, high)
	case rig.VoltageOut:
		low, high = x.convert(s, low, high)
	case rig.CurrentLoop:
		shunt := float64(s.Shunt)
		if s.Bits == 0 {
			low, high = low*1e3, high*1e3 // the board sends milliamperes
		} else {
			low, high = x.convert(s, low*shunt, high*shunt)
		}
	case rig.Counts:
		x.whole = true
		if s.Bits > 0 {
			x.least, x.full = 0, math.Ldexp(1, s.Bits)-1
		}
	case rig.PressureOut, rig.ForceOut:
		x.electric = false
		unit := s.UnitFactor
		if unit <= 0 {
			unit = 1
		}
		low, high = float64(s.Low)/unit, (float64(s.Low)+span)/unit
		if s.Kind == rig.ForceOut {
			low, high = low*float64(r.Ram.Area), high*float64(r.Ram.Area)
		}
	default:
		return x, fmt.Errorf("simulated sensor: kind %q is not known", s.Kind)
	}
	x.gain = (high - low) / span
	x.zero = low - x.gain*float64(s.Low)
	if x.gain == 0 || math.IsNaN(x.gain) || math.IsInf(x.gain, 0) {
		return x, errors.New("simulated sensor: its signal does not change with pressure; look at signal, shunt, reference and divisor")
	}
	if x.full == 0 {
		x.full = high + overrange*(high-low)
	}
	if !x.whole {
		// A last digit of a 20,000th of the range, a good converter's.
		x.decimals = min(9, max(0, int(math.Ceil(-math.Log10(math.Abs(high-low)/20000)))))
	}
	x.digits = math.Pow10(x.decimals)
	x.offset = si.Pressure(span * zeroOffset * (2*rng.Float64() - 1))
	x.zeroReturn = si.Pressure(span * zeroMoves * (2*rng.Float64() - 1))
	x.sd = si.Pressure(span * noiseSD)
	if x.whole {
		x.sd = max(x.sd, si.Pressure(noiseCount/math.Abs(x.gain)))
	}
	return x, nil
}

// convert turns a voltage at the sensor into the converter's code, or leaves
// it a voltage where there is no converter.
func (x *transducer) convert(s rig.Sensor, low, high float64) (float64, float64) {
	divider := s.Divider
	if divider <= 0 {
		divider = 1
	}
	if s.Bits == 0 {
		return low * divider, high * divider
	}
	reference, divisor := float64(s.Reference), s.Divisor
	if reference <= 0 {
		reference = 5
		if s.Kind == rig.Ratiometric && s.Supply > 0 {
			reference = float64(s.Supply) // the converter measures against the supply
		}
	}
	if divisor <= 0 {
		divisor = math.Ldexp(1, s.Bits)
	}
	x.whole, x.least, x.full = true, 0, math.Ldexp(1, s.Bits)-1
	code := divider / reference * divisor
	return low * code, high * code
}

// raw is the number sent for a pressure as the transducer feels it.
func (x *transducer) raw(p si.Pressure) float64 {
	return x.clamp(x.zero + x.gain*float64(p))
}

// clamp rounds to what the board can send.
func (x *transducer) clamp(v float64) float64 {
	if x.whole {
		v = math.Round(v)
	} else {
		v = math.Round(v*x.digits) / x.digits
	}
	if x.full > x.least {
		v = min(v, x.full)
	}
	return max(v, x.least)
}

// count is the smallest step of the number sent.
func (x *transducer) count() float64 { return 1 / x.digits }
