package part

import (
	"fmt"
	"math"

	"draghand/internal/si"
)

// The grips of a specimen's end.
const (
	HoleGrip   = "hole"   // a cross-hole for a pin
	ThreadGrip = "thread" // a thread on the end
)

// End is the end of the specimen itself, which has to outlast its gauge
// section. The end takes the alloy's minimum strength: that the bar in the rig
// is stronger is what the pull is to show, and the gauge section's expected high
// strength is what it is held against, elsewhere.
type End struct {
	Grip string `json:"grip"` // hole, thread
	// Of a cross-hole: a round end of a diameter, or a flat one.
	Section     string    `json:"section,omitempty"` // round, flat
	Diameter    si.Length `json:"diameter_m,omitempty"`
	Width       si.Length `json:"width_m,omitempty"`
	Thickness   si.Length `json:"thickness_m,omitempty"`
	Hole        si.Length `json:"hole_m,omitempty"`
	Pin         si.Length `json:"pin_m,omitempty"`
	EndDistance si.Length `json:"end_distance_m,omitempty"`
	End         string    `json:"end,omitempty"` // round, square
	// Of a thread.
	Screw      *Screw    `json:"thread,omitempty"`
	Engagement si.Length `json:"engagement_m,omitempty"`
	Yield      si.Stress `json:"min_yield_pa,omitempty"` // of a cross-hole only
	Ultimate   si.Stress `json:"min_ultimate_pa"`
}

// NetArea is what a hole across the middle of a round bar leaves of its section.
func NetArea(bar, hole si.Length) si.Area {
	d, h := float64(bar), float64(hole)
	return si.Area(circle(bar) - d*d/2*math.Asin(h/d) - h/2*math.Sqrt(d*d-h*h))
}

// Plate is the plate that a cross-holed end is taken as. A round end becomes
// one as thick as its hole is long at the edge, √(D² − Dh²), and as wide as
// leaves the same net section: everywhere the bar is thicker than that.
func (e *End) Plate() Plate {
	p := Plate{
		Width: e.Width, Thickness: e.Thickness, Hole: e.Hole, Pin: e.Pin,
		EndDistance: e.EndDistance, End: e.End, Yield: e.Yield, Ultimate: e.Ultimate,
	}
	if e.Section == Round {
		d, h := float64(e.Diameter), float64(e.Hole)
		p.Thickness = si.Length(math.Sqrt(d*d - h*h))
		p.Width = e.Hole + si.Length(float64(NetArea(e.Diameter, e.Hole))/float64(p.Thickness))
	}
	return p
}

func (e *End) modes() []Mode {
	if e.Grip == HoleGrip {
		p := e.Plate()
		m := p.modes()
		for i := range m {
			if e.Section == Round {
				m[i].Source += "; a round end as a plate, docs/parts.md"
			}
		}
		return m
	}
	if e.Screw == nil {
		return nil
	}
	return []Mode{
		{"tension in the specimen's thread", times(e.Ultimate, float64(e.Screw.StressArea())), stressFormula(*e.Screw, "Su"), stressSource(*e.Screw), e.Ultimate, minUltimate},
		{"stripping of the specimen's thread", times(ShearOfYield*e.Ultimate, float64(e.Screw.StripArea(e.Engagement))), "F = 0.57735 Su · π/2 (D − 0.6495 P) · min(l, 1.5 D)", "half the cylinder at the pitch diameter: handbooks of machine design, simplified", e.Ultimate, minUltimate},
	}
}

func (e *End) faults(c *faults) {
	switch e.Grip {
	case HoleGrip:
		e.holeFaults(c)
	case ThreadGrip:
		if e.Screw == nil {
			c.add("thread", "missing", wantThread)
		} else {
			e.Screw.faults(c)
		}
		c.length("engagement", e.Engagement, wantEngagement)
		c.strength("min_ultimate", e.Ultimate, WantUltimate)
		if e.Section != "" || e.End != "" || e.Diameter != 0 || e.Width != 0 || e.Thickness != 0 || e.Hole != 0 || e.Pin != 0 || e.EndDistance != 0 || e.Yield != 0 {
			c.add("grip", "a thread with the dimensions of a cross-hole", "those of a thread alone")
		}
	default:
		c.add("grip", fmt.Sprintf("%q is not known", e.Grip), `"hole" or "thread"`)
	}
}

func (e *End) holeFaults(c *faults) {
	p := Plate{Hole: e.Hole, Pin: e.Pin, EndDistance: e.EndDistance, End: e.End}
	switch e.Section {
	case Round:
		ok := c.length("diameter", e.Diameter, `the end's diameter, as in diameter = "20 mm"`)
		p.hole(c, e.Diameter, "diameter", ok)
		if e.Width != 0 || e.Thickness != 0 {
			c.add("section", "a round end with a width or a thickness", "a diameter alone")
		}
	case Flat:
		ok := c.length("width", e.Width, wantWidth)
		c.length("thickness", e.Thickness, `the end's thickness, as in thickness = "12 mm"`)
		p.hole(c, e.Width, "width", ok)
		if e.Diameter != 0 {
			c.add("section", "a flat end with a diameter", "a width and a thickness")
		}
	default:
		c.add("section", fmt.Sprintf("%q is not known", e.Section), `"round" or "flat"`)
	}
	if e.Screw != nil || e.Engagement != 0 {
		c.add("grip", "a cross-hole with the dimensions of a thread", "those of a cross-hole alone")
	}
	c.strengths(e.Yield, e.Ultimate)
}
