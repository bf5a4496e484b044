package plan

import (
	"math"
	"testing"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// The thread on a bar's end is of the bar's own metal. M16x2 stands 43.08 kN of
// 275 MPa and 32.43 kN of 207 MPa (by hand: 156.669 mm² of stress area), so that a
// bar of the weaker metal meets its own end before the link bar.
func TestEndsAreOfTheMetalPlanned(t *testing.T) {
	r, err := rig.Parse("ends", []byte(rig.Example()+`
[[limit]]
name = "thread of the bar"
kind = "end"
grip = "thread"
thread = "M16x2"
engagement = "24 mm"
min_ultimate = "275 MPa"
strength_from = "ASTM B584 minimum"
design_factor = 1
`))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		low, high si.Stress
		allowable float64 // kN
	}{{300e6, 320e6, 43.08}, {207e6, 250e6, 32.43}} {
		p := For(Ask{Rig: r, Strength: OfRange(c.low, c.high, 0), Units: si.Metric})
		if p.Part == nil || p.Part.Name != "thread of the bar" {
			t.Fatalf("%v: first comes %+v", c.low, p.Part)
		}
		// The alarm takes the unsafe edge of area, friction and share: a few % early.
		if at := p.Part.Allowable / 1e3; math.Abs(at-c.allowable) > 0.01 {
			t.Errorf("%v: the end may carry %.2f kN, want %v", c.low, at, c.allowable)
		}
		if at := float64(p.Part.Stop.Specimen) / 1e3; !(at < c.allowable && at > 0.95*c.allowable) {
			t.Errorf("%v: the stop comes at %.2f kN on the specimen, want a little below %v", c.low, at, c.allowable)
		}
	}
}
