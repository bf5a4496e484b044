package calib

import (
	"fmt"
	"math"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// rubbing is the seal friction, and at the ram the area, from rising against
// falling points; nil where it cannot be told. With the slopes
// s↑ = A (1 + f) and s↓ = A (1 − f) of a closed-off ram, and the signs the other
// way round of a pumped one,
//
//	f = (s↑ − s↓)/(s↑ + s↓), A = (s↑ + s↓)/2
//
// to the first order (GUM 5.1.2), the degrees of freedom by Welch–Satterthwaite.
// What the reference is off by is in both slopes: it falls out of f and stays in
// A. At the specimen the slopes have the share in them, so that they give no
// area; a reference gauge sits in the same oil and sees no friction at all.
//
// The slopes are those of lines of the kind that is taken: an offset would make a
// friction of its own of lines through zero.
//
// A friction over absurdFriction is none: the points are of two rigs or units.
func (k *reckoner) rubbing(a *Answer) *rig.MeasuredRubbing {
	if k.run.At == rig.AtGauge {
		return nil
	}
	fallen := k.down()
	if a.Taken == Offset && len(fallen.x) == 2 {
		k.noFriction = "the line has an offset, and three falling points or more are needed for a line of that kind: the friction is not known from this run"
	}
	up := a.Used()
	down, err := fallen.line(up.ThroughZero)
	if err != nil {
		if len(fallen.x) > 2 {
			k.noFriction = "the falling points stand at one pressure: the friction is not known from this run"
		}
		return nil
	}
	sum := up.Slope + down.Slope
	if !(down.Slope > 0) {
		k.noFriction = "the falling points give no friction: the reference does not fall with the gauge"
		return nil
	}
	out := &rig.MeasuredRubbing{Friction: (up.Slope - down.Slope) / sum}
	if k.rig.Ram.Role == rig.ActuatorRam {
		out.Friction = -out.Friction
	}
	u1, u2 := 2*down.Slope/(sum*sum)*up.SlopeU, 2*up.Slope/(sum*sum)*down.SlopeU
	out.FrictionU = math.Hypot(u1, u2)
	if math.Abs(out.Friction) > absurdFriction || out.FrictionU > absurdFriction {
		k.noFriction = fmt.Sprintf("the falling points give no friction that can be, %.0f %%: look at their units and directions", 100*out.Friction)
		return nil
	}
	out.DoF = float64(up.DoF + down.DoF)
	if w := math.Pow(u1, 4)/float64(up.DoF) + math.Pow(u2, 4)/float64(down.DoF); w > 0 {
		out.DoF = min(out.DoF, math.Pow(out.FrictionU, 4)/w)
	}
	if k.run.At == rig.AtRam {
		out.Area = si.Area(sum / 2)
		out.AreaU = si.Area(math.Hypot(math.Hypot(up.SlopeU, down.SlopeU)/2, k.run.Reference.U*sum/2))
		if up.ThroughZero { // a zero that is off turns both lines
			turn := float64(k.run.ZeroU) * float64(up.Points) * up.Mean / up.SumSquares
			out.AreaU = si.Area(math.Hypot(float64(out.AreaU), turn*sum/2))
		}
	}
	return out
}

const absurdFriction = 0.5

// oddFriction is more than any sound seal or guide has, or a ± that says nothing.
const oddFriction = 0.2
