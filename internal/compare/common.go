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

// CoverageText is how what the rig itself may be off was expanded: "k 2.00", "k 4.30, t
// of 2 whole degrees of freedom of 2.3".
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
	return " (that ± by its own " + d.CoverageText() + ")"
}

// MayBeRigs says that a difference may be one of the rigs and not of the bars: what they may
// be off is not known, or with the scatter makes as much.
func (d *Difference) MayBeRigs() bool {
	half := (d.High - d.Low) / 2
	return !d.SameRig && !(d.Known && math.Hypot(half, float64(d.Expanded())) < math.Abs(d.Diff))
}

// asRead is that in the heading of a difference; empty where it is one of the bars.
func (d *Difference) asRead() string {
	switch {
	case !d.MayBeRigs():
		return ""
	case d.Untold:
		return " AS READ, and the machines may be why"
	}
	return " AS READ, and the rigs may be why"
}

func coverageText(k, dof float64) string {
	t := "k " + si.Number(k, 2)
	if !fewDegrees(k) {
		return t
	}
	return t + ", " + student(dof)
}

// fewDegrees says that a factor is shown as more than 2.
func fewDegrees(k float64) bool { return k >= 2.005 }

// student is what a factor of more than 2 is from: Student's t goes by whole degrees.
func student(dof float64) string {
	whole, shown := si.Number(math.Floor(trimmed(dof)), 0), degrees(dof)
	if shown == whole+".0" {
		return "t of " + whole + " degrees of freedom"
	}
	return "t of " + whole + " whole degrees of freedom of " + shown
}

// coverageLine says why more than twice the standard uncertainty is taken off; empty
// where it is twice.
func (c *CountOn) coverageLine(g *Group) string {
	if !fewDegrees(c.Coverage) || !(c.Common > 0) {
		return ""
	}
	whose := "its"
	if len(rigs(g.Pulls)) > 1 {
		whose = "a"
	}
	return fmt.Sprintf("What %s may be off is multiplied by %s (%s) and not by 2, since %s calibration has few points: more points would make it less.",
		g.itself(), si.Number(c.Coverage, 2), student(c.DoF), whose)
}

// degrees are degrees of freedom, rounded down.
func degrees(dof float64) string { return si.Number(math.Floor(trimmed(dof*10))/10, 1) }
