package batch_test

import (
	"fmt"
	"math"
	"testing"

	"draghand/internal/batch"
)

// A batch laid out along a Weibull distribution of any shape gives nearly that
// shape back, and the same one multiplied by any scale.
func TestWeibullShapes(t *testing.T) {
	for _, shape := range []float64{0.05, 0.3, 1, 12, 600, 5000, 1e6} {
		t.Run(fmt.Sprint(shape), func(t *testing.T) {
			var x, big []float64
			for i := range 200 {
				p := (float64(i) + 0.5) / 200
				v := math.Exp(math.Log(-math.Log1p(-p)) / shape)
				x, big = append(x, v), append(big, v*3e8)
			}
			w, err := batch.FitWeibull(x, nil, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "shape", w.Shape, shape, 0.02)
			near(t, "scale to the shape", math.Pow(w.Scale, shape), 1, 0.01)
			if !(w.ShapeLow < shape && shape < w.ShapeHigh && w.ScaleLow < 1 && 1 < w.ScaleHigh) {
				t.Errorf("%+v", w)
			}
			b, err := batch.FitWeibull(big, nil, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			near(t, "shape of it scaled", b.Shape, w.Shape, 1e-6)
			near(t, "scale of it scaled", b.Scale, 3e8*w.Scale, 1e-8)
		})
	}
}

// Γ(1 + 1/m): shape 1 is the exponential distribution (mean and SD the scale),
// shape 2 Rayleigh's; of a large shape SD/Mean goes to π/(m√6).
func TestWeibullMoments(t *testing.T) {
	for _, test := range []struct{ shape, mean, sd, rel float64 }{
		{1, 1, 1, 1e-14},
		{2, math.Sqrt(math.Pi) / 2, math.Sqrt(1 - math.Pi/4), 1e-13},
		{0.5, 2, math.Sqrt(20), 1e-13},
	} {
		w := batch.Weibull{Shape: test.shape, Scale: 100}
		near(t, "mean", w.Mean(), 100*test.mean, test.rel)
		near(t, "SD", w.SD(), 100*test.sd, test.rel)
	}
	large := batch.Weibull{Shape: 1e7, Scale: 100}
	near(t, "SD of a large shape", large.SD(), 100*math.Pi/(1e7*math.Sqrt(6)), 1e-6)
	// mpmath 1.2.1, 50 digits: sqrt(gamma(1+2*z)-gamma(1+z)**2), gamma(1+z), z = 1/shape.
	// Above a shape of 1,000 the SD is reckoned in another way than below.
	for _, test := range []struct{ shape, sd, mean float64 }{
		{12, 0.096994252265730418, 0.95828568217283256},
		{600, 0.0021329392214229169, 0.99904071707586601},
		{999.99, 0.0012808885400503583, 0.99942376673213533},
		{1000.01, 0.00128086295594785, 0.99942377823694076},
		{5000, 0.00025644289188229995, 0.99988459642200124},
	} {
		w := batch.Weibull{Shape: test.shape, Scale: 1}
		near(t, "mean", w.Mean(), test.mean, 1e-14)
		near(t, "SD", w.SD(), test.sd, 1e-9)
	}
}

// Censoring at more than all that broke weighs like bars of that strength or more:
// the scale goes up, and a bar held to nearly nothing changes nearly nothing.
func TestWeibullCensored(t *testing.T) {
	x := []float64{290, 300, 305, 310, 322}
	plain, err := batch.FitWeibull(x, nil, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	up, err := batch.FitWeibull(x, []float64{330, 330}, 0.95)
	if err != nil || !(up.Scale > plain.Scale) || up.N != 7 || up.Failures != 5 {
		t.Errorf("%+v, %v", up, err)
	}
	same, err := batch.FitWeibull(x, []float64{1e-6}, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "shape with one held to nothing", same.Shape, plain.Shape, 1e-9)
	if !math.IsNaN(same.Unbiased) {
		t.Error("an unbiased shape of censored bars")
	}
	// all that broke are equal, but one held to more: there is a best fit
	tied, err := batch.FitWeibull([]float64{300, 300}, []float64{310}, 0.95)
	if err != nil || !(tied.Shape > 0) || !(tied.ShapeLow < tied.Shape && tied.Shape < tied.ShapeHigh) {
		t.Errorf("%+v, %v", tied, err)
	}
}
