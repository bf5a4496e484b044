package calib

import (
	"math"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// rubbing is the seal friction, and at the ram the area, from rising against
// falling points; nil where it cannot be told. With the slopes through zero
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
// A friction over absurdFriction is none: the points are of two rigs or units.
func (k *reckoner) rubbing() *rig.MeasuredRubbing {
	if k.run.At == rig.AtGauge {
		return nil
	}
	var x, y []float64
	for i, d := range k.dir {
		if d == Falling {
			x, y = append(x, float64(k.run.Points[i].Gauge)), append(y, k.run.Points[i].Reference)
		}
	}
	up, err1 := FitThroughZero(k.x, k.y)
	down, err2 := FitThroughZero(x, y)
	if err1 != nil || err2 != nil {
		return nil
	}
	sum := up.Slope + down.Slope
	if !(up.Slope > 0 && down.Slope > 0) {
		return nil
	}
	out := &rig.MeasuredRubbing{Friction: (up.Slope - down.Slope) / sum}
	if k.rig.Ram.Role == rig.ActuatorRam {
		out.Friction = -out.Friction
	}
	u1, u2 := 2*down.Slope/(sum*sum)*up.SlopeU, 2*up.Slope/(sum*sum)*down.SlopeU
	out.FrictionU = math.Hypot(u1, u2)
	if math.Abs(out.Friction) > absurdFriction || out.FrictionU > absurdFriction {
		return nil
	}
	out.DoF = float64(up.DoF + down.DoF)
	if w := math.Pow(u1, 4)/float64(up.DoF) + math.Pow(u2, 4)/float64(down.DoF); w > 0 {
		out.DoF = min(out.DoF, math.Pow(out.FrictionU, 4)/w)
	}
	if k.run.At == rig.AtRam {
		out.Area = si.Area(sum / 2)
		out.AreaU = si.Area(math.Hypot(math.Hypot(up.SlopeU, down.SlopeU)/2, k.run.Reference.U*sum/2))
	}
	return out
}

const absurdFriction = 0.5
