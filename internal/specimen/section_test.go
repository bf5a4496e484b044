package specimen

import (
	"encoding/json"
	"math"
	"reflect"
	"strings"
	"testing"

	"draghand/internal/si"
)

const mm = si.Millimetre

// Sections that are not round: the smallest governs. Worked by hand from w·t
// and π/4 (D² − (D − 2t)²).
func TestSections(t *testing.T) {
	for name, c := range map[string]struct {
		s     Specimen
		area  float64 // mm²
		taper float64
		text  string
	}{
		"rectangular": {
			Specimen{Shape: Rectangular, Sections: []Section{{Width: 20.2 * mm, Thickness: 3 * mm}, {Width: 20 * mm, Thickness: 3 * mm}}}, 60, 0.01, "20.00 x 3.00 mm",
		},
		"thin beats narrow": {
			Specimen{Shape: Rectangular, Sections: []Section{{Width: 6 * mm, Thickness: 3 * mm}, {Width: 6.1 * mm, Thickness: 2.9 * mm}}}, 17.69, 0.1 / 2.9, "6.10 x 2.90 mm",
		},
		"tube": {
			Specimen{Shape: Tube, Sections: []Section{{Outer: 12 * mm, Wall: 1.5 * mm}, {Outer: 12 * mm, Wall: 1.6 * mm}}},
			math.Pi / 4 * (144 - 81), 0.1 / 1.5, "tube 12.00 x 1.50 mm",
		},
		"nothing": {Specimen{Shape: Tube}, 0, 0, ""},
	} {
		if err := c.s.Validate(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		if got := float64(c.s.Area()) / si.SquareMM; math.Abs(got-c.area) > 1e-9*c.area {
			t.Errorf("%s: area %v mm², want %v", name, got, c.area)
		}
		if got := c.s.Taper(); math.Abs(got-c.taper) > 1e-9 {
			t.Errorf("%s: taper %v, want %v", name, got, c.taper)
		}
		if got := c.s.SizeText(si.Metric); got != c.text {
			t.Errorf("%s: text %q, want %q", name, got, c.text)
		}
		if c.area > 0 {
			d := float64(c.s.RoundEqual())
			if got := math.Pi / 4 * d * d; math.Abs(got/(c.area*si.SquareMM)-1) > 1e-12 {
				t.Errorf("%s: a round bar of %v has %v m²", name, d, got)
			}
		}
		if d := c.s.Diameter(); d != 0 {
			t.Errorf("%s: diameter %v of a bar that is not round", name, d)
		}
	}
}

// The uncertainty of the section is what the area moves by when each size moves
// by one standard uncertainty: against the area itself, not the formula.
func TestAreaU(t *testing.T) {
	u := 0.01 * mm / math.Sqrt(3)
	for name, s := range map[string]Specimen{
		"round":       {Diameters: []si.Length{6 * mm}},
		"rectangular": {Shape: Rectangular, Sections: []Section{{Width: 12 * mm, Thickness: 3 * mm}}},
		"tube":        {Shape: Tube, Sections: []Section{{Outer: 12 * mm, Wall: 1.5 * mm}}},
	} {
		moved := s
		moved.Diameters, moved.Sections = nil, nil
		for _, d := range s.Diameters {
			moved.Diameters = append(moved.Diameters, d+si.Length(u))
		}
		for _, c := range s.Sections {
			if s.Shape == Tube {
				c.Outer, c.Wall = c.Outer+si.Length(u), c.Wall+si.Length(u)
			} else {
				c.Width, c.Thickness = c.Width+si.Length(u), c.Thickness+si.Length(u)
			}
			moved.Sections = append(moved.Sections, c)
		}
		want := float64(moved.Area()/s.Area()) - 1
		if got := s.AreaU(); math.Abs(got-want) > 0.005*want {
			t.Errorf("%s: %v, the area moves by %v", name, got, want)
		}
		half := s
		half.SizeU = 0.005 * mm
		if got := half.AreaU(); math.Abs(got-s.AreaU()/2) > 1e-12 {
			t.Errorf("%s: half the limit gives %v of %v", name, got, s.AreaU())
		}
	}
	// checks.md 2.1: 0.001 in on the diameter moves the area by 0.4, 0.8, 1.77 %.
	for d, want := range map[si.Length]float64{0.5 * si.Inch: 0.004, 0.25 * si.Inch: 0.008, 0.113 * si.Inch: 0.0177} {
		s := Specimen{Diameters: []si.Length{d}, SizeU: 0.001 * si.Inch}
		if got := s.AreaU() * math.Sqrt(3); math.Abs(got-want) > 5e-5 {
			t.Errorf("%v: %v, want %v", d, got, want)
		}
	}
	if got := (Specimen{Shape: Tube}).AreaU() + (Specimen{}).AreaU(); got != 0 {
		t.Errorf("uncertainty %v of no section", got)
	}
}

func TestValidateSections(t *testing.T) {
	rect := func(w, th si.Length) Specimen {
		return Specimen{Shape: Rectangular, Sections: []Section{{Width: w, Thickness: th}}}
	}
	tube := func(o, w si.Length) Specimen { return Specimen{Shape: Tube, Sections: []Section{{Outer: o, Wall: w}}} }
	for name, c := range map[string]struct {
		s    Specimen
		want string // in the error; empty: none
	}{
		"rectangular":             {rect(6*mm, 3*mm), ""},
		"no thickness":            {rect(6*mm, 0), "thickness"},
		"mm read as m":            {rect(6, 3*mm), "width"},
		"tube":                    {tube(12*mm, 1.5*mm), ""},
		"wall fills it":           {tube(12*mm, 6*mm), "no room"},
		"no wall":                 {tube(12*mm, 0), "wall"},
		"not a number":            {tube(12*mm, si.Length(math.NaN())), "wall"},
		"round with sections":     {Specimen{Sections: rect(6*mm, 3*mm).Sections}, "round"},
		"tube with diameters":     {Specimen{Shape: Tube, Diameters: []si.Length{12 * mm}}, "no diameter"},
		"tube of width":           {Specimen{Shape: Tube, Sections: rect(6*mm, 3*mm).Sections}, "no width"},
		"rectangular of a wall":   {Specimen{Shape: Rectangular, Sections: tube(12*mm, 1*mm).Sections}, "no outer"},
		"a shape of no name":      {Specimen{Shape: "hexagon"}, "hexagon"},
		"a limit":                 {Specimen{Diameters: []si.Length{6 * mm}, SizeU: 0.01 * mm}, ""},
		"a limit past the bar":    {Specimen{Diameters: []si.Length{6 * mm}, SizeU: 4 * mm}, "more than half"},
		"a limit below nothing":   {Specimen{SizeU: -1 * mm}, "limit of error"},
		"a limit of no number":    {Specimen{SizeU: si.Length(math.NaN())}, "limit of error"},
		"a limit in metres":       {Specimen{SizeU: 0.01}, "limit of error"},
		"where from is no text":   {Specimen{ExpectFrom: "a\x1b[2J"}, "no text"},
		"where from never ending": {Specimen{ExpectFrom: strings.Repeat("x", maxFrom+1)}, "longer"},
	} {
		err := c.s.Validate()
		if (err == nil) != (c.want == "") || err != nil && !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}

// A round bar is written as it always was, and any other so that a program
// that knows no shapes sees no diameter, not a wrong one.
func TestSectionJSON(t *testing.T) {
	for _, c := range []struct {
		s    Specimen
		want string
	}{
		{Specimen{Diameters: []si.Length{0.0125}}, `{"diameters_m":[0.0125]}`},
		{
			Specimen{Shape: Tube, Sections: []Section{{Outer: 0.012, Wall: 0.0015}}, SizeU: 1e-5},
			`{"shape":"tube","sections_m":[{"outer_m":0.012,"wall_m":0.0015}],"size_limit_m":0.00001}`,
		},
		{
			Specimen{Shape: Rectangular, Sections: []Section{{Width: 0.006, Thickness: 0.003}}},
			`{"shape":"rectangular","sections_m":[{"width_m":0.006,"thickness_m":0.003}]}`,
		},
	} {
		b, err := json.Marshal(c.s)
		if err != nil || string(b) != c.want {
			t.Errorf("%s, %v; want %s", b, err, c.want)
		}
		var back Specimen
		if err := json.Unmarshal(b, &back); err != nil || !reflect.DeepEqual(back, c.s) {
			t.Errorf("%s is read as %+v, %v", b, back, err)
		}
	}
}

// A record may hold anything: sizes that make no section, and a shape of a later
// program, give no area and so no stress, never a wrong one.
func TestNoSection(t *testing.T) {
	for _, s := range []Specimen{
		{Shape: "hexagon", Sections: []Section{{Width: 6 * mm, Thickness: 6 * mm}}},
		{Shape: Tube, Sections: []Section{{Outer: 12 * mm, Wall: 7 * mm}}},
		{Shape: Tube, Sections: []Section{{Outer: -12 * mm, Wall: -7 * mm}}},
		{Shape: Rectangular, Sections: []Section{{Width: -6 * mm, Thickness: -3 * mm}}},
		{Shape: Rectangular, Diameters: []si.Length{12 * mm}},
	} {
		if a, d, u := s.Area(), s.RoundEqual(), s.AreaU(); a != 0 || d != 0 || u != 0 {
			t.Errorf("%+v: area %v, as round %v, uncertainty %v", s, a, d, u)
		}
	}
}
