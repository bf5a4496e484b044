package calib

import (
	"draghand/internal/gum"
	"draghand/internal/si"
)

// Factor is what makes a standard uncertainty of so many degrees of freedom one that
// covers 95 %: Student's t. NaN where there are none.
func Factor(dof float64) float64 { return gum.T(confidence, dof) }

// Spread is how far the line itself may be off at a pressure, 95 %, in Pa or N: by
// the scatter of its points alone. NaN where two points leave no scatter to judge by.
func (a *Answer) Spread(p si.Pressure) float64 {
	l := &a.Calibration.Line
	return Factor(l.DoF()) * l.LineU(p)
}
