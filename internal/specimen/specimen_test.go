package specimen

import (
	"math"
	"strings"
	"testing"

	"draghand/internal/si"
)

// Areas of round sections, checks.md 2.1, computed as π d²/4; tolerance as
// stated there.
func TestArea(t *testing.T) {
	for _, c := range []struct {
		d    si.Length
		in2  float64
		tolR float64
	}{
		{0.500 * si.Inch, 0.19634954, 1e-7},
		{0.350 * si.Inch, 0.09621128, 1e-7},
		{0.250 * si.Inch, 0.04908739, 1e-7},
		{0.160 * si.Inch, 0.02010619, 1e-6},
		{0.113 * si.Inch, 0.01002875, 1e-6},
		{0.750 * si.Inch, 0.44178647, 1e-8},
		{1.250 * si.Inch, 1.22718463, 1e-8},
	} {
		s := Specimen{Diameters: []si.Length{c.d * 1.01, c.d, c.d * 1.005}}
		if got := float64(s.Area()) / si.SquareInch; math.Abs(got/c.in2-1) > c.tolR {
			t.Errorf("area of %v = %.8f in², want %.8f", c.d, got, c.in2)
		}
		if got := s.Taper(); math.Abs(got-0.01) > 1e-12 {
			t.Errorf("taper = %v, want 0.01", got)
		}
	}
	if a := (Specimen{}).Area(); a != 0 {
		t.Errorf("area without a diameter = %v", a)
	}
}

func TestValidate(t *testing.T) {
	for name, c := range map[string]struct {
		s  Specimen
		ok bool
	}{
		"nothing measured":  {Specimen{}, true},
		"a bar":             {Specimen{Diameters: []si.Length{12.5e-3}, GaugeLength: 50e-3}, true},
		"mm read as m":      {Specimen{Diameters: []si.Length{12.5}}, false},
		"zero":              {Specimen{Diameters: []si.Length{0}}, false},
		"negative":          {Specimen{Diameters: []si.Length{-0.0125}}, false},
		"not a number":      {Specimen{Diameters: []si.Length{si.Length(math.NaN())}}, false},
		"one of three":      {Specimen{Diameters: []si.Length{12.5e-3, 12.4e-3, 1.24}}, false},
		"a yield":           {Specimen{Yield: 140e6}, true},
		"MPa read as Pa":    {Specimen{Yield: 140}, false},
		"a negative yield":  {Specimen{Yield: -140e6}, false},
		"no yield at all":   {Specimen{Yield: si.Stress(math.NaN())}, false},
		"expected":          {Specimen{ExpectLow: 275e6, ExpectHigh: 345e6}, true},
		"just one strength": {Specimen{ExpectLow: 300e6, ExpectHigh: 300e6}, true},
		"expected from":     {Specimen{ExpectLow: 275e6}, false},
		"expected to":       {Specimen{ExpectHigh: 275e6}, false},
		"wrong way round":   {Specimen{ExpectLow: 345e6, ExpectHigh: 275e6}, false},
		"ksi read as Pa":    {Specimen{ExpectLow: 40, ExpectHigh: 50}, false},
		"not a strength":    {Specimen{ExpectLow: si.Stress(math.NaN()), ExpectHigh: 275e6}, false},
		"tags":              {Specimen{Tags: []string{"1150 °C", "green sand", "as cast"}}, true},
		"an empty tag":      {Specimen{Tags: []string{"sand", " "}}, false},
		"a tag that steers": {Specimen{Tags: []string{"sand\x1b[2J"}}, false},
		"a tag of no text":  {Specimen{Tags: []string{"\xff"}}, false},
		"a long tag":        {Specimen{Tags: []string{strings.Repeat("x", MaxTag+1)}}, false},
		"many tags":         {Specimen{Tags: strings.Split(strings.Repeat("x,", MaxTags)+"x", ",")}, false},
		"gauge length":      {Specimen{GaugeLength: -1}, false},
	} {
		if err := c.s.Validate(); (err == nil) != c.ok {
			t.Errorf("%s: %v, want ok %v", name, err, c.ok)
		}
	}
}
