package calib

import (
	"errors"
	"math"
)

// Why no line can be drawn.
var (
	errFew    = errors.New("too few points for a line")
	errSame   = errors.New("all points have one and the same reading")
	errNumber = errors.New("a point is no number")
)

// sameReading is the span of the readings, of the largest, below which they are
// one: beyond it a slope is made of roundings.
const sameReading = 1e-9

// Fit is the least squares line y = Offset + Slope · x. It needs three points or
// more, not all of one x. Sums are taken about the means, so that no digits are
// lost where x or y lie far from nothing.
func Fit(x, y []float64) (Line, error) {
	n, err := usable(x, y, 3)
	if err != nil {
		return Line{}, err
	}
	l := Line{Points: n, DoF: n - 2, Mean: mean(x)}
	my := mean(y)
	var sxy, syy float64
	for i := range x {
		dx, dy := x[i]-l.Mean, y[i]-my
		l.SumSquares += dx * dx
		sxy += dx * dy
		syy += dy * dy
	}
	if !(spread(x) > sameReading*largest(x)) {
		return Line{}, errSame
	}
	l.Slope = sxy / l.SumSquares
	l.Offset = my - l.Slope*l.Mean
	var rss float64
	for i := range x {
		e := (y[i] - my) - l.Slope*(x[i]-l.Mean)
		rss += e * e
	}
	l.SD = math.Sqrt(rss / float64(l.DoF))
	l.R2 = determined(rss, syy)
	l.SlopeU = l.SD / math.Sqrt(l.SumSquares)
	l.OffsetU = l.SD * math.Sqrt(1/float64(n)+l.Mean*l.Mean/l.SumSquares)
	l.Covariance = -l.Mean * l.SlopeU * l.SlopeU
	return l.finite()
}

// FitThroughZero is the least squares line y = Slope · x. It needs two points or
// more that are not all nothing. Its R2 is against nothing, not against the mean.
func FitThroughZero(x, y []float64) (Line, error) {
	n, err := usable(x, y, 2)
	if err != nil {
		return Line{}, err
	}
	l := Line{Points: n, DoF: n - 1, Mean: mean(x), ThroughZero: true}
	var sxy, syy float64
	for i := range x {
		l.SumSquares += x[i] * x[i]
		sxy += x[i] * y[i]
		syy += y[i] * y[i]
	}
	if !(l.SumSquares > 0) {
		return Line{}, errSame
	}
	l.Slope = sxy / l.SumSquares
	var rss float64
	for i := range x {
		e := y[i] - l.Slope*x[i]
		rss += e * e
	}
	l.SD = math.Sqrt(rss / float64(l.DoF))
	l.R2 = determined(rss, syy)
	l.SlopeU = l.SD / math.Sqrt(l.SumSquares)
	return l.finite()
}

// At is the line's value.
func (l Line) At(x float64) float64 { return l.Offset + l.Slope*x }

// MeanU is the standard uncertainty of the line itself at x.
func (l Line) MeanU(x float64) float64 { return l.SD * math.Sqrt(l.leverage(x)) }

// NewU is the standard uncertainty of one new y at x.
func (l Line) NewU(x float64) float64 { return l.SD * math.Sqrt(1+l.leverage(x)) }

// Inverse is the x at which the line has the value y; NaN where it lies flat.
func (l Line) Inverse(y float64) float64 {
	if l.Slope == 0 {
		return math.NaN()
	}
	return (y - l.Offset) / l.Slope
}

// leverage is how much one more point at x would pull the line to itself; of a
// point of the line 0 to 1.
func (l Line) leverage(x float64) float64 {
	if !(l.SumSquares > 0) {
		return 0
	}
	if l.ThroughZero {
		return x * x / l.SumSquares
	}
	d := x - l.Mean
	return 1/float64(l.Points) + d*d/l.SumSquares
}

func (l Line) finite() (Line, error) {
	for _, v := range []float64{l.Offset, l.Slope, l.OffsetU, l.SlopeU, l.Covariance, l.SD, l.R2, l.SumSquares} {
		if v-v != 0 {
			return Line{}, errNumber
		}
	}
	return l, nil
}

// usable checks what a line is drawn through.
func usable(x, y []float64, least int) (int, error) {
	if len(x) != len(y) || len(x) < least {
		return 0, errFew
	}
	for i := range x {
		if x[i]-x[i] != 0 || y[i]-y[i] != 0 {
			return 0, errNumber
		}
	}
	return len(x), nil
}

// determined is R²; 1 where there is nothing to explain.
func determined(rss, all float64) float64 {
	if !(all > 0) {
		return 1
	}
	return 1 - rss/all
}

// mean is taken twice: the second pass takes back what the first one rounded.
func mean(x []float64) float64 {
	var sum float64
	for _, v := range x {
		sum += v
	}
	m, rest := sum/float64(len(x)), 0.0
	for _, v := range x {
		rest += v - m
	}
	return m + rest/float64(len(x))
}

func spread(x []float64) float64 {
	low, high := math.Inf(1), math.Inf(-1)
	for _, v := range x {
		low, high = min(low, v), max(high, v)
	}
	return high - low
}

func largest(x []float64) float64 {
	out := 0.0
	for _, v := range x {
		out = max(out, math.Abs(v))
	}
	return out
}
