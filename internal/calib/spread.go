package calib

import (
	"draghand/internal/gum"
	"draghand/internal/si"
)

// Sure is the coverage of what is stated with ±.
const Sure = 0.95

// Factor is what makes a standard uncertainty of this line one that covers 95 %:
// Student's t for its degrees of freedom. NaN where there are none.
func (l Line) Factor() float64 { return gum.T(Sure, float64(l.DoF)) }

// Spread is how far the line itself may be off at a pressure, 95 %, in Pa or N: by
// the scatter of its points alone. NaN where two points leave no scatter to judge by.
func (a *Answer) Spread(p si.Pressure) float64 {
	l := &a.Calibration.Line
	return gum.T(Sure, l.DoF()) * l.LineU(p)
}
