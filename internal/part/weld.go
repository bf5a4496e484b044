package part

import (
	"math"

	"draghand/internal/si"
)

// Weld is a fillet weld loaded in any direction in its plane.
type Weld struct {
	Leg    si.Length `json:"leg_m"`    // the shorter leg where they differ
	Length si.Length `json:"length_m"` // of full size, all runs added
	// Filler is the minimum ultimate strength of the filler metal, Base the
	// minimum yield of the weaker part welded.
	Filler si.Stress `json:"min_ultimate_pa"`
	Base   si.Stress `json:"min_yield_pa"`
}

// Throat is the least thickness of an equal-legged fillet.
func (w *Weld) Throat() si.Length { return w.Leg / math.Sqrt2 }

func (w *Weld) modes() []Mode {
	return []Mode{
		{"throat of the weld", times(w.Filler, 0.60*float64(w.Throat())*float64(w.Length)), "F = 0.60 FEXX · (leg/√2) · l", "fillet welds in steel structures, nominal stress 0.60 of the filler's strength", w.Filler, fillerUlt},
		{"base metal at the weld", times(ShearOfYield*w.Base, float64(w.Leg)*float64(w.Length)), "F = 0.57735 Sy · leg · l", "mean shear, yield by distortion energy: handbooks of machine design", w.Base, baseYield},
	}
}

func (w *Weld) faults(c *faults) {
	const wantLeg, wantRun = `the shorter leg of the fillet, as in leg = "6 mm"`, `the length of full size, as in length = "120 mm"`
	if c.length("leg", w.Leg, wantLeg) && c.length("length", w.Length, wantRun) && w.Length < 4*w.Leg {
		c.add("length", mm(w.Length)+" is shorter than four legs: no weld of full size", wantRun)
	}
	c.strength("min_ultimate", w.Filler, `the filler metal's minimum ultimate strength, as in min_ultimate = "480 MPa"`)
	c.strength("min_yield", w.Base, `the minimum yield of the weaker part welded, as in min_yield = "235 MPa"`)
}
