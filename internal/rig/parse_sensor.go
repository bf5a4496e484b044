package rig

import (
	"fmt"
	"math"

	"draghand/internal/si"
)

const (
	wantForce     = `a force with its unit, as in "250 kN"`
	wantPressure  = `a pressure with its unit, as in "700 bar"`
	wantRange     = `low and high end, as in range = "0 bar .. 700 bar"`
	wantAccuracy  = `"0.5 % of full scale" or "1 % of reading", from the data sheet`
	wantPoints    = `two pairs, as in points = ["820 = 0 bar", "3700 = 600 bar"]`
	wantReference = `the converter's full-scale voltage, as in reference = "5 V"`
)

// sensor reads [sensor] and [sensor.converter]. The area is needed where the
// board sends a force: the chain works in pressures.
func (r *reader) sensor(area si.Area) Sensor {
	s := section{r, "sensor"}
	out := Sensor{Kind: Kind(s.choiceIn("kind", string(Ratiometric), string(VoltageOut), string(CurrentLoop), string(PressureOut), string(ForceOut), string(Counts)))}
	s.required("accuracy", wantAccuracy)
	if t, ok := s.text("accuracy", wantAccuracy); ok {
		var err error
		if out.Accuracy, out.AccuracyOfReading, err = accuracy(t); err != nil {
			s.fault("accuracy", why(err), wantAccuracy)
		}
	}
	out.Proof, _ = take(s, "proof_pressure", wantPressure, si.ParsePressure)
	s.positive("proof_pressure", float64(out.Proof), wantPressure)
	r.converter(&out)
	switch out.Kind {
	case Ratiometric:
		s.only("a ratiometric sensor", "shunt", "unit", "points")
		s.pressureRange(&out)
		s.ratiometric(&out)
	case VoltageOut:
		s.only("a voltage sensor", "shunt", "supply", "unit", "points")
		s.pressureRange(&out)
		s.required("signal", `the signal at both ends, as in signal = "0.5 V .. 4.5 V"`)
		lo, hi, _ := pair(s, "signal", `"0.5 V .. 4.5 V"`, func(t string) (si.Voltage, si.Voltage, error) { return span(t, si.ParseVoltage) })
		out.SigLow, out.SigHi = float64(lo), float64(hi)
	case CurrentLoop:
		s.only("a current sensor", "supply", "unit", "points")
		s.pressureRange(&out)
		s.current(&out)
	case PressureOut:
		s.only("a pressure sensor", "shunt", "supply", "signal", "points")
		s.pressureRange(&out)
		const want = `unit = "bar", what the board's number is in`
		s.required("unit", want)
		f, _ := take(s, "unit", want, func(t string) (si.Pressure, error) { return si.ParsePressure("1 " + t) })
		out.UnitFactor = float64(f)
	case ForceOut:
		s.only("a force sensor", "shunt", "supply", "signal", "points", "proof_pressure")
		s.forceOut(&out, area)
	case Counts:
		s.only("a counts sensor", "shunt", "supply", "signal", "unit")
		s.counts(&out)
	}
	return out
}

func (s section) pressureRange(out *Sensor) {
	s.required("range", wantRange)
	out.Low, out.High, _ = pair(s, "range", wantRange, func(t string) (si.Pressure, si.Pressure, error) { return span(t, si.ParsePressure) })
}

// The signal of most ratiometric transducers, 0.5 to 4.5 V on a supply of 5 V.
const ratiometricLow, ratiometricHigh = 0.1, 0.9

func (s section) ratiometric(out *Sensor) {
	const want = `fractions of the supply, as in signal = "0.1 .. 0.9" (0.5 V to 4.5 V on 5 V)`
	out.SigLow, out.SigHi = ratiometricLow, ratiometricHigh
	if s.has("signal") {
		out.SigLow, out.SigHi, _ = pair(s, "signal", want, func(t string) (float64, float64, error) { return span(t, fraction) })
	}
	const wantSupply = `the transducer's supply, as in supply = "5 V"`
	out.Supply, _ = take(s, "supply", wantSupply, si.ParseVoltage)
	if !s.has("supply") {
		// A converter that takes the transducer's supply as its reference
		// cancels every drift of it; without a converter it has to be known.
		out.Supply = out.Reference
		if out.Reference == 0 && !s.bad["sensor.converter.reference"] {
			s.required("supply", wantSupply+", or a [sensor.converter] that uses it as its reference")
		}
		s.bad[s.key("supply")] = true
	}
}

func (s section) current(out *Sensor) {
	out.SigLow, out.SigHi = float64(loopLow), float64(loopHigh)
	if s.has("signal") {
		lo, hi, _ := pair(s, "signal", `"4 mA .. 20 mA"`, func(t string) (si.Current, si.Current, error) { return span(t, si.ParseCurrent) })
		out.SigLow, out.SigHi = float64(lo), float64(hi)
	}
	const want = `the resistor the current flows through, as in shunt = "250 ohm"`
	if _, ok := s.doc.tables["sensor.converter"]; ok {
		s.required("shunt", want)
	} else if s.has("shunt") {
		s.fault("shunt", "given without a [sensor.converter]: the board's number is then in mA already", "a [sensor.converter], or no shunt")
	}
	out.Shunt, _ = take(s, "shunt", want, si.ParseResistance)
}

func (s section) forceOut(out *Sensor, area si.Area) {
	const want = `low and high end as ram forces, as in range = "0 kN .. 250 kN"`
	s.required("range", want)
	lo, hi, _ := pair(s, "range", want, func(t string) (si.Force, si.Force, error) { return span(t, si.ParseForce) })
	const wantUnit = `unit = "kN", what the board's number is in`
	s.required("unit", wantUnit)
	f, _ := take(s, "unit", wantUnit, func(t string) (si.Force, error) { return si.ParseForce("1 " + t) })
	out.UnitFactor = float64(f)
	if area > 0 {
		out.Low, out.High = si.Pressure(float64(lo)/float64(area)), si.Pressure(float64(hi)/float64(area))
	} else {
		s.bad[s.key("range")] = true // judged once the area is known
	}
}

// counts draws the line through two points and finds the counts at the ends of
// the range, which are the points themselves unless the range is stated.
func (s section) counts(out *Sensor) {
	s.required("points", wantPoints)
	list, ok := s.list("points", wantPoints)
	if ok && len(list) != 2 {
		s.fault("points", fmt.Sprintf("holds %d pairs", len(list)), wantPoints)
	}
	if !ok || len(list) != 2 {
		s.bad[s.key("range")] = true
		return
	}
	r1, p1, err := point(list[0])
	r2, p2, err2 := point(list[1])
	for _, e := range []error{err, err2} {
		if e != nil {
			s.fault("points", why(e), wantPoints)
		}
	}
	if p1 > p2 {
		r1, p1, r2, p2 = r2, p2, r1, p1
	}
	if err == nil && err2 == nil && (p1 == p2 || r1 >= r2) {
		s.fault("points", "the number does not rise with the pressure", wantPoints)
	}
	out.SigLow, out.SigHi, out.Low, out.High = r1, r2, p1, p2
	if s.has("range") {
		perPa := (r2 - r1) / float64(p2-p1)
		s.pressureRange(out)
		out.SigLow = r1 + float64(out.Low-p1)*perPa
		out.SigHi = r1 + float64(out.High-p1)*perPa
	} else if s.bad[s.key("points")] {
		s.bad[s.key("range")] = true
	}
}

// converter reads [sensor.converter]: the converter turns a voltage into
// counts. Without one the board's number is in volts or milliamperes already.
func (r *reader) converter(out *Sensor) {
	s := section{r, "sensor.converter"}
	if _, ok := r.doc.tables[s.name]; !ok {
		return
	}
	const wantBits = `the converter's width, as in bits = 12`
	s.missing("bits", wantBits)
	// A width that could not be read is told above; some width stands in for it
	// so that the other keys are judged all the same.
	out.Bits = s.whole("bits", minBits, maxBits, minBits, wantBits)
	switch out.Kind {
	case PressureOut, ForceOut:
		r.fault(s.name, "does not belong to a "+string(out.Kind)+" sensor, whose number needs no conversion", "no [sensor.converter]")
		return
	case Counts:
		s.only("a counts sensor, whose two points say all but the width", "reference", "divisor", "divider")
		return
	}
	s.missing("reference", wantReference)
	out.Reference, _ = take(s, "reference", wantReference, si.ParseVoltage)
	full := math.Ldexp(1, out.Bits)
	out.Divisor, out.Divider = full, 1
	if s.has("divisor") && s.choice("divisor", false, "2^n", "2^n-1") == "2^n-1" {
		out.Divisor = full - 1
	}
	if s.has("divider") {
		out.Divider = s.fraction("divider", 1, `the part of the voltage that reaches the converter, as in divider = 0.66`)
	}
}
