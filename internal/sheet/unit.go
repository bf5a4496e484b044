package sheet

import (
	"strings"
	"time"

	"draghand/internal/si"
)

// kind is what a unit measures.
type kind uint8

const (
	noKind kind = iota
	ofTime
	ofForce
	ofPressure // stress too: the header's words tell them apart
	ofLength
	ofShare // strain: per cent, mm/mm
	ofSignal
)

// spellings are units as headers write them beside the spelling of package si.
// They are compared without regard to case where that leaves no doubt (MN and
// mN, Mm and mm would). Common practice, no source.
var spellings = map[string]string{
	"sec": "s", "secs": "s", "second": "s", "seconds": "s", "sek": "s", "sekunden": "s", "sekunde": "s", "secondes": "s", "segundos": "s", "secondi": "s", "s": "s",
	"msec": "ms", "millisecond": "ms", "milliseconds": "ms", "millisekunden": "ms", "ms": "ms",
	"\u00b5s": "us", "\u03bcs": "us", "us": "us", "usec": "us", "microseconds": "us",
	"minute": "min", "minutes": "min", "minuten": "min", "min": "min", "h": "h", "hr": "h", "hrs": "h", "hour": "h", "hours": "h", "stunden": "h",
	"newton": "N", "newtons": "N", "n": "N", "kn": "kN", "kilonewton": "kN", "kilonewtons": "kN",
	"lb": "lbf", "lbs": "lbf", "lbf": "lbf", "pounds": "lbf", "kips": "kip", "kip": "kip", "kgf": "kgf", "kp": "kgf", "tonf": "tonf", "tf": "tf", "gf": "gf",
	"mpa": "MPa", "kpa": "kPa", "gpa": "GPa", "pa": "Pa", "psi": "psi", "psig": "psi", "ksi": "ksi", "bar": "bar", "barg": "bar", "mbar": "mbar",
	"n/mm2": "N/mm²", "n/mm²": "N/mm²", "n/mm^2": "N/mm²", "kgf/cm2": "kgf/cm²", "kgf/cm²": "kgf/cm²",
	"mm": "mm", "cm": "cm", "in": "in", "inch": "in", "inches": "in", "ft": "ft", "thou": "thou", "mil": "thou",
	"\u00b5m": "um", "\u03bcm": "um", "um": "um",
	"%": "%", "pct": "%", "percent": "%", "prozent": "%", "mm/mm": "mm/mm", "m/m": "m/m", "in/in": "in/in",
	"v": "V", "volt": "V", "volts": "V", "mv": "mV", "ma": "mA", "count": "counts", "counts": "counts", "digits": "counts",
}

// timeUnits are the units of time, in nanoseconds.
var timeUnits = map[string]time.Duration{
	"s": time.Second, "ms": time.Millisecond, "us": time.Microsecond, "min": time.Minute, "h": time.Hour,
}

// readUnit reads a unit as a header writes it, brackets taken off.
func readUnit(text string) (unit string, k kind) {
	text = trim(text)
	for len(text) >= 2 && (text[0] == '[' && text[len(text)-1] == ']' || text[0] == '(' && text[len(text)-1] == ')') {
		text = trim(text[1 : len(text)-1])
	}
	if text == "" || len(text) > 16 {
		return "", noKind
	}
	unit = text
	if k := kindOf(unit); k != noKind {
		return unit, k
	}
	unit, ok := spellings[strings.ToLower(text)]
	if !ok {
		return "", noKind
	}
	return unit, kindOf(unit)
}

func kindOf(unit string) kind {
	if _, ok := timeUnits[unit]; ok {
		return ofTime
	}
	switch unit {
	case "%", "mm/mm", "m/m", "in/in":
		return ofShare
	case "V", "mV", "mA", "counts":
		return ofSignal
	}
	if _, err := si.ParseForce("1 " + unit); err == nil {
		return ofForce
	}
	if _, err := si.ParsePressure("1 " + unit); err == nil {
		return ofPressure
	}
	if _, err := si.ParseLength("1 " + unit); err == nil {
		return ofLength
	}
	return noKind
}

// fits says whether a column of the role may have a unit of the kind.
func (r Role) fits(k kind) bool {
	switch r {
	case Time:
		return k == ofTime
	case Force:
		return k == ofForce
	case Pressure, Stress:
		return k == ofPressure
	case Raw:
		return k == ofSignal
	case Travel:
		return k == ofLength
	case Strain:
		return k == ofShare
	}
	return true
}
