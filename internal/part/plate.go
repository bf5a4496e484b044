package part

import (
	"math"

	"draghand/internal/si"
)

// The ends of a plate beyond its pin hole.
const (
	RoundEnd  = "round"  // about the hole's centre
	SquareEnd = "square" // straight across
)

// Plate is a plate pulled by a pin in a hole on its middle line, by the
// pin-connected plates of ASME BTH-1.
type Plate struct {
	Width       si.Length `json:"width_m"`
	Thickness   si.Length `json:"thickness_m"`
	Hole        si.Length `json:"hole_m"`
	Pin         si.Length `json:"pin_m"`          // diameter of the pin in it
	EndDistance si.Length `json:"end_distance_m"` // from the hole's centre to the end, along the pull
	End         string    `json:"end"`            // round, square
	Yield       si.Stress `json:"min_yield_pa"`
	Ultimate    si.Stress `json:"min_ultimate_pa"`
}

// bthFactor is the standard's 1.2 between its factor on yield and the one on
// fracture. It stands in the capacity, the design factor (Nd there) does not.
const bthFactor = 1.2

// Sheet holds every step of the calculation, in the order of the standard.
// Forces are capacities: with a design factor of 1.
type Sheet struct {
	Beside     si.Length // be: from the hole's edge to the plate's side
	ByWidth    si.Length // 4 t
	ByStrength si.Length // be · 0.6 (Fu/Fy) √(Dh/be), at most be where that is smaller
	Effective  si.Length // the least of the three
	Cr         float64   // strength reduction for a pin looser than its hole
	Tension    si.Force  // net section
	Splitting  si.Force  // one plane beyond the hole
	Phi        float64   // shear plane locating angle, rad
	Z          si.Length // length of one shear plane, square end
	ZLost      si.Length // what a round end takes off it
	ShearArea  si.Area   // of both planes
	Shear      si.Force  // two planes beyond the hole
	Bearing    si.Force
}

// Sheet works the plate through.
func (p *Plate) Sheet() Sheet {
	t, dh, dp, r := float64(p.Thickness), float64(p.Hole), float64(p.Pin), float64(p.EndDistance)
	be := (float64(p.Width) - dh) / 2
	if p.End == RoundEnd {
		be = min(be, r-dh/2) // a round end narrower than the plate counts for the width too
	}
	s := Sheet{Beside: si.Length(be), ByWidth: 4 * p.Thickness}
	s.ByStrength = si.Length(be * 0.6 * float64(p.Ultimate) / float64(p.Yield) * math.Sqrt(dh/be))
	s.Effective = min(s.Beside, s.ByWidth, s.ByStrength)
	s.Cr = 1 - 0.275*math.Sqrt(max(0, 1-dp*dp/(dh*dh)))
	fracture := float64(p.Ultimate) / bthFactor
	s.Tension = si.Force(s.Cr * fracture * 2 * t * float64(s.Effective))
	s.Splitting = si.Force(s.Cr * fracture * (1.13*(r-dh/2) + 0.92*be/(1+be/dh)) * t)
	s.Phi = 55 * math.Pi / 180 * dp / dh
	a := r - dh/2
	s.Z = si.Length(a + dp/2*(1-math.Cos(s.Phi)))
	if p.End == RoundEnd {
		half := dp / 2 * math.Sin(s.Phi)
		s.ZLost = si.Length(r - math.Sqrt(r*r-half*half))
	}
	s.ShearArea = si.Area(2 * float64(s.Z-s.ZLost) * t)
	s.Shear = si.Force(0.70 * fracture * float64(s.ShearArea))
	s.Bearing = si.Force(1.25 * float64(p.Yield) * dp * t)
	return s
}

const bth = "ASME BTH-1, pin-connected plates"

func (p *Plate) modes() []Mode {
	s := p.Sheet()
	return []Mode{
		{"tension beside the hole", s.Tension, "F = Cr Fu/1.2 · 2 t beff", bth + ", effective width (3-46), (3-47)", p.Ultimate, minUltimate},
		{"splitting beyond the hole", s.Splitting, "F = Cr Fu/1.2 · [1.13 (R − Dh/2) + 0.92 be/(1 + be/Dh)] t", bth + ", single-plane fracture", p.Ultimate, minUltimate},
		{"shear beyond the hole", s.Shear, "F = 0.70 Fu/1.2 · 2 (Z − Z') t", bth + ", double-plane shear", p.Ultimate, minUltimate},
		{"bearing in the hole", s.Bearing, "F = 1.25 Fy · Dp t", bth + ", bearing", p.Yield, minYield},
	}
}

func (p *Plate) faults(c *faults) {
	width := c.length("width", p.Width, wantWidth)
	c.length("thickness", p.Thickness, `the plate's thickness, as in thickness = "20 mm"`)
	p.hole(c, p.Width, "width", width)
	c.strengths(p.Yield, p.Ultimate)
}

// hole checks what a hole in anything has to fit into.
func (p *Plate) hole(c *faults, across si.Length, key string, known bool) {
	hole := c.length("hole", p.Hole, wantHole)
	if hole && known && p.Hole >= across {
		c.add("hole", mm(p.Hole)+" is not smaller than the "+key+", "+mm(across), wantHole)
	}
	if c.length("pin", p.Pin, wantPin) && hole && p.Pin > p.Hole {
		c.add("pin", mm(p.Pin)+" does not go into the hole, "+mm(p.Hole), wantPin)
	}
	if c.length("end_distance", p.EndDistance, wantEndDistance) && hole && p.EndDistance <= p.Hole/2 {
		c.add("end_distance", mm(p.EndDistance)+" leaves nothing beyond the hole, whose edge is at "+mm(p.Hole/2), wantEndDistance)
	}
	if p.End != RoundEnd && p.End != SquareEnd {
		c.add("end", "neither round nor square", `"round" (about the hole's centre) or "square"`)
	}
}

const (
	wantWidth       = `the plate's width across the pull, as in width = "70 mm"`
	wantHole        = `the hole's diameter, as in hole = "26 mm"`
	wantPin         = `the diameter of the pin in it, as in pin = "25 mm"`
	wantEndDistance = `from the hole's centre to the end along the pull, as in end_distance = "40 mm"`
)

// Stresses are the plain mean stresses at a force, for checking by hand.
type Stresses struct {
	Bearing si.Stress // F/(Dp t)
	Net     si.Stress // F/((w − Dh) t)
	TearOut si.Stress // F/(2 t (R − Dh/2)): the edge length, not R itself
}

// Stresses works them out.
func (p *Plate) Stresses(f si.Force) Stresses {
	over := func(l si.Length) si.Stress { return si.StressOn(f, si.Area(float64(l)*float64(p.Thickness))) }
	return Stresses{Bearing: over(p.Pin), Net: over(p.Width - p.Hole), TearOut: over(2 * (p.EndDistance - p.Hole/2))}
}
