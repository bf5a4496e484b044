package batch

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// tailT is the probability that Student's t with dof degrees of freedom, of any
// positive number, lies outside ± t. It is right far out too, where 1 less a
// distribution function has no digits left.
func tailT(t, dof float64) float64 {
	square := t * t
	switch {
	case math.IsNaN(t):
		return math.NaN()
	case math.IsInf(square, 1):
		return 0
	}
	return mathext.RegIncBeta(dof/2, 0.5, dof/(dof+square))
}

// tailF is the probability that Fisher's F with the two degrees of freedom lies
// above f.
func tailF(f, dof1, dof2 float64) float64 {
	switch {
	case math.IsNaN(f):
		return math.NaN()
	case math.IsInf(f*dof1, 1):
		return 0
	}
	return mathext.RegIncBeta(dof2/2, dof1/2, dof2/(dof2+dof1*f))
}
