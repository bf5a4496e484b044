// Package si holds the physical quantities the program works with: one named
// float64 type a quantity, always in the SI base unit. Units exist only at the
// edges: a person's text is parsed with its unit (a bare number is refused),
// and a value is written in a unit system chosen for display. Nothing in this
// package knows about rigs, sensors or screens.
//
//	f, err := si.ParseForce("48 kN")
//	f.Text(si.US) // "10,791 lbf"
package si

// The quantities, each in its SI unit.
type (
	Force        float64 // newton
	Pressure     float64 // pascal, above atmosphere (gauge) unless said
	Stress       float64 // pascal
	Area         float64 // square metre
	Length       float64 // metre
	Voltage      float64 // volt
	Current      float64 // ampere
	Resistance   float64 // ohm
	ForceRate    float64 // newton per second
	PressureRate float64 // pascal per second
	StressRate   float64 // pascal per second
)

// Unit factors: what one of the unit is in SI. They are untyped, so that
// 250*si.Kilonewton is any force constant and f/si.PoundForce reads as a count
// of pounds-force. The definitions of the inch (25.4 mm) and of the pound-force
// (0.45359237 kg at 9.80665 m/s²) are exact, so every factor below is exact:
// NIST SP 811, Appendix B.
const (
	Newton     = 1.0
	Kilonewton = 1e3
	Meganewton = 1e6

	PoundForce    = 0.45359237 * 9.80665
	Kip           = 1000 * PoundForce
	ShortTonForce = 2000 * PoundForce
	KilogramForce = 9.80665
	TonneForce    = 1000 * KilogramForce
	GramForce     = KilogramForce / 1000
	Pascal        = 1.0
	Kilopascal    = 1e3
	Megapascal    = 1e6
	Gigapascal    = 1e9
	Bar           = 1e5
	Millibar      = 1e2
	PSI           = PoundForce / (Inch * Inch)
	KSI           = 1000 * PSI
	KgfPerCm2     = KilogramForce / 1e-4
	Metre         = 1.0
	Millimetre    = 1e-3
	Centimetre    = 1e-2
	Micrometre    = 1e-6
	Inch          = 25.4e-3
	Thou          = Inch / 1000
	Foot          = 12 * Inch
	SquareMetre   = 1.0
	SquareMM      = 1e-6
	SquareCM      = 1e-4
	SquareInch    = Inch * Inch
	Volt          = 1.0
	Millivolt     = 1e-3
	Microvolt     = 1e-6
	Ampere        = 1.0
	Milliampere   = 1e-3
	Microampere   = 1e-6
	Ohm           = 1.0
	Kiloohm       = 1e3
	PerMinute     = 1.0 / 60 // times a unit: what one of it a minute is a second
)

// FromPressure is the force of a pressure on an area, in newtons.
func FromPressure(p Pressure, a Area) Force { return Force(float64(p) * float64(a)) }

// StressOn is the stress a force makes on an area, in pascals; zero on an
// unknown (zero or negative) area.
func StressOn(f Force, a Area) Stress {
	if a <= 0 {
		return 0
	}
	return Stress(float64(f) / float64(a))
}
