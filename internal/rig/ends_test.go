package rig

import (
	"math"
	"strings"
	"testing"

	"draghand/internal/si"
)

// An end is of the bar's own metal: M16x2 has a stress area of 156.669 mm²
// (ISO 898-1's formula, by hand), so that it stands 43.08 kN of a bronze of
// 275 MPa and 32.43 kN of an aluminium of 207 MPa.
func TestEndsOfTheBarsOwnMetal(t *testing.T) {
	text := Example() + `
[[limit]]
name = "thread of the bar"
kind = "end"
grip = "thread"
thread = "M16x2"
engagement = "24 mm"
min_ultimate = "275 MPa"
strength_from = "ASTM B584 minimum"
design_factor = 1
`
	r, err := Parse("ends", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	force := func(r *Rig) float64 {
		for _, l := range r.Limits {
			if l.Kind == EndLimit {
				return float64(l.Force) / 1e3
			}
		}
		t.Fatal("the rig has no end")
		return 0
	}
	for _, c := range []struct {
		low  si.Stress
		want float64
	}{{0, 43.08}, {300e6, 43.08}, {275e6, 43.08}, {207e6, 32.43}} {
		got := r.EndsOf(c.low)
		if math.Abs(force(got)-c.want) > 0.01 {
			t.Errorf("low %v: %v kN, want %v", c.low, force(got), c.want)
		}
		if err := got.Validate(); err != nil {
			t.Errorf("low %v: %v", c.low, err)
		}
		if c.low < 275e6 && c.low > 0 {
			for _, l := range got.Limits {
				if l.Kind == EndLimit && !strings.Contains(l.Part.StrengthFrom, "expected to break at") {
					t.Errorf("it is not said where the strength is from: %q", l.Part.StrengthFrom)
				}
			}
		} else if got != r {
			t.Errorf("low %v: another rig though nothing is lowered", c.low)
		}
	}
	if math.Abs(force(r)-43.08) > 0.01 {
		t.Error("the rig itself was changed")
	}
}
