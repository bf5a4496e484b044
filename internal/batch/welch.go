package batch

import (
	"fmt"
	"math"

	"draghand/internal/gum"
)

// Welch compares the means of two batches whose SDs may differ: b's mean less a's,
// with Satterthwaite's degrees of freedom; level is that of the interval, 0.95 say.
// Each needs two values (ErrFew), and one of them some spread (ErrValue).
func Welch(a, b []float64, level float64) (Difference, error) {
	if len(a) < 2 || len(b) < 2 {
		return Difference{}, fmt.Errorf("%w: to compare two batches each needs 2 values or more; they have %d and %d", ErrFew, len(a), len(b))
	}
	if err := refuseLevel("the level of an interval", level); err != nil {
		return Difference{}, err
	}
	if err := refuse("the first batch", a); err != nil {
		return Difference{}, err
	}
	if err := refuse("the second batch", b); err != nil {
		return Difference{}, err
	}
	lists, exponent := scaled(a, b)
	meanA, sdA := moments(lists[0])
	meanB, sdB := moments(lists[1])
	na, nb := float64(len(a)), float64(len(b))
	diff, se := meanB-meanA, math.Hypot(sdA/math.Sqrt(na), sdB/math.Sqrt(nb))
	if !(se > 0) {
		return Difference{}, fmt.Errorf("%w: neither batch has any spread, so nothing says how sure their difference is", ErrValue)
	}
	shareA := square(sdA / math.Sqrt(na) / se) // of the variance
	shareB := square(sdB / math.Sqrt(nb) / se)
	d := Difference{Level: level, T: diff / se}
	d.DoF = 1 / (shareA*shareA/(na-1) + shareB*shareB/(nb-1))
	d.P = tailT(d.T, d.DoF)
	half := gum.T(level, d.DoF) * se
	d.Diff, d.SE = math.Ldexp(diff, exponent), math.Ldexp(se, exponent)
	d.Low, d.High = math.Ldexp(diff-half, exponent), math.Ldexp(diff+half, exponent)
	return d, nil
}

func square(x float64) float64 { return x * x }
