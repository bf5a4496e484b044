package budget

import (
	"math"

	"draghand/internal/gum"
)

// CommonDoF is the effective degrees of freedom of the common part, after Welch and
// Satterthwaite; +Inf where it is without end, or there is no common part. A
// calibration of few points leaves few: its line is wrong in every pull alike, and
// nobody knows by how much.
func (b *Budget) CommonDoF() float64 {
	var variance, sum float64
	for i := range b.Lines {
		l := &b.Lines[i]
		if !l.Common {
			continue
		}
		v := l.UPa * l.UPa
		variance += v
		if l.DoF != nil && *l.DoF > 0 && !math.IsInf(*l.DoF, 1) {
			sum += v * v / *l.DoF
		}
	}
	if !(sum > 0) {
		return math.Inf(1)
	}
	return variance * variance / sum
}

// CommonFactor is what a common standard uncertainty of so many degrees of freedom is
// expanded by: Student's factor for Coverage, and 2 at the least.
func CommonFactor(dof float64) float64 {
	if k := gum.Factor(Coverage, dof); k > leastFactor {
		return k
	}
	return leastFactor
}

// leastFactor is the usual factor of some 95 %, with degrees of freedom without end
// rounded up (JCGM 100, 6.3.3).
const leastFactor = 2

// StepPa is what the smallest step that the peak could be read in is worth in
// strength, Pa: a count of the converter, or the division of a dial as stated. 0: not
// known.
func (b *Budget) StepPa() float64 {
	for i := range b.Lines {
		switch l := &b.Lines[i]; l.Of {
		case oneCount: // half of it is the limit of error
			return 2 * math.Sqrt(3) * l.UPa
		case dialByEye: // the division itself is
			return math.Sqrt(3) * l.UPa
		}
	}
	return 0
}
