package si

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func TestText(t *testing.T) {
	// The example rig's own figures; conversions by NIST SP 811, worked by hand.
	type shown interface{ Text(System) string }
	for _, c := range []struct {
		name     string
		v        shown
		us, unit string
	}{
		{"force", Force(48 * Kilonewton), "10,791 lbf", "48.00 kN"},
		{"ram", Force(250 * Kilonewton), "56,202 lbf", "250.00 kN"},
		{"pressure", Pressure(700 * Bar), "10,153 psi", "700.0 bar"},
		{"stress", Stress(310 * Megapascal), "45.0 ksi", "310 MPa"},
		{"area", Area(42 * SquareCM), "6.5100 in²", "4,200.0 mm²"},
		{"length", Length(12.5 * Millimetre), "0.492 in", "12.50 mm"},
		{"force rate", ForceRate(2 * Kilonewton), "450 lbf/s", "2.00 kN/s"},
		{"pressure rate", PressureRate(60 * Bar * PerMinute), "870 psi/min", "60.0 bar/min"},
		{"stress rate", StressRate(10 * Megapascal), "87.0 ksi/min", "10.0 MPa/s"},
		{"a million", Force(1234567.89 * PoundForce), "1,234,568 lbf", "5,491.63 kN"},
		{"negative", Force(-1234 * PoundForce), "-1,234 lbf", "-5.49 kN"},
		{"negative zero", Force(math.Copysign(0, -1)), "0 lbf", "0.00 kN"},
		{"rounds to nothing", Force(-0.001), "0 lbf", "0.00 kN"},
		{"not a number", Force(math.NaN()), "– lbf", "– kN"},
		{"infinite", Pressure(math.Inf(-1)), "– psi", "– bar"},
	} {
		if got := c.v.Text(US); got != c.us {
			t.Errorf("%s in us: %q, want %q", c.name, got, c.us)
		}
		if got := c.v.Text(Metric); got != c.unit {
			t.Errorf("%s in si: %q, want %q", c.name, got, c.unit)
		}
	}
}

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		v        float64
		decimals int
		want     string
	}{
		{0, 0, "0"},
		{999, 0, "999"},
		{1000, 0, "1,000"},
		{-1000, 0, "-1,000"},
		{999999.5, 0, "1,000,000"},
		{123456, 2, "123,456.00"},
		{1234.5678, 3, "1,234.568"},
		{-0.4, 0, "0"},
		{-0.05, 1, "-0.1"},
		{0.0625, 3, "0.062"}, // an exact half goes to the even neighbour
		{1e15, 0, "1,000,000,000,000,000"},
		{math.NaN(), 2, "–"},
		{math.Inf(1), 2, "–"},
	} {
		if got := Number(c.v, c.decimals); got != c.want {
			t.Errorf("Number(%v, %d) = %q, want %q", c.v, c.decimals, got, c.want)
		}
	}
}

// Without its commas a number is what it would be anyway, and the commas stand
// every three digits.
func TestNumberCommas(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		v := rapid.Float64Range(-1e15, 1e15).Draw(t, "value")
		decimals := rapid.IntRange(0, 6).Draw(t, "decimals")
		s := Number(v, decimals)
		whole, _, _ := strings.Cut(strings.TrimPrefix(s, "-"), ".")
		for i, group := range strings.Split(whole, ",") {
			if len(group) != 3 && (i > 0 || len(group) > 3 || group == "") {
				t.Fatalf("%v is written %q", v, s)
			}
		}
		got, err := ParseForce(strings.ReplaceAll(s, ",", "") + " N")
		if half := 0.5 * math.Pow(10, -float64(decimals)); err != nil || math.Abs(float64(got)-v) > half*(1+1e-9)+1e-15*math.Abs(v) {
			t.Fatalf("%v is written %q, which reads as %v, %v", v, s, got, err)
		}
	})
}

func TestShownParts(t *testing.T) {
	s := Force(48 * Kilonewton).In(Metric)
	if s.Number() != "48.00" || s.Unit != "kN" || s.Decimals != 2 || s.String() != "48.00 kN" {
		t.Errorf("48 kN shown as %+v", s)
	}
}

func TestSystem(t *testing.T) {
	for _, c := range []struct {
		text string
		want System
	}{{"us", US}, {"si", Metric}} {
		got, err := ParseSystem(c.text)
		if err != nil || got != c.want || got.String() != c.text {
			t.Errorf("ParseSystem(%q) = %v, %v", c.text, got, err)
		}
		b, err := json.Marshal(c.want)
		if err != nil || string(b) != `"`+c.text+`"` {
			t.Errorf("%v in JSON is %s, %v", c.want, b, err)
		}
		var back System
		if err := json.Unmarshal(b, &back); err != nil || back != c.want {
			t.Errorf("%s from JSON is %v, %v", b, back, err)
		}
	}
	for _, bad := range []string{"", "US", "metric", "imperial"} {
		if _, err := ParseSystem(bad); err == nil || !strings.Contains(err.Error(), "one of us, si") {
			t.Errorf("ParseSystem(%q) = %v, want an error that names both", bad, err)
		}
	}
}

// Of a section inches have four decimals: 12.51 mm / 25.4 is 0.49252 in, 12.49 mm
// 0.49173 in; a micrometer of a hundredth of a millimetre tells them apart.
func TestSize(t *testing.T) {
	for _, c := range []struct {
		l          Length
		us, metric string
	}{{12.51 * Millimetre, "0.4925 in", "12.51 mm"}, {12.49 * Millimetre, "0.4917 in", "12.49 mm"}, {Inch, "1.0000 in", "25.40 mm"}} {
		if got := c.l.Size(US); got != c.us {
			t.Errorf("%q, want %q", got, c.us)
		}
		if got := c.l.Size(Metric); got != c.metric {
			t.Errorf("%q, want %q", got, c.metric)
		}
	}
}
