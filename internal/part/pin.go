package part

import (
	"math"

	"draghand/internal/si"
)

// Pin is a round pin across plates: forked (an inner plate between two outer
// ones, double shear) or lapped (two plates, single shear).
type Pin struct {
	Diameter si.Length `json:"diameter_m"`
	Planes   int       `json:"shear_planes"` // 1: single shear, 2: double
	Outer    si.Length `json:"outer_m"`      // thickness of each outer plate; of the one plate in single shear
	Inner    si.Length `json:"inner_m"`      // thickness of the inner plate; of the other plate
	Gap      si.Length `json:"gap_m"`        // between plates, on each side
	Yield    si.Stress `json:"min_yield_pa"`
	// ShearYield is a stated minimum shear yield; 0: by distortion energy.
	ShearYield si.Stress `json:"min_shear_yield_pa,omitempty"`
}

// Shear is the mean shear stress in the pin at a force.
func (p *Pin) Shear(f si.Force) si.Stress {
	return si.Stress(float64(f) / (float64(p.Planes) * circle(p.Diameter)))
}

// arm is the bending moment over the force. Forked: half the force at the
// middle of each outer plate, the inner plate's spread over half its
// thickness: (F/2)(t1/2 + g + t2/4). Lapped, all of it from the middle of one
// plate to the middle of the other: the worst case of a pin that one plate holds.
func (p *Pin) arm() float64 {
	t1, g, t2 := float64(p.Outer), float64(p.Gap), float64(p.Inner)
	if p.Planes == 2 {
		return (t1/2 + g + t2/4) / 2
	}
	return t1/2 + g + t2/2
}

// Moment is the largest bending moment in the pin at a force, N·m.
func (p *Pin) Moment(f si.Force) float64 { return float64(f) * p.arm() }

// Bending is the bending stress in the pin at a force.
func (p *Pin) Bending(f si.Force) si.Stress {
	return si.Stress(p.Moment(f) / roundModulus(p.Diameter))
}

func roundModulus(d si.Length) float64 { return math.Pi / 32 * math.Pow(float64(d), 3) }

func (p *Pin) modes() []Mode {
	tau, of := ShearOfYield*p.Yield, minYield
	formula := "F = n · 0.57735 Sy · π d²/4"
	used := p.Yield
	if p.ShearYield > 0 {
		tau, used, of, formula = p.ShearYield, p.ShearYield, shearYield, "F = n · Ssy · π d²/4"
	}
	bending := "F = 2 Sy · (π d³/32) / (t1/2 + g + t2/4)"
	if p.Planes == 1 {
		bending = "F = Sy · (π d³/32) / (t1/2 + g + t2/2)"
	}
	return []Mode{
		{"shear of the pin", times(tau, float64(p.Planes)*circle(p.Diameter)), formula, "mean shear, yield by distortion energy: handbooks of machine design", used, of},
		{"bending of the pin", times(p.Yield, roundModulus(p.Diameter)/p.arm()), bending, "pin as a beam between its plates: handbooks of machine design", p.Yield, minYield},
	}
}

func (p *Pin) faults(c *faults) {
	c.length("diameter", p.Diameter, `the pin's diameter, as in diameter = "25 mm"`)
	if p.Planes != 1 && p.Planes != 2 {
		c.add("shear", "neither single nor double", `"single" or "double"`)
	}
	c.length("outer", p.Outer, `the thickness of each outer plate, as in outer = "12 mm"`)
	c.length("inner", p.Inner, `the thickness of the inner plate, as in inner = "25 mm"`)
	if !(p.Gap >= 0 && p.Gap <= maxLength) {
		c.add("gap", mm(p.Gap)+" is no gap", `the gap between plates on each side, as in gap = "1 mm"; "0 mm" where they touch`)
	}
	if c.strength("min_yield", p.Yield, WantYield) && p.ShearYield != 0 {
		const want = `a shear yield of the same metal, below its yield; or none, for 0.57735 of the yield`
		if c.strength("min_shear_yield", p.ShearYield, want) && p.ShearYield > p.Yield {
			c.add("min_shear_yield", mpa(p.ShearYield)+" is above the yield, "+mpa(p.Yield), want)
		}
	}
}
