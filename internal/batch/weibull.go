package batch

import (
	"fmt"
	"math"
	"slices"
)

// FitWeibull fits by maximum likelihood the values of bars that broke together
// with what the others held to without breaking (censored; nil for none); level is
// that of the intervals of shape and scale, 0.95 say. All must be above zero
// (ErrValue), two must have broken (ErrFew), and they may not all be the same and
// the most of all (ErrValue): then every larger shape fits better.
func FitWeibull(values, censored []float64, level float64) (Weibull, error) {
	if err := refuseLevel("the level of an interval", level); err != nil {
		return Weibull{}, err
	}
	if err := refusePositive("the values", values); err != nil {
		return Weibull{}, err
	}
	if err := refusePositive("the censored values", censored); err != nil {
		return Weibull{}, err
	}
	if len(values) < 2 {
		return Weibull{}, fmt.Errorf("%w: a Weibull distribution needs 2 bars that broke, not %d", ErrFew, len(values))
	}
	s := newSample(values, censored)
	if s.mean == 0 {
		return Weibull{}, fmt.Errorf("%w: the %d bars that broke all broke at the largest value, so no Weibull distribution fits best", ErrValue, len(values))
	}
	shape, theta, ok := s.fit()
	scale := s.unit(theta)
	if !ok || math.IsInf(scale, 0) || !(scale > 0) {
		return Weibull{}, fmt.Errorf("%w: no Weibull distribution fits these values; they lie too far apart", ErrValue)
	}
	w := Weibull{
		N: len(values) + len(censored), Failures: len(values), Shape: shape, Scale: scale, Level: level,
		LogLikelihood: s.likelihood(shape, theta) - s.logs,
		Unbiased:      math.NaN(), UnbiasedFactor: math.NaN(),
	}
	s.intervals(&w, theta)
	if len(censored) == 0 {
		w.UnbiasedFactor = unbiasing(w.N)
		w.Unbiased = w.UnbiasedFactor * shape
	}
	return w, nil
}

// Quantile is the value below which the share p of the bars breaks. NaN outside 0
// to 1.
func (w Weibull) Quantile(p float64) float64 {
	if !(p >= 0 && p <= 1) {
		return math.NaN()
	}
	return w.Scale * math.Pow(-math.Log1p(-p), 1/w.Shape)
}

// Mean is that of the distribution: Scale · Γ(1 + 1/Shape).
func (w Weibull) Mean() float64 { return w.Scale * math.Gamma(1+1/w.Shape) }

// SD is that of the distribution: Scale · √(Γ(1 + 2/Shape) − Γ(1 + 1/Shape)²).
func (w Weibull) SD() float64 {
	z := 1 / w.Shape
	var log float64 // ln of the ratio of the two terms
	if z < 1e-3 {   // their difference would be lost in rounding: the series of ln Γ
		log = z * z * (math.Pi*math.Pi/6 - z*(2*1.2020569031595942-z*(3.5*1.0823232337111382-z*6*1.0369277551433699)))
	} else {
		two, _ := math.Lgamma(1 + 2*z)
		one, _ := math.Lgamma(1 + z)
		log = two - 2*one
	}
	return w.Mean() * math.Sqrt(math.Expm1(log))
}

func refusePositive(what string, x []float64) error {
	if err := refuse(what, x); err != nil {
		return err
	}
	for i, v := range x {
		if v <= 0 {
			return fmt.Errorf("%w: number %d of %s is %g; a Weibull distribution has values above zero only", ErrValue, i+1, what, v)
		}
	}
	return nil
}

// sample holds logarithms of values over the largest, so that all are zero or
// less, in order of size. Nothing overflows, whatever the shape.
type sample struct {
	most   float64
	failed []float64
	all    []float64
	mean   float64 // of failed
	logs   float64 // sum of the logarithms of the values that failed, of which the likelihood is less
}

func newSample(values, censored []float64) *sample {
	s := &sample{most: slices.Max(values)}
	if len(censored) > 0 {
		s.most = max(s.most, slices.Max(censored))
	}
	var sum summed
	for _, v := range ordered(values) {
		y := s.log(v)
		s.failed = append(s.failed, y)
		sum.add(y)
	}
	s.mean = sum.value() / float64(len(values))
	s.logs = sum.value() + float64(len(values))*math.Log(s.most)
	s.all = slices.Clone(s.failed)
	for _, v := range censored {
		s.all = append(s.all, s.log(v))
	}
	slices.Sort(s.all)
	return s
}

// log of v over the largest value; near it by the difference, which is exact, and
// in pieces where the ratio has no number.
func (s *sample) log(v float64) float64 {
	switch ratio := v / s.most; {
	case ratio > 0.5:
		return math.Log1p((v - s.most) / s.most)
	case ratio > 1e-300:
		return math.Log(ratio)
	}
	return math.Log(v) - math.Log(s.most)
}

// unit is a value from its logarithm over the largest.
func (s *sample) unit(theta float64) float64 { return s.most * math.Exp(theta) }

// weights are Σ e^{my} and Σ y e^{my} over all.
func (s *sample) weights(shape float64) (sum, moment float64) {
	for _, y := range s.all {
		e := math.Exp(shape * y)
		sum += e
		moment += y * e
	}
	return sum, moment
}

// best is the scale, as a logarithm, that fits best with a shape.
func (s *sample) best(shape float64) float64 {
	sum, _ := s.weights(shape)
	return math.Log(sum/float64(len(s.failed))) / shape
}

// fit solves Σ y e^{my} / Σ e^{my} − 1/m − mean y = 0, which has one root in m.
func (s *sample) fit() (shape, theta float64, ok bool) {
	miss := func(u float64) float64 {
		m := math.Exp(u)
		sum, moment := s.weights(m)
		return m*(moment/sum-s.mean) - 1
	}
	start := -math.Log(-s.mean) // the shape of a batch about as far from its largest as this one
	step := 0.5
	if miss(start) > 0 {
		step = -0.5
	}
	a, b, fa, fb, ok := bracket(miss, start, step)
	if !ok {
		return 0, 0, false
	}
	shape = math.Exp(root(miss, a, b, fa, fb))
	return shape, s.best(shape), true
}

// likelihood is the logarithm of it, but for the sum of the logarithms of the
// values.
func (s *sample) likelihood(shape, theta float64) float64 {
	n := float64(len(s.failed))
	l := n * (math.Log(shape) + shape*(s.mean-theta))
	for _, y := range s.all {
		l -= math.Exp(shape * (y - theta))
	}
	return l
}
