package share

import "math"

// student is the two-sided factor t of Student's distribution: the probability
// within ± t is p, with any positive number of degrees of freedom.
func student(p, dof float64) float64 {
	if !(dof > 0) || !(p > 0 && p < 1) {
		return math.NaN()
	}
	// P(|T| > t) = I_x(dof/2, 1/2) with x = dof/(dof + t²), which falls with t.
	low, high := 0.0, 1.0
	outside := func(t float64) float64 { return betaPart(dof/2, 0.5, dof/(dof+t*t)) }
	for outside(high) > 1-p && high < 1e12 {
		high *= 2
	}
	for range 200 {
		mid := (low + high) / 2
		if mid == low || mid == high {
			break
		}
		if outside(mid) > 1-p {
			low = mid
		} else {
			high = mid
		}
	}
	return (low + high) / 2
}

// betaPart is the regularised incomplete beta function I_x(a, b), by its
// continued fraction (NIST DLMF 8.17.22, evaluated after Lentz).
func betaPart(a, b, x float64) float64 {
	switch {
	case x <= 0:
		return 0
	case x >= 1:
		return 1
	case x > (a+1)/(a+b+2): // where the fraction converges slowly
		return 1 - betaPart(b, a, 1-x)
	}
	ga, _ := math.Lgamma(a)
	gb, _ := math.Lgamma(b)
	gab, _ := math.Lgamma(a + b)
	front := math.Exp(gab-ga-gb+a*math.Log(x)+b*math.Log1p(-x)) / a
	const tiny = 1e-300
	f, c, d := 1.0, 1.0, 0.0
	for i := range 400 {
		m := float64(i / 2)
		var term float64
		switch {
		case i == 0:
			term = 1
		case i%2 == 0:
			term = m * (b - m) * x / ((a + 2*m - 1) * (a + 2*m))
		default:
			term = -(a + m) * (a + b + m) * x / ((a + 2*m) * (a + 2*m + 1))
		}
		if d = 1 + term*d; math.Abs(d) < tiny {
			d = tiny
		}
		d = 1 / d
		if c = 1 + term/c; math.Abs(c) < tiny {
			c = tiny
		}
		f *= c * d
		if math.Abs(c*d-1) < 1e-14 {
			break
		}
	}
	return front * (f - 1)
}
