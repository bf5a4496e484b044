package batch

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"
)

// ToleranceK is the factor k of a one-sided tolerance bound of a normal
// distribution whose mean and SD are both estimated from n values: at least the
// share content of all bars lies above mean − k·SD, with the given confidence.
// 90/95 is content 0.90, confidence 0.95. It is exact:
//
//	k = t′(confidence; n−1, z(content)·√n) / √n
//
// with t′ the quantile of the noncentral t distribution. Needs two values (ErrFew).
func ToleranceK(n int, content, confidence float64) (float64, error) {
	if n < 2 {
		return math.NaN(), fmt.Errorf("%w: a bound needs 2 values or more, not %d", ErrFew, n)
	}
	if err := refuseLevel("the content of a bound", content); err != nil {
		return math.NaN(), err
	}
	if err := refuseLevel("the confidence of a bound", confidence); err != nil {
		return math.NaN(), err
	}
	size := math.Sqrt(float64(n))
	t, ok := noncentralT(confidence, float64(n-1), distuv.UnitNormal.Quantile(content)*size)
	if !ok {
		return math.NaN(), fmt.Errorf("%w: no factor can be reckoned for n %d, content %g, confidence %g", ErrValue, n, content, confidence)
	}
	return t / size, nil
}

// ToleranceKApprox is the closed approximation to ToleranceK that handbooks print
// (NIST/SEMATECH e-Handbook 7.2.6.3, after Natrella). It is here to check the exact
// one with; NaN where it has no value, as for very few bars.
func ToleranceKApprox(n int, content, confidence float64) float64 {
	if n < 2 || refuseLevel("", content) != nil || refuseLevel("", confidence) != nil {
		return math.NaN()
	}
	z, c := distuv.UnitNormal.Quantile(content), distuv.UnitNormal.Quantile(confidence)
	a := 1 - c*c/(2*float64(n-1))
	b := z*z - c*c/float64(n)
	if a <= 0 {
		return math.NaN()
	}
	return (z + math.Sqrt(z*z-a*b)) / a
}

// noncentralT is the quantile of the noncentral t distribution with dof degrees of
// freedom, 1 or more, and noncentrality delta. The equation is solved in the
// logarithm of the smaller of the two tails.
func noncentralT(p, dof, delta float64) (t float64, ok bool) {
	c := newChi(dof)
	above := p >= 0.5
	target := math.Log(p)
	if above {
		target = math.Log1p(-p)
	}
	miss := func(t float64) float64 {
		m := math.Log(c.tail(t, delta, above)) - target
		if above {
			return m // falls with t
		}
		return -m
	}
	step := 1.0
	if miss(delta) < 0 {
		step = -1
	}
	a, b, fa, fb, ok := bracket(miss, delta, step)
	if !ok {
		return math.NaN(), false
	}
	return root(miss, a, b, fa, fb), true
}

// chi is the distribution of s, an SD of dof degrees of freedom over the true one,
// ready to be integrated over: dof·s² is chi-square.
type chi struct {
	dof, sigma float64
	low, high  float64 // nothing that matters lies outside
	grid       []float64
	node       []float64 // Gauss and Legendre's, on −1 to 1
	weight     []float64
}

const (
	chiReach  = 12.0 // in sigmas: e⁻⁴² of the density is left outside, or less
	chiStep   = 1.5  // sigmas a panel
	chiPoints = 16   // a panel; with these the integral is good to rounding
)

func newChi(dof float64) *chi {
	c := &chi{dof: dof, sigma: 1 / math.Sqrt(2*dof), node: make([]float64, chiPoints), weight: make([]float64, chiPoints)}
	quad.Legendre{}.FixedLocations(c.node, c.weight, -1, 1)
	c.low, c.high = max(0, 1-chiReach*c.sigma), 1+chiReach*c.sigma
	for s := c.low; s < c.high; s += chiStep * c.sigma {
		c.grid = append(c.grid, s)
	}
	c.grid = append(c.grid, c.high)
	return c
}

// density of s, but for a factor.
func (c *chi) density(s float64) float64 {
	x := s - 1
	return math.Exp(c.dof*(math.Log1p(x)-x-x*x/2)) / s
}

// tail is the probability that noncentral t lies above t, or not above it: the
// mean over s of the normal tail beyond t·s − delta. The factor of the density
// falls out, since both integrals are taken over the same points.
func (c *chi) tail(t, delta float64, above bool) float64 {
	edges := c.grid
	if size := math.Abs(t); size*chiStep*c.sigma > 1 { // the normal tail turns over within less than a panel
		edges = slices.Clone(c.grid)
		for j := -9.0; j <= 9; j += 2 {
			if s := (delta + j) / t; s > c.low && s < c.high {
				edges = append(edges, s)
			}
		}
		slices.Sort(edges)
	}
	sign := 1.0
	if !above {
		sign = -1
	}
	var whole, part float64
	for i := 1; i < len(edges); i++ {
		mid, half := (edges[i-1]+edges[i])/2, (edges[i]-edges[i-1])/2
		for j, node := range c.node {
			s := mid + half*node
			f := c.density(s) * c.weight[j] * half
			whole += f
			part += f * 0.5 * math.Erfc(sign*(t*s-delta)/math.Sqrt2)
		}
	}
	return part / whole
}
