package si

import (
	"math"
	"strconv"
	"strings"
)

// A System is the unit system values are shown in.
type System uint8

// The two unit systems of display.
const (
	US     System = iota // lbf, psi, ksi, in
	Metric               // kN, bar, MPa, mm
)

// ParseSystem reads "us" or "si".
func ParseSystem(s string) (System, error) {
	switch s {
	case "us":
		return US, nil
	case "si":
		return Metric, nil
	}
	return US, &UnitError{Kind: "unit system", Text: s, Why: "not known", Units: []string{"us", "si"}}
}

func (s System) String() string {
	if s == Metric {
		return "si"
	}
	return "us"
}

// text writes v with its decimals and thousands separated, then the unit.
func text(v float64, decimals int, unit string) string {
	return Number(v, decimals) + " " + unit
}

// Number writes v with so many decimals and a comma between thousands; "–"
// where v is no finite number.
func Number(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "–"
	}
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	neg := strings.HasPrefix(s, "-")
	s = strings.TrimPrefix(s, "-")
	if neg && strings.Trim(s, "0.") == "" {
		neg = false // "-0" helps nobody
	}
	whole, frac, _ := strings.Cut(s, ".")
	var b strings.Builder
	if neg {
		b.WriteByte('-')
	}
	for i, r := range whole {
		if i > 0 && (len(whole)-i)%3 == 0 {
			b.WriteByte(',')
		}
		b.WriteRune(r)
	}
	if frac != "" {
		b.WriteByte('.')
		b.WriteString(frac)
	}
	return b.String()
}

// Shown is a quantity ready for display: its number, unit and decimals, apart,
// so that a screen may set them in different places.
type Shown struct {
	Value    float64
	Decimals int
	Unit     string
}

func (s Shown) String() string { return text(s.Value, s.Decimals, s.Unit) }

// Number is the value alone.
func (s Shown) Number() string { return Number(s.Value, s.Decimals) }

// In gives the force in lbf or kN. The decimals are those a home-built rig can
// defend at most; they say nothing about accuracy.
func (f Force) In(s System) Shown {
	if s == Metric {
		return Shown{float64(f) / Kilonewton, 2, "kN"}
	}
	return Shown{float64(f) / PoundForce, 0, "lbf"}
}

// In gives the gauge pressure in psi or bar.
func (p Pressure) In(s System) Shown {
	if s == Metric {
		return Shown{float64(p) / Bar, 1, "bar"}
	}
	return Shown{float64(p) / PSI, 0, "psi"}
}

// In gives the stress in ksi or MPa.
func (t Stress) In(s System) Shown {
	if s == Metric {
		return Shown{float64(t) / Megapascal, 0, "MPa"}
	}
	return Shown{float64(t) / KSI, 1, "ksi"}
}

// In gives the area in in² or mm².
func (a Area) In(s System) Shown {
	if s == Metric {
		return Shown{float64(a) / SquareMM, 1, "mm²"}
	}
	return Shown{float64(a) / SquareInch, 4, "in²"}
}

// In gives the length in in or mm.
func (l Length) In(s System) Shown {
	if s == Metric {
		return Shown{float64(l) / Millimetre, 2, "mm"}
	}
	return Shown{float64(l) / Inch, 3, "in"}
}

// SizeIn is a size of a section in a system of units: as In, but inches with four
// decimals, since a hundredth of a millimetre is 0.0004 in and a micrometer shows it.
func (l Length) SizeIn(s System) Shown {
	out := l.In(s)
	if s != Metric {
		out.Decimals = 4
	}
	return out
}

// Size is SizeIn as text.
func (l Length) Size(s System) string { return l.SizeIn(s).String() }

// In gives the force rate in lbf/s or kN/s.
func (r ForceRate) In(s System) Shown {
	if s == Metric {
		return Shown{float64(r) / Kilonewton, 2, "kN/s"}
	}
	return Shown{float64(r) / PoundForce, 0, "lbf/s"}
}

// In gives the pressure rate in psi/min or bar/min, the pace at the gauge.
func (r PressureRate) In(s System) Shown {
	if s == Metric {
		return Shown{float64(r) / Bar / PerMinute, 1, "bar/min"}
	}
	return Shown{float64(r) / PSI / PerMinute, 0, "psi/min"}
}

// In gives the stress rate in ksi/min or MPa/s, the units of ASTM E8/E8M and
// ISO 6892-1 each.
func (r StressRate) In(s System) Shown {
	if s == Metric {
		return Shown{float64(r) / Megapascal, 1, "MPa/s"}
	}
	return Shown{float64(r) / KSI / PerMinute, 1, "ksi/min"}
}

// Text is In as one string.
func (f Force) Text(s System) string { return f.In(s).String() }

// Text is In as one string.
func (p Pressure) Text(s System) string { return p.In(s).String() }

// Text is In as one string.
func (t Stress) Text(s System) string { return t.In(s).String() }

// Text is In as one string.
func (a Area) Text(s System) string { return a.In(s).String() }

// Text is In as one string.
func (l Length) Text(s System) string { return l.In(s).String() }

// Text is In as one string.
func (r ForceRate) Text(s System) string { return r.In(s).String() }

// Text is In as one string.
func (r PressureRate) Text(s System) string { return r.In(s).String() }

// Text is In as one string.
func (r StressRate) Text(s System) string { return r.In(s).String() }

// exact writes the shortest decimal that parses back to the very same value.
func exact(v float64, unit string) string { return strconv.FormatFloat(v, 'g', -1, 64) + " " + unit }

// String is the exact value in newtons: ParseForce gives it back to the bit.
func (f Force) String() string { return exact(float64(f), "N") }

// String is the exact value in pascals.
func (p Pressure) String() string { return exact(float64(p), "Pa") }

// String is the exact value in pascals.
func (t Stress) String() string { return exact(float64(t), "Pa") }

// String is the exact value in square metres.
func (a Area) String() string { return exact(float64(a), "m²") }

// String is the exact value in metres.
func (l Length) String() string { return exact(float64(l), "m") }

// String is the exact value in volts.
func (v Voltage) String() string { return exact(float64(v), "V") }

// String is the exact value in amperes.
func (c Current) String() string { return exact(float64(c), "A") }

// String is the exact value in ohms.
func (r Resistance) String() string { return exact(float64(r), "ohm") }

// String is the exact value in newtons a second.
func (r ForceRate) String() string { return exact(float64(r), "N/s") }

// String is the exact value in pascals a second.
func (r PressureRate) String() string { return exact(float64(r), "Pa/s") }

// String is the exact value in pascals a second.
func (r StressRate) String() string { return exact(float64(r), "Pa/s") }

// MarshalText writes "us" or "si".
func (s System) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// UnmarshalText reads "us" or "si".
func (s *System) UnmarshalText(b []byte) (err error) {
	*s, err = ParseSystem(string(b))
	return err
}
