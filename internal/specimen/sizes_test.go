package specimen

import (
	"math"
	"reflect"
	"strings"
	"testing"

	"draghand/internal/si"
)

func TestParseSizes(t *testing.T) {
	rect := func(limit si.Length, sizes ...si.Length) Sizes {
		z := Sizes{Shape: Rectangular, Limit: limit}
		for i := 0; i < len(sizes); i += 2 {
			z.Sections = append(z.Sections, Section{Width: sizes[i], Thickness: sizes[i+1]})
		}
		return z
	}
	tube := func(limit, outer, wall si.Length) Sizes {
		return Sizes{Shape: Tube, Sections: []Section{{Outer: outer, Wall: wall}}, Limit: limit}
	}
	for text, want := range map[string]Sizes{
		"12.51 mm":                         {Diameters: []si.Length{12.51 * mm}},
		"12.51, 12.49 mm ± 0.01 mm":        {Diameters: []si.Length{12.51 * mm, 12.49 * mm}, Limit: 0.01 * mm},
		"0.25 in +/- 0.0005 in":            {Diameters: []si.Length{0.25 * si.Inch}, Limit: 0.0005 * si.Inch},
		"0.25 in +-0.0005in":               {Diameters: []si.Length{0.25 * si.Inch}, Limit: 0.0005 * si.Inch},
		"6.02 x 3.01 mm":                   rect(0, 6.02*mm, 3.01*mm),
		"6.02x3.01mm":                      rect(0, 6.02*mm, 3.01*mm),
		"6.02 mm X 3.01 mm":                rect(0, 6.02*mm, 3.01*mm),
		"6.02 × 3.01 mm; 6 x 3 mm":         rect(0, 6.02*mm, 3.01*mm, 6*mm, 3*mm),
		"6.02 x 3.01, 6 x 3 mm":            rect(0, 6.02*mm, 3.01*mm, 6*mm, 3*mm),
		"0.5 in x 3 mm ± 0.02 mm":          rect(0.02*mm, 0.5*si.Inch, 3*mm),
		"tube 12 x 1.5 mm":                 tube(0, 12*mm, 1.5*mm),
		"Tube 12 x 1.5 mm ± 10 µm":         tube(10e-6, 12*mm, 1.5*mm),
		"":                                 {},
		" ; ":                              {},
		"tube":                             {Shape: "none"},
		"tube 12 mm":                       {Shape: "none"},
		"tube 12 x 6 mm":                   {Shape: "none"}, // solid
		"6 x 3":                            {Shape: "none"},
		"6 x 3 mm, 12.5 mm":                {Shape: "none"}, // one bar, one shape
		"6 x 3 mm, tube 12 x 1.5 mm":       {Shape: "none"},
		"6 x 3 x 2 mm":                     {Shape: "none"},
		"x 3 mm":                           {Shape: "none"},
		"6 x mm":                           {Shape: "none"},
		"6,02 x 3,01 mm":                   {Shape: "none"}, // decimal commas
		"6 x 3 kN":                         {Shape: "none"},
		"-6 x 3 mm":                        {Shape: "none"},
		"12.5 mm ±":                        {Shape: "none"},
		"12.5 mm ± 0.01":                   {Shape: "none"},
		"12.5 mm ± 0 mm":                   {Shape: "none"},
		"12.5 mm ± -1 mm":                  {Shape: "none"},
		"± 0.01 mm":                        {Shape: "none"},
		"12.5 mm ± 8 mm":                   {Shape: "none"},
		strings.Repeat("6 x 3 mm, ", 33):   {Shape: "none"},
		strings.Repeat("12.5 mm, ", 33):    {Shape: "none"},
		"12.5 mm ± 0.01 mm, 12.4 ± 0.1 mm": {Shape: "none"},
	} {
		got, err := ParseSizes(text)
		if want.Shape == "none" {
			if err == nil {
				t.Errorf("%q is read as %v", text, got)
			}
			continue
		}
		if err != nil || !alike(got, want) {
			t.Errorf("%q is read as %v, %v; want %v", text, got, err, want)
		}
	}
}

// alike allows for a rounding of the unit's factor.
func alike(a, b Sizes) bool {
	var s, u Specimen
	s.Set(a)
	u.Set(b)
	x, y := append(s.sizes(), s.SizeU), append(u.sizes(), u.SizeU)
	if a.Shape != b.Shape || len(x) != len(y) || len(a.Sections) != len(b.Sections) {
		return false
	}
	for i := range x {
		if math.Abs(float64(x[i]-y[i])) > 1e-12*math.Abs(float64(y[i])) {
			return false
		}
	}
	return true
}

func TestSizesText(t *testing.T) {
	z, err := ParseSizes("6.02 x 3.01, 6 x 3 mm ± 0.01 mm")
	if err != nil {
		t.Fatal(err)
	}
	if got := z.Text(si.Metric); got != "6.02 x 3.01 mm, 6.00 x 3.00 mm ± 0.010 mm" {
		t.Errorf("%q", got)
	}
	if got := z.Text(si.US); got != "0.2370 x 0.1185 in, 0.2362 x 0.1181 in ± 0.0004 in" {
		t.Errorf("%q", got)
	}
}

// FuzzParseSizes: nothing panics; what is read is possible, and once printed it
// is read again as the very same.
func FuzzParseSizes(f *testing.F) {
	for _, s := range []string{
		"12.51 mm, 12.49 mm ± 0.01 mm", "6.02 x 3.01 mm", "tube 12 x 1.5 mm", "6x3, 5 x 2 mm", "tube", "x", "×", "±", "+-", "1 x 2 x 3 mm", "TUBE12x1mm;13 × 1 in+/-1thou",
	} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		z, err := ParseSizes(text)
		if err != nil {
			if !reflect.DeepEqual(z, Sizes{}) {
				t.Fatalf("%q: %v, and yet %v", text, err, z)
			}
			return
		}
		var s Specimen
		s.Set(z)
		if err := s.Validate(); err != nil {
			t.Fatalf("%q is read as %v: %v", text, z, err)
		}
		if n := len(z.Diameters) + len(z.Sections); (n > 0) != (s.Area() > 0) || n > mostSize {
			t.Fatalf("%q: %d sections, %v m²", text, n, s.Area())
		}
		if u := s.AreaU(); !(u >= 0) || math.IsInf(u, 0) {
			t.Fatalf("%q: uncertainty %v", text, u)
		}
		if again, err := ParseSizes(z.String()); err != nil || !reflect.DeepEqual(again, z) {
			t.Fatalf("%q is read as %v, printed as %q and read as %v, %v", text, z, z.String(), again, err)
		}
	})
}
