package si

import (
	"errors"
	"math"
	"math/big"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestParse(t *testing.T) {
	// Sources: the definitions of the units (NIST SP 811, Appendix B).
	for _, c := range []struct {
		kind, text string
		want       float64
	}{
		{"force", "48 kN", 48e3},
		{"force", "48kN", 48e3},
		{"force", "  48\u00a0kN ", 48e3},
		{"force", "+1.5e3 N", 1500},
		{"force", "-2 kgf", -2 * 9.80665},
		{"force", "1e5N", 1e5},
		{"force", "1 kip", 4448.2216152605},
		{"force", "1 gf", 0.00980665},
		{"force", "3 MN", 3e6},
		{"pressure", "700 bar", 70e6},
		{"pressure", "250 mbar", 25e3},
		{"pressure", "1 N/mm²", 1e6},
		{"pressure", "1 N/mm2", 1e6},
		{"stress", "1 GPa", 1e9},
		{"area", "42.0 cm²", 42e-4},
		{"area", "42.0 cm2", 42e-4},
		{"area", "1 m²", 1},
		{"length", ".5 in", 0.0127},
		{"length", `0.5"`, 0.0127},
		{"length", "5. mm", 0.005},
		{"length", "10 thou", 0.000254},
		{"length", "250 um", 0.00025},
		{"length", "250 \u00b5m", 0.00025}, // micro sign
		{"length", "250 \u03bcm", 0.00025}, // Greek mu
		{"length", "2 ft", 0.6096},
		{"voltage", "4.5 V", 4.5},
		{"voltage", "500 mV", 0.5},
		{"current", "20 mA", 0.02},
		{"resistance", "250 ohm", 250},
		{"resistance", "250 \u03a9", 250}, // Greek omega
		{"resistance", "250 \u2126", 250}, // ohm sign
		{"resistance", "1.2 kohm", 1200},
		{"force rate", "60 kN/min", 1000},
		{"pressure rate", "6 bar/min", 1e4},
		{"stress rate", "10 MPa/s", 1e7},
		{"force", "0 N", 0},
		{"force", "-0 lbf", math.Copysign(0, -1)},
		{"force", "1e-400 N", 0}, // below the smallest number: nothing
	} {
		for _, q := range quantities() {
			if q.kind != c.kind {
				continue
			}
			got, err := q.parse(c.text)
			if err != nil || rel(got, c.want) > exactTolerance || math.Signbit(got) != math.Signbit(c.want) {
				t.Errorf("%s %q = %v, %v; want %v", c.kind, c.text, got, err, c.want)
			}
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, c := range []struct{ kind, text, says string }{
		{"pressure", "2.5", "no unit"},
		{"pressure", "", "no number"},
		{"pressure", "bar", "no number"},
		{"pressure", ". bar", "no number"},
		{"pressure", "- bar", "no number"},
		{"pressure", "NaN bar", "no number"},
		{"pressure", "nan", "no number"},
		{"pressure", "Inf bar", "no number"},
		{"pressure", "-inf bar", "no number"},
		{"pressure", "infinity bar", "no number"},
		{"pressure", "0x10 bar", `"x10 bar" is no unit`},
		{"pressure", "1_000 bar", `"_000 bar" is no unit`},
		{"pressure", "1e bar", `"e bar" is no unit`},
		{"pressure", "10,000 psi", "comma"},
		{"pressure", "12,5 bar", "comma"},
		{"pressure", "1e309 Pa", "not a finite number"},
		{"pressure", "1e308 GPa", "not a finite number"},
		{"pressure", "700 bar 5", "is no unit"},
		{"pressure", "700 BAR", "is no unit"},
		{"pressure", "48 kN", `"kN" is no unit of pressure`},
		{"force", "1e308 MN", "not a finite number"},
		{"force", "-1e308 MN", "not a finite number"},
		{"force", "25 ton", `"tonf" is 2000 lbf`},
		{"force", "25 tons", `"tf" is 1000 kgf`},
		{"force", "25 mm", `"mm" is no unit of force`},
		{"length", "12.5 mm²", "is no unit"},
		{"stress rate", "10 MPa", "is no unit"},
	} {
		for _, q := range quantities() {
			if q.kind != c.kind {
				continue
			}
			v, err := q.parse(c.text)
			var ue *UnitError
			if !errors.As(err, &ue) || v != 0 {
				t.Errorf("%s %q = %v, %v; want it refused by a UnitError, and 0", c.kind, c.text, v, err)
				continue
			}
			text := err.Error()
			if !strings.Contains(text, c.says) || !strings.Contains(text, strconv.Quote(c.text)) || !strings.Contains(text, q.units[0].name) {
				t.Errorf("%s %q: error %q, want it to quote the text, say %q and name a unit", c.kind, c.text, text, c.says)
			}
		}
	}
}

// The exact text of any value parses back to the very same bits.
func TestStringParsesBack(t *testing.T) {
	for _, q := range quantities() {
		t.Run(q.kind, rapid.MakeCheck(func(t *rapid.T) {
			v := rapid.Float64().Filter(func(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }).Draw(t, "value")
			text := q.text(v)
			got, err := q.parse(text)
			if err != nil || math.Float64bits(got) != math.Float64bits(v) {
				t.Fatalf("%v is written %q, which parses as %v, %v", v, text, got, err)
			}
		}))
	}
}

// A value converted from any unit into any other of its kind and back is the
// same to 1e-14 (the check list's bound: four roundings), keeps its sign, and 0
// stays 0.
func TestUnitsRoundTrip(t *testing.T) {
	for _, q := range quantities() {
		t.Run(q.kind, rapid.MakeCheck(func(t *rapid.T) {
			v := rapid.Float64Range(-1e12, 1e12).Draw(t, "value")
			from := rapid.SampledFrom(q.units).Draw(t, "from")
			to := rapid.SampledFrom(q.units).Draw(t, "to")
			parse := func(v float64, u unit) float64 {
				si, err := q.parse(strconv.FormatFloat(v, 'g', -1, 64) + " " + u.name)
				if err != nil {
					t.Fatal(err)
				}
				return si
			}
			there := parse(v, from) / to.factor
			back := parse(there, to) / from.factor
			if math.Abs(v) > 1e-290 && rel(back, v) > 1e-14 { // below, bits are lost to underflow
				t.Fatalf("%v %s is %v %s is %v %s", v, from.name, there, to.name, back, from.name)
			}
			if v == 0 && back != 0 || there != 0 && math.Signbit(there) != math.Signbit(v) {
				t.Fatalf("%v %s becomes %v %s", v, from.name, there, to.name)
			}
		}))
	}
}

// decimal is a plain decimal number, the slow twin of numberEnd.
var decimal = regexp.MustCompile(`^[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)([eE][+-]?[0-9]+)?$`)

// twin parses the slow way: any cut of the text into a number and the name of
// a unit will do. A unit that is one part of a whole number of SI units is
// divided by in fractions, rounded once: 2171 mA are 2.171 A to the last bit,
// and not 2171 times the number next to 0.001.
func twin(text string, units []unit) (float64, bool) {
	s := strings.TrimSpace(text)
	for i := range s {
		if !decimal.MatchString(s[:i]) {
			continue
		}
		v, err := strconv.ParseFloat(s[:i], 64)
		if err != nil {
			continue
		}
		for _, u := range units {
			if u.name != strings.TrimSpace(s[i:]) {
				continue
			}
			w := v * u.factor
			if whole := math.Round(1 / u.factor); whole > 1 && 1/whole == u.factor && v != 0 {
				w, _ = new(big.Rat).Quo(new(big.Rat).SetFloat64(v), new(big.Rat).SetFloat64(whole)).Float64()
				w = math.Copysign(w, v) // a fraction too small for a float keeps its sign
			}
			if !math.IsInf(w, 0) {
				return w, true
			}
		}
	}
	return 0, false
}

// FuzzParse: what parses is finite, its exact text parses back to the same
// bits, and the slow twin agrees on what parses and on its value.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"48 kN", "12.5mm", "-1e-3 in", `1"`, "0x1p4 N", "1e308 MN", "10,000 psi", "+.5e+2 kgf/cm²", "5 Ω", "1 N/min", "1e5 Pa/s", "2171mA", "-5e-324 mm", "\u00a0-0\tlbf", "2.5", "1e N", "NaN V"} {
		f.Add(s)
	}
	all := quantities()
	f.Fuzz(func(t *testing.T, text string) {
		for _, q := range all {
			v, err := q.parse(text)
			slow, ok := twin(text, q.units)
			if ok != (err == nil) || ok && math.Float64bits(slow) != math.Float64bits(v) {
				t.Fatalf("%s %q = %v, %v; the slow way %v, %v", q.kind, text, v, err, slow, ok)
			}
			if err != nil {
				if v != 0 || !strings.Contains(err.Error(), q.units[0].name) {
					t.Fatalf("%s %q: refused with %v and %q", q.kind, text, v, err)
				}
				continue
			}
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%s %q = %v, which is no number", q.kind, text, v)
			}
			if back, err := q.parse(q.text(v)); err != nil || math.Float64bits(back) != math.Float64bits(v) {
				t.Fatalf("%s %q = %v, written %q, parses as %v, %v", q.kind, text, v, q.text(v), back, err)
			}
		}
	})
}

func TestSplitTolerance(t *testing.T) {
	for _, c := range []struct{ in, value, tol string }{
		{"110 mm ± 0.5 mm", "110 mm", "0.5 mm"},
		{"110 mm +/- 0.5 mm", "110 mm", "0.5 mm"},
		{" 42.0 cm² ", "42.0 cm²", ""},
		{"42.0 cm²±", "42.0 cm²", ""},
		{"", "", ""},
	} {
		if v, tol := SplitTolerance(c.in); v != c.value || tol != c.tol {
			t.Errorf("SplitTolerance(%q) = %q, %q; want %q, %q", c.in, v, tol, c.value, c.tol)
		}
	}
}

// The units that a refusal offers are those that a person of the trade would take,
// and a stress may be written in all that a pressure may.
func TestUnitsOffered(t *testing.T) {
	for text, parse := range map[string]func(string) error{
		"ksi":   func(s string) error { _, err := ParseStress(s); return err },
		"ksi/s": func(s string) error { _, err := ParseStressRate(s); return err },
		"psi":   func(s string) error { _, err := ParsePressure(s); return err },
	} {
		if err := parse("45"); err == nil || !strings.Contains(err.Error(), text) {
			t.Errorf("no %s among the units of %v", text, err)
		}
	}
	for _, u := range pressureUnits {
		a, err := ParseStress("7 " + u.name)
		b, _ := ParsePressure("7 " + u.name)
		if err != nil || float64(a) != float64(b) {
			t.Errorf("7 %s: %v, %v; as a pressure %v", u.name, a, err, b)
		}
	}
	if len(stressUnits) != len(pressureUnits) {
		t.Errorf("%d units of stress, %d of pressure", len(stressUnits), len(pressureUnits))
	}
}
