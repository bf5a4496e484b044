package part

import (
	"fmt"
	"math"

	"draghand/internal/si"
)

// The sections of a bar, and of a specimen's end (round or flat).
const (
	Round       = "round"
	Rectangular = "rectangular"
	Tube        = "tube"
	Flat        = "flat"
)

// Bar is a bar in bending: a force at its middle support, carried to two loads
// outside it, one at the end of each arm.
type Bar struct {
	Section  string    `json:"section"`              // round, rectangular, tube
	Diameter si.Length `json:"diameter_m,omitempty"` // round; outside of a tube
	Wall     si.Length `json:"wall_m,omitempty"`     // of a tube
	Height   si.Length `json:"height_m,omitempty"`   // rectangular: along the force
	Width    si.Length `json:"width_m,omitempty"`    // rectangular: across it
	Arm      si.Length `json:"arm_m"`                // from the middle of the support to one load
	OtherArm si.Length `json:"other_arm_m"`          // to the other
	// SupportWidth is the width of the support along the bar, counted only
	// where both of its edges are known to carry; 0: a support at a point.
	SupportWidth si.Length `json:"support_width_m,omitempty"`
	Yield        si.Stress `json:"min_yield_pa"`
	Modulus      si.Stress `json:"modulus_pa,omitempty"` // Young's modulus, for the deflection; 0: not stated
}

// Span is the distance between the two loads.
func (b *Bar) Span() si.Length { return b.Arm + b.OtherArm }

// lever is the largest moment over the force at the support: a·b/L, less
// w·a·b/(2 L²) under a support that carries evenly over its width w.
func (b *Bar) lever() float64 {
	l := float64(b.Span())
	return float64(b.Arm) * float64(b.OtherArm) / l * (1 - float64(b.SupportWidth)/(2*l))
}

// Moment is the largest bending moment at a force on the support, N·m.
func (b *Bar) Moment(f si.Force) float64 { return float64(f) * b.lever() }

// Stress is the bending stress at a force on the support.
func (b *Bar) Stress(f si.Force) si.Stress { return si.Stress(b.Moment(f) / b.SectionModulus()) }

// inner is the bore of a tube.
func (b *Bar) inner() float64 { return float64(b.Diameter - 2*b.Wall) }

// SectionModulus is S = I over half the height, m³.
func (b *Bar) SectionModulus() float64 {
	if b.Section == Rectangular {
		return float64(b.Width) * float64(b.Height) * float64(b.Height) / 6
	}
	return 2 * b.SecondMoment() / float64(b.Diameter)
}

// SecondMoment is the second moment of area I, m⁴.
func (b *Bar) SecondMoment() float64 {
	switch b.Section {
	case Rectangular:
		return float64(b.Width) * math.Pow(float64(b.Height), 3) / 12
	case Tube:
		return math.Pi / 64 * (math.Pow(float64(b.Diameter), 4) - math.Pow(b.inner(), 4))
	}
	return math.Pi / 64 * math.Pow(float64(b.Diameter), 4)
}

// Deflection is how far the support moves against the line through the two
// loads at a force, F a²b²/(3 E I L), with the support taken as a point; 0
// where the modulus is not stated.
func (b *Bar) Deflection(f si.Force) si.Length {
	if !(b.Modulus > 0) {
		return 0
	}
	ab := float64(b.Arm) * float64(b.OtherArm)
	return si.Length(float64(f) * ab * ab / (3 * float64(b.Modulus) * b.SecondMoment() * float64(b.Span())))
}

// peak is the section's area and the largest shear stress over the mean one.
func (b *Bar) peak() (area, k float64, words string) {
	switch b.Section {
	case Rectangular:
		return float64(b.Width) * float64(b.Height), 1.5, "3/2"
	case Tube: // of a thin wall; thicker ones have less
		return circle(b.Diameter) - math.Pi/4*b.inner()*b.inner(), 2, "2"
	}
	return circle(b.Diameter), 4.0 / 3, "4/3"
}

func (b *Bar) modes() []Mode {
	area, k, words := b.peak()
	nearer := float64(max(b.Arm, b.OtherArm)) / float64(b.Span()) // part of the force at the nearer load
	formula := "F = Sy · S · L/(a b)"
	if b.SupportWidth > 0 {
		formula = "F = Sy · S · L/(a b) / (1 − w/(2 L))"
	}
	return []Mode{
		{"bending of the bar", times(b.Yield, b.SectionModulus()/b.lever()), formula, "beam on two loads: handbooks of machine design", b.Yield, minYield},
		{"shear of the bar", times(ShearOfYield*b.Yield, area/(k*nearer)), "F = 0.57735 Sy · A / (" + words + " · b/L)", "shear in a beam, yield by distortion energy: handbooks of machine design", b.Yield, minYield},
	}
}

func (b *Bar) faults(c *faults) {
	switch b.Section {
	case Round:
		c.length("diameter", b.Diameter, wantBarDiameter)
	case Rectangular:
		c.length("height", b.Height, `the height along the force, as in height = "60 mm"`)
		c.length("width", b.Width, `the width across the force, as in width = "40 mm"`)
	case Tube:
		if c.length("diameter", b.Diameter, wantBarDiameter) && c.length("wall", b.Wall, wantWall) && b.Wall >= b.Diameter/2 {
			c.add("wall", mm(b.Wall)+" is not below half the diameter, "+mm(b.Diameter/2), wantWall+`; a full bar is section = "round"`)
		}
	default:
		c.add("section", fmt.Sprintf("%q is not known", b.Section), `"round", "rectangular" or "tube"`)
	}
	if b.Section == Round || b.Section == Rectangular || b.Section == Tube {
		b.unused(c)
	}
	arms := c.length("arm", b.Arm, WantArm)
	arms = c.length("other_arm", b.OtherArm, WantArm) && arms
	if w := b.SupportWidth; w != 0 && c.length("support_width", w, wantSupport) && arms && w >= 2*min(b.Arm, b.OtherArm) {
		c.add("support_width", mm(w)+" reaches as far as the loads", wantSupport)
	}
	c.strength("min_yield", b.Yield, WantYield)
	if b.Modulus != 0 && !(b.Modulus >= minModulus && b.Modulus <= maxModulus) {
		c.add("modulus", mpa(b.Modulus)+" is no metal's", `Young's modulus, as in modulus = "200000 MPa"`)
	}
}

// unused refuses dimensions that the section does not have.
func (b *Bar) unused(c *faults) {
	for _, d := range []struct {
		key  string
		v    si.Length
		uses bool
	}{
		{"diameter", b.Diameter, b.Section != Rectangular},
		{"wall", b.Wall, b.Section == Tube},
		{"height", b.Height, b.Section == Rectangular},
		{"width", b.Width, b.Section == Rectangular},
	} {
		if d.v != 0 && !d.uses {
			c.add(d.key, "does not belong to a "+b.Section+" bar", "none")
		}
	}
}

const (
	// WantArm is what would be right for an arm of a bar.
	WantArm         = `from the middle of the support to the load, as in arm = "110 mm"`
	wantBarDiameter = `the outside diameter, as in diameter = "60 mm"`
	wantWall        = `the wall of the tube, as in wall = "8 mm"`
	wantSupport     = `the width of the support along the bar, between the loads, as in support_width = "30 mm"`
)
