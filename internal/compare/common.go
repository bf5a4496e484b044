package compare

import (
	"fmt"
	"math"

	"draghand/internal/budget"
	"draghand/internal/si"
)

// common is what the rig may be off in a pull: a standard uncertainty, its degrees of
// freedom, +Inf: without end, and the factor they ask for.
type common struct {
	u      si.Stress
	dof, k float64
}

func commonOf(u si.Stress, dof float64) common {
	if !(dof > 0) { // as it stands in budgets: without end
		dof = math.Inf(1)
	}
	return common{u: u, dof: dof, k: budget.CommonFactor(dof)}
}

func (c common) expanded() si.Stress { return si.Stress(c.k) * c.u }

// largestCommon is the common part of pulls that is the largest when it is expanded:
// one of few degrees of freedom may be it though its standard uncertainty is not. Of
// unknown pulls none is known.
func largestCommon(all []Pull) (most common, unknown int) {
	most = commonOf(0, 0)
	for i := range all {
		if !(all[i].U > 0) {
			unknown++
		}
		if c := commonOf(all[i].Common, all[i].CommonDoF); c.expanded() > most.expanded() {
			most = c
		}
	}
	return most, unknown
}

// with is the common part of a difference of what is off by no relation: two rigs, two
// references (Welch and Satterthwaite for its degrees of freedom).
func (c common) with(d common) common {
	a, b := float64(c.u), float64(d.u)
	var sum float64
	for _, one := range []struct{ u, dof float64 }{{a, c.dof}, {b, d.dof}} {
		if !math.IsInf(one.dof, 1) {
			sum += math.Pow(one.u, 4) / one.dof
		}
	}
	dof := math.Inf(1)
	if sum > 0 {
		dof = math.Pow(a*a+b*b, 2) / sum
	}
	return commonOf(stress(math.Hypot(a, b)), dof)
}

// CoverageText is how what the rig itself may be off was expanded: "k 2.00", "k 4.30 of
// 2.3 degrees of freedom".
func (c *CountOn) CoverageText() string { return coverageText(c.Coverage, c.DoF) }

// CoverageText is the same of what the rigs may be off in a difference.
func (d *Difference) CoverageText() string { return coverageText(d.Coverage, d.CommonDoF) }

// Expanded is Common times Coverage.
func (d *Difference) Expanded() si.Stress { return si.Stress(d.Coverage) * d.Common }

// by is CoverageText in brackets where it is not 2.
func (d *Difference) by() string {
	if !fewDegrees(d.Coverage) {
		return ""
	}
	return " (" + d.CoverageText() + ")"
}

func coverageText(k, dof float64) string {
	t := "k " + si.Number(k, 2)
	if !fewDegrees(k) {
		return t
	}
	return t + " of " + degrees(dof) + " degrees of freedom"
}

// fewDegrees says that a factor is shown as more than 2.
func fewDegrees(k float64) bool { return k >= 2.005 }

// coverageLine says why more than twice the standard uncertainty is taken off; empty
// where it is twice.
func (c *CountOn) coverageLine() string {
	if !fewDegrees(c.Coverage) || !(c.Common > 0) {
		return ""
	}
	return fmt.Sprintf("What the rig itself may be off is taken by %s and not by 2, since its calibration has few points (%s degrees of freedom): more points would make it less.",
		si.Number(c.Coverage, 2), degrees(c.DoF))
}

// degrees are degrees of freedom, rounded down.
func degrees(dof float64) string { return si.Number(math.Floor(trimmed(dof*10))/10, 1) }
