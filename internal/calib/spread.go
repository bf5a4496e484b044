package calib

import "draghand/internal/gum"

// Factor is what makes a standard uncertainty of so many degrees of freedom one that
// covers 95 %: Student's t. NaN where there are none.
func Factor(dof float64) float64 { return gum.T(confidence, dof) }
