package calib

import (
	"fmt"
	"math"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// What a reference may differ from the rig's own figure, as a factor, before it is
// asked whether that is so; and how near a unit has to bring it to be named.
const (
	absurd   = 3
	unitNear = 1.35
)

// Far says why points cannot well be so: the rig itself makes of them more than three
// times what the reference says, or less than a third, which a unit mistaken for
// another does; nil where all are nearer. referenceUnit and gaugeUnit are those of
// the table's columns, empty where there is none. The error is a *MissingError.
func Far(run Run, referenceUnit, gaugeUnit string) error {
	n, first := 0, -1
	own := 0.0
	for i, p := range run.Points {
		v := Indicated(run.Rig, run.At, run.Far, p.Gauge)
		if v > 0 && p.Reference > 0 && (p.Reference > absurd*v || p.Reference*absurd < v) {
			if n++; first < 0 {
				first, own = i, v
			}
		}
	}
	if n == 0 {
		return nil
	}
	p, sys := run.Points[first], run.Rig.Units
	what := fmt.Sprintf("point %d: the reference is said to show %s where the rig makes %s of it", first+1, ValueText(run.At, p.Reference, sys), ValueText(run.At, own, sys))
	if n > 1 {
		what = fmt.Sprintf("%d of %d points are off by more than a factor of %d; %s", n, len(run.Points), absurd, what)
	}
	if u := fitting(referenceUnits(run.At), referenceUnit, own/p.Reference); u != "" {
		return missing("write the unit the reference has, as in --reference-unit "+u+"; --sure if it is as written", "%s: in %s it would fit", what, u)
	}
	if u := fitting(pressures(), gaugeUnit, p.Reference/own); u != "" {
		return missing("write the unit the gauge has, as in --gauge-unit "+u+"; --sure if it is as written", "%s: with the gauge in %s it would fit", what, u)
	}
	return missing("look at the units and at the order of the columns; --sure if it is as written", "%s", what)
}

// namedUnit is a unit and what one of it is in SI.
type namedUnit struct {
	name string
	size float64
}

func pressures() []namedUnit {
	return []namedUnit{{"bar", si.Bar}, {"psi", si.PSI}, {"MPa", si.Megapascal}, {"kPa", 1000 * si.Pascal}, {"Pa", si.Pascal}}
}

func referenceUnits(at rig.Place) []namedUnit {
	if at == rig.AtGauge {
		return pressures()
	}
	return []namedUnit{{"kN", si.Kilonewton}, {"N", si.Newton}, {"kgf", si.KilogramForce}, {"lbf", si.PoundForce}}
}

// fitting is the unit that, in the place of one, makes values this many times larger;
// empty: none does.
func fitting(units []namedUnit, written string, times float64) string {
	size := 0.0
	for _, u := range units {
		if u.name == written {
			size = u.size
		}
	}
	best, near := "", math.Log(unitNear)
	for _, u := range units {
		if size == 0 || u.name == written {
			continue
		}
		if d := math.Abs(math.Log(u.size / size / times)); d < near {
			best, near = u.name, d
		}
	}
	return best
}
