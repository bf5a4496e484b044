package specimen

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"draghand/internal/si"
)

func roundBefore() Specimen {
	return Specimen{Diameters: []si.Length{12.50 * mm, 12.52 * mm}, GaugeLength: 50 * mm}
}

// What can be after a pull. ± 0.01 mm of the micrometer, twice, is no bar that got
// thicker.
func TestAfterTaken(t *testing.T) {
	rect := Specimen{Shape: Rectangular, Sections: []Section{{Width: 6 * mm, Thickness: 3 * mm}, {Width: 6.1 * mm, Thickness: 2.9 * mm}}}
	tube := Specimen{Shape: Tube, Sections: []Section{{Outer: 12 * mm, Wall: 1.5 * mm}}}
	for name, c := range map[string]struct {
		before Specimen
		after  After
	}{
		"nothing":              {roundBefore(), After{}},
		"thinner, longer":      {roundBefore(), After{Diameters: []si.Length{9.81 * mm, 9.79 * mm}, GaugeLength: 58.7 * mm}},
		"did not stretch":      {roundBefore(), After{Diameters: []si.Length{12.52 * mm}, GaugeLength: 50 * mm}},
		"by the micrometer":    {roundBefore(), After{Diameters: []si.Length{12.539 * mm}}},
		"four times as long":   {roundBefore(), After{GaugeLength: 199.9 * mm}},
		"every place and look": {roundBefore(), After{Where: InGrip, Looks: FractureLooks(), Failed: "upper pin", Photos: []string{"a.jpg", "Bruch äöü.jpg"}}},
		"a minimum":            {roundBefore(), After{Minimum: 275 * si.Megapascal, MinimumFrom: "the drawing"}},
		"rectangular":          {rect, After{Sections: []Section{{Width: 6.1 * mm, Thickness: 2 * mm}}}},
		"tube":                 {tube, After{Sections: []Section{{Outer: 11 * mm, Wall: 1.3 * mm}}}},
		"no sizes, seen only":  {Specimen{}, After{Where: MidGauge}},
	} {
		if err := c.after.Against(c.before, si.Metric); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// What cannot be, and what is said to be right.
func TestAfterRefused(t *testing.T) {
	rect := Specimen{Shape: Rectangular, Sections: []Section{{Width: 6 * mm, Thickness: 3 * mm}}}
	tube := Specimen{Shape: Tube, Sections: []Section{{Outer: 12 * mm, Wall: 1.5 * mm}}}
	many := make([]string, MaxPhotos+1)
	for i := range many {
		many[i] = fmt.Sprint(i, ".jpg")
	}
	nan := si.Length(math.NaN())
	for _, c := range []struct {
		before Specimen
		after  After
		why    string
	}{
		{roundBefore(), After{Diameters: []si.Length{12.55 * mm}}, "above the first, 12.52 mm"},
		{roundBefore(), After{Diameters: []si.Length{9.8 * mm, 0}}, "0.00 mm is outside 0.5 mm"},
		{roundBefore(), After{Diameters: []si.Length{-9.8 * mm}}, "see that the unit is right"},
		{roundBefore(), After{Diameters: []si.Length{nan}}, "is outside"},
		{roundBefore(), After{Diameters: make([]si.Length, mostSize+1)}, "write the least"},
		{roundBefore(), After{Sections: []Section{{Width: 5 * mm, Thickness: 2 * mm}}}, "was round before the pull"},
		{rect, After{Diameters: []si.Length{2 * mm}}, `was rectangular before the pull: write its sizes at the break in the same way, such as "5.1 x 2.4 mm"`},
		{rect, After{Sections: []Section{{Outer: 5 * mm, Wall: 2 * mm}}}, "was rectangular before"},
		{rect, After{Sections: []Section{{Width: 6.1 * mm, Thickness: 2 * mm}}}, "final width 6.10 mm is above the first, 6.00 mm"},
		{rect, After{Sections: []Section{{Width: 5 * mm}}}, "final thickness 0.00 mm is outside 0.1 mm"},
		{tube, After{Sections: []Section{{Width: 5 * mm, Thickness: 2 * mm}}}, "was tube before"},
		{tube, After{Sections: []Section{{Outer: 2.5 * mm, Wall: 1.4 * mm}}}, "is none"},
		{tube, After{Sections: []Section{{Outer: 11 * mm, Wall: nan}}}, "final wall"},
		{Specimen{}, After{Diameters: []si.Length{9.8 * mm}}, "no diameter was measured before the pull"},
		{Specimen{Shape: Tube}, After{Sections: []Section{{Outer: 11 * mm, Wall: 1.4 * mm}}}, "no section was measured before the pull"},
		{roundBefore(), After{GaugeLength: 49.99 * mm}, "shorter than before, 50.00 mm"},
		{roundBefore(), After{GaugeLength: 200.1 * mm}, "elongation of 300 %"},
		{roundBefore(), After{GaugeLength: nan}, "see that the unit is right"},
		{roundBefore(), After{GaugeLength: -1}, "see that the unit is right"},
		{Specimen{}, After{GaugeLength: 58 * mm}, "none was marked before the pull"},
		{roundBefore(), After{Where: "left"}, "it is one of middle, outer-quarter, off-marks, shoulder, grip"},
		{roundBefore(), After{Looks: []Look{Flat, "shiny"}}, "cup-and-cone, slant, flat"},
		{roundBefore(), After{Looks: []Look{Flat, Flat}}, "stands twice"},
		{roundBefore(), After{Failed: "pin\x1b[2J"}, "holds what is no text"},
		{roundBefore(), After{Failed: strings.Repeat("p", maxFailed+1)}, "shorten it"},
		{roundBefore(), After{Photos: many}, "21 photos are more than 20"},
		{roundBefore(), After{Photos: []string{"a\u202egpj.exe"}}, "holds what is no text"},
		{roundBefore(), After{Photos: []string{" "}}, "without a name"},
		{roundBefore(), After{Photos: []string{"\xff"}}, "holds what is no text"},
		{roundBefore(), After{Minimum: 40}, "outside 1 MPa"},
		{roundBefore(), After{Minimum: si.Stress(math.Inf(1))}, "outside 1 MPa"},
		{roundBefore(), After{MinimumFrom: "the drawing"}, "write the minimum too"},
	} {
		if err := c.after.Against(c.before, si.Metric); err == nil || !strings.Contains(err.Error(), c.why) {
			t.Errorf("%+v of %+v:\n got %v\nwant %q", c.after, c.before, err, c.why)
		}
	}
	all := After{Diameters: []si.Length{13 * mm}, GaugeLength: 3 * mm, Where: "left", Looks: []Look{"shiny"}, MinimumFrom: "x"}
	if err := all.Against(roundBefore(), si.Metric); strings.Count(err.Error(), "\n") != 4 {
		t.Errorf("not all five at once: %v", err)
	}
}

// A person who works in inches is refused in inches, with the bounds and the
// examples. By hand: 12.52 mm are 0.4929 in, 12.6 mm 0.4961 in, 50 mm 1.9685 in,
// 0.5 mm 0.0197 in, 200 mm 7.8740 in; 1 MPa is 0.145 ksi. Four decimals of an inch
// are shown of a section, three of a gauge length. What is to be written where it did not stretch is not under the first.
func TestAfterRefusedInInches(t *testing.T) {
	rect := Specimen{Shape: Rectangular, Sections: []Section{{Width: 6 * mm, Thickness: 3 * mm}}}
	for _, c := range []struct {
		before Specimen
		after  After
		why    string
	}{
		{roundBefore(), After{Diameters: []si.Length{12.6 * mm}}, "final diameter 0.4961 in is above the first, 0.4929 in"},
		{roundBefore(), After{Diameters: []si.Length{0.2 * mm}}, "is outside 0.020 in to 7.874 in"},
		{roundBefore(), After{GaugeLength: 49 * mm}, "is shorter than before, 1.969 in: fit the halves together and measure between the same marks; where it did not stretch write 1.9686 in"},
		{roundBefore(), After{GaugeLength: 201 * mm}, "of 1.969 in, more than 300 %"},
		{roundBefore(), After{GaugeLength: -mm}, "final gauge length -0.039 in is none"},
		{rect, After{Sections: []Section{{Width: 6.1 * mm, Thickness: 2 * mm}}}, "final width 0.2402 in is above the first, 0.2362 in"},
		{rect, After{Diameters: []si.Length{2 * mm}}, `such as "0.201 x 0.094 in"`},
		{roundBefore(), After{Minimum: 40}, "is outside 0.1 ksi to 725.2 ksi"},
	} {
		err := c.after.Against(c.before, si.US)
		if err == nil || !strings.Contains(err.Error(), c.why) || strings.Contains(err.Error(), " mm") || strings.Contains(err.Error(), "MPa") {
			t.Errorf("%+v:\n got %v\nwant %q", c.after, err, c.why)
		}
	}
}
