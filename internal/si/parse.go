package si

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// unit is a name a person may write and what one of it is in SI.
type unit struct {
	name   string
	factor float64
}

// The names accepted, a table a quantity. The first names of each are the ones
// an error message offers. "tonf" is the US short ton-force of 2000 lbf and
// "tf" the tonne-force of 1000 kgf; a bare "ton" is refused as ambiguous. The
// micro sign and the Greek mu, the Greek omega and the ohm sign look alike and
// are all accepted; they stand here by number, since an editor may merge them.
var (
	forceUnits = []unit{
		{"N", Newton},
		{"kN", Kilonewton},
		{"lbf", PoundForce},
		{"kgf", KilogramForce},
		{"tonf", ShortTonForce},
		{"tf", TonneForce},
		{"kip", Kip},
		{"MN", Meganewton},
		{"gf", GramForce},
	}
	pressureUnits = []unit{
		{"psi", PSI},
		{"bar", Bar},
		{"MPa", Megapascal},
		{"kPa", Kilopascal},
		{"kgf/cm²", KgfPerCm2},
		{"kgf/cm2", KgfPerCm2},
		{"ksi", KSI},
		{"Pa", Pascal},
		{"mbar", Millibar},
		{"GPa", Gigapascal},
		{"N/mm²", Megapascal},
		{"N/mm2", Megapascal},
	}
	// stressUnits are the same for what a bar stands, the likely ones first.
	stressUnits = []unit{
		{"MPa", Megapascal},
		{"ksi", KSI},
		{"psi", PSI},
		{"N/mm²", Megapascal},
		{"GPa", Gigapascal},
		{"bar", Bar},
		{"N/mm2", Megapascal},
		{"kPa", Kilopascal},
		{"kgf/cm²", KgfPerCm2},
		{"kgf/cm2", KgfPerCm2},
		{"Pa", Pascal},
		{"mbar", Millibar},
	}
	areaUnits = []unit{
		{"cm²", SquareCM},
		{"mm²", SquareMM},
		{"in²", SquareInch},
		{"m²", SquareMetre},
		{"cm2", SquareCM},
		{"mm2", SquareMM},
		{"in2", SquareInch},
		{"m2", SquareMetre},
	}
	lengthUnits = []unit{
		{"mm", Millimetre},
		{"in", Inch},
		{"cm", Centimetre},
		{"m", Metre},
		{"\u00b5m", Micrometre},
		{"um", Micrometre},
		{"\u03bcm", Micrometre},
		{"thou", Thou},
		{"ft", Foot},
		{"\"", Inch},
	}
	voltageUnits    = []unit{{"V", Volt}, {"mV", Millivolt}, {"\u00b5V", Microvolt}, {"uV", Microvolt}, {"\u03bcV", Microvolt}}
	currentUnits    = []unit{{"mA", Milliampere}, {"A", Ampere}, {"\u00b5A", Microampere}, {"uA", Microampere}, {"\u03bcA", Microampere}}
	resistanceUnits = []unit{{"ohm", Ohm}, {"kohm", Kiloohm}, {"\u03a9", Ohm}, {"k\u03a9", Kiloohm}, {"\u2126", Ohm}, {"k\u2126", Kiloohm}}
)

// rateUnits are the units of a quantity each a second and a minute.
func rateUnits(base []unit) []unit {
	out := make([]unit, 0, 2*len(base))
	for _, u := range base {
		out = append(out, unit{u.name + "/s", u.factor}, unit{u.name + "/min", u.factor * PerMinute})
	}
	return out
}

// A UnitError says that a text is no quantity of the wanted kind, and what
// would be.
type UnitError struct {
	Kind  string   // "force"
	Text  string   // as given
	Why   string   // what is wrong with it
	Units []string // accepted unit names, commonest first
}

func (e *UnitError) Error() string {
	return fmt.Sprintf("%q is no %s: %s (write it as a number and a unit, one of %s)", e.Text, e.Kind, e.Why, strings.Join(e.Units, ", "))
}

// lookAlikes are the signs whose twin is in the tables too: offering both
// would puzzle.
const lookAlikes = "\u03bc\u2126"

func unitError(kind, text, why string, units []unit) error {
	e := &UnitError{Kind: kind, Text: text, Why: why}
	for _, u := range units {
		if len(e.Units) == 6 {
			break
		}
		if !strings.ContainsAny(u.name, lookAlikes) {
			e.Units = append(e.Units, u.name)
		}
	}
	return e
}

// parse reads "<number> <unit>" and returns the value in SI.
func parse(kind, text string, units []unit) (float64, error) {
	s := strings.TrimSpace(text)
	i := numberEnd(s)
	if i == 0 {
		return 0, unitError(kind, text, "no number", units)
	}
	v, err := strconv.ParseFloat(s[:i], 64)
	if err != nil || math.IsNaN(v) || math.IsInf(v, 0) {
		return 0, unitError(kind, text, "not a finite number", units)
	}
	name := strings.TrimSpace(s[i:])
	if name == "" {
		return 0, unitError(kind, text, "no unit", units)
	}
	for _, u := range units {
		if u.name == name {
			return finite(kind, text, scale(v, u.factor), units)
		}
	}
	if strings.HasPrefix(name, ",") {
		return 0, unitError(kind, text, `a comma may mean thousands or decimals: write "10000" or "12.5"`, units)
	}
	if name == "ton" || name == "tons" {
		return 0, unitError(kind, text, `"ton" is ambiguous: "tonf" is 2000 lbf, "tf" is 1000 kgf`, units)
	}
	return 0, unitError(kind, text, fmt.Sprintf("%q is no unit of %s", name, kind), units)
}

// scale is v times factor. A factor that is one over a whole number divides, so
// that "42 cm²" is 0.0042 m² to the last bit and not the next number to it.
func scale(v, factor float64) float64 {
	if over := math.Round(1 / factor); factor < 1 && 1/over == factor {
		return v / over
	}
	return v * factor
}

func finite(kind, text string, v float64, units []unit) (float64, error) {
	if math.IsInf(v, 0) {
		return 0, unitError(kind, text, "not a finite number", units)
	}
	return v, nil
}

// numberEnd is the length of the leading decimal number of s. It accepts a
// sign, digits, one point and an exponent; no hexadecimal, no underscore, no
// "inf", so that what strconv would take beyond plain numbers is refused.
func numberEnd(s string) int {
	i, digits := 0, 0
	if i < len(s) && (s[i] == '+' || s[i] == '-') {
		i++
	}
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i, digits = i+1, digits+1
	}
	if i < len(s) && s[i] == '.' {
		i++
		for i < len(s) && s[i] >= '0' && s[i] <= '9' {
			i, digits = i+1, digits+1
		}
	}
	if digits == 0 {
		return 0
	}
	if i < len(s) && (s[i] == 'e' || s[i] == 'E') {
		j := i + 1
		if j < len(s) && (s[j] == '+' || s[j] == '-') {
			j++
		}
		if j < len(s) && s[j] >= '0' && s[j] <= '9' {
			for j < len(s) && s[j] >= '0' && s[j] <= '9' {
				j++
			}
			i = j
		}
	}
	return i
}

// ParseForce reads a force such as "48 kN" or "10000 lbf".
func ParseForce(s string) (Force, error) {
	v, err := parse("force", s, forceUnits)
	return Force(v), err
}

// ParsePressure reads a gauge pressure such as "700 bar".
func ParsePressure(s string) (Pressure, error) {
	v, err := parse("pressure", s, pressureUnits)
	return Pressure(v), err
}

// ParseStress reads a stress such as "45 ksi".
func ParseStress(s string) (Stress, error) {
	v, err := parse("stress", s, stressUnits)
	return Stress(v), err
}

// ParseArea reads an area such as "42.0 cm²".
func ParseArea(s string) (Area, error) { v, err := parse("area", s, areaUnits); return Area(v), err }

// ParseLength reads a length such as "0.357 in".
func ParseLength(s string) (Length, error) {
	v, err := parse("length", s, lengthUnits)
	return Length(v), err
}

// ParseVoltage reads a voltage such as "4.5 V".
func ParseVoltage(s string) (Voltage, error) {
	v, err := parse("voltage", s, voltageUnits)
	return Voltage(v), err
}

// ParseCurrent reads a current such as "20 mA".
func ParseCurrent(s string) (Current, error) {
	v, err := parse("current", s, currentUnits)
	return Current(v), err
}

// ParseResistance reads a resistance such as "250 ohm".
func ParseResistance(s string) (Resistance, error) {
	v, err := parse("resistance", s, resistanceUnits)
	return Resistance(v), err
}

// ParseForceRate reads a force rate such as "500 lbf/s".
func ParseForceRate(s string) (ForceRate, error) {
	v, err := parse("force rate", s, rateUnits(forceUnits))
	return ForceRate(v), err
}

// ParsePressureRate reads a pressure rate such as "2000 psi/min".
func ParsePressureRate(s string) (PressureRate, error) {
	v, err := parse("pressure rate", s, rateUnits(pressureUnits))
	return PressureRate(v), err
}

// ParseStressRate reads a stress rate such as "10 MPa/s".
func ParseStressRate(s string) (StressRate, error) {
	v, err := parse("stress rate", s, rateUnits(stressUnits))
	return StressRate(v), err
}

// SplitTolerance cuts "110 mm ± 0.5 mm" (or "+/-") into its two quantities;
// tol is empty where no tolerance is given.
func SplitTolerance(s string) (value, tol string) {
	for _, sep := range []string{"±", "+/-"} {
		if a, b, ok := strings.Cut(s, sep); ok {
			return strings.TrimSpace(a), strings.TrimSpace(b)
		}
	}
	return strings.TrimSpace(s), ""
}
