package batch

import "math"

// root is where f is zero between a and b, at whose ends fa and fb have different
// signs (or one is zero): halving, made quicker by inverse quadratic steps where
// they are safe (Chandrupatla 1997). Infinite values of f are taken as such; the
// number of steps is bounded.
func root(f func(float64) float64, a, b, fa, fb float64) float64 {
	if fa == 0 {
		return a
	}
	if fb == 0 {
		return b
	}
	c, fc := a, fa
	t := 0.5
	for range 200 {
		x := a + t*(b-a)
		fx := f(x)
		if math.Signbit(fx) == math.Signbit(fa) {
			c, fc = a, fa
		} else {
			c, fc = b, fb
			b, fb = a, fa
		}
		a, fa = x, fx
		best := a
		if math.Abs(fb) < math.Abs(fa) {
			best = b
		}
		tolerance := 4 * 2.220446049250313e-16 * math.Abs(best)
		limit := tolerance / math.Abs(b-c)
		if fx == 0 || b == a || limit > 0.5 || math.IsNaN(fx) {
			return best
		}
		t = 0.5
		xi, phi := (a-b)/(c-b), (fa-fb)/(fc-fb)
		if phi*phi < xi && (1-phi)*(1-phi) < 1-xi {
			t = fa/(fb-fa)*fc/(fb-fc) + (c-a)/(b-a)*fa/(fc-fa)*fb/(fc-fb)
		}
		if !(t >= limit) { // NaN of infinite values too
			t = limit
		}
		t = min(t, 1-limit)
	}
	return a
}

// bracket steps from start to where f has changed its sign, each step twice as
// long as the one before; the first has the length and the direction of step.
// Not ok where f is NaN or never changes.
func bracket(f func(float64) float64, start, step float64) (a, b, fa, fb float64, ok bool) {
	a = start
	fa = f(a)
	for range 80 {
		if math.IsNaN(fa) {
			return a, a, fa, fa, false
		}
		b = a + step
		fb = f(b)
		if math.IsNaN(fb) || math.IsInf(b, 0) {
			return a, b, fa, fb, false
		}
		if fa == 0 || fb == 0 || math.Signbit(fa) != math.Signbit(fb) {
			return a, b, fa, fb, true
		}
		a, fa = b, fb
		step *= 2
	}
	return a, b, fa, fb, false
}
