package batch

import (
	"math"

	"draghand/internal/gum"
)

// intervals are by profile likelihood: a shape (a scale) is inside where the best
// fit with it is worse than the best of all by no more than half of chi-square's
// quantile with one degree of freedom. What would lie outside the numbers is NaN.
func (s *sample) intervals(w *Weibull, theta float64) {
	z := gum.T(w.Level, math.Inf(1))
	floor := s.likelihood(w.Shape, theta) - z*z/2
	n := float64(len(s.failed))
	first := z / math.Sqrt(n) // about how far off the ends are, in logarithms

	shape := func(u float64) float64 {
		m := math.Exp(u)
		return s.likelihood(m, s.best(m)) - floor
	}
	centre := math.Log(w.Shape)
	w.ShapeLow = math.Exp(cross(shape, centre, -first))
	w.ShapeHigh = math.Exp(cross(shape, centre, first))

	// The scale in units of 1/shape, in which every batch is alike.
	scale := func(u float64) float64 {
		at := theta + u/w.Shape
		return s.likelihood(s.shapeFor(at, centre), at) - floor
	}
	w.ScaleLow = finite(s.unit(theta + cross(scale, 0, -first)/w.Shape))
	w.ScaleHigh = finite(s.unit(theta + cross(scale, 0, first)/w.Shape))
}

// shapeFor is the shape that fits best with a scale: the root of the derivative by
// m, which falls. centre is the logarithm of a shape to start from.
func (s *sample) shapeFor(theta, centre float64) float64 {
	n := float64(len(s.failed))
	slope := func(u float64) float64 {
		m := math.Exp(u)
		d := n * (1 + m*(s.mean-theta))
		for _, y := range s.all {
			if v := m * (y - theta); v != 0 {
				d -= v * math.Exp(v)
			}
		}
		return d
	}
	step := 0.5
	if slope(centre) < 0 {
		step = -0.5
	}
	a, b, fa, fb, ok := bracket(slope, centre, step)
	if !ok {
		return math.NaN()
	}
	return math.Exp(root(slope, a, b, fa, fb))
}

// cross is where f, above zero at start, falls to zero in the direction of step;
// NaN where it does not.
func cross(f func(float64) float64, start, step float64) float64 {
	a, b, fa, fb, ok := bracket(f, start, step)
	if !ok {
		return math.NaN()
	}
	return root(f, a, b, fa, fb)
}

func finite(v float64) float64 {
	if math.IsInf(v, 0) {
		return math.NaN()
	}
	return v
}
