package si

import "math"

// A quantity is one of the package's types for tests that go over all of them.
type quantity struct {
	kind  string
	units []unit
	parse func(string) (float64, error)
	text  func(float64) string
}

// of makes a quantity of a type and its functions.
func of[T ~float64](kind string, units []unit, parse func(string) (T, error), text func(T) string) quantity {
	return quantity{
		kind, units,
		func(s string) (float64, error) { v, err := parse(s); return float64(v), err },
		func(v float64) string { return text(T(v)) },
	}
}

func quantities() []quantity {
	return []quantity{
		of("force", forceUnits, ParseForce, Force.String),
		of("pressure", pressureUnits, ParsePressure, Pressure.String),
		of("stress", pressureUnits, ParseStress, Stress.String),
		of("area", areaUnits, ParseArea, Area.String),
		of("length", lengthUnits, ParseLength, Length.String),
		of("voltage", voltageUnits, ParseVoltage, Voltage.String),
		of("current", currentUnits, ParseCurrent, Current.String),
		of("resistance", resistanceUnits, ParseResistance, Resistance.String),
		of("force rate", rateUnits(forceUnits), ParseForceRate, ForceRate.String),
		of("pressure rate", rateUnits(pressureUnits), ParsePressureRate, PressureRate.String),
		of("stress rate", rateUnits(pressureUnits), ParseStressRate, StressRate.String),
	}
}

// rel is the relative difference of two values, 0 where they are the same.
func rel(a, b float64) float64 {
	if a == b {
		return 0
	}
	return math.Abs(a-b) / max(math.Abs(a), math.Abs(b))
}
