package batch_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"draghand/internal/batch"
)

// wrongTrials ask what becomes of a bound where what it takes for granted is not
// so: the strengths are Weibull's instead of normal, or the bars are of one melt and
// the bound is held against all melts, or the strongest bars did not break and are left
// out. And how often Anderson and Darling's test sees the first.
func wrongTrials() []trial {
	all := strongMissing()
	for _, c := range []struct {
		n              int
		content        float64
		weibull, melts float64 // share measured
	}{
		{5, 0.90, 0.9070, 0.8070},
		{5, 0.99, 0.8652, 0.8249},
		{10, 0.90, 0.8869, 0.6594},
		{10, 0.99, 0.7900, 0.6579},
		{30, 0.99, 0.6063, 0.4065},
	} {
		k, err := batch.ToleranceK(c.n, c.content, 0.95)
		what := fmt.Sprintf("%.0f/95 bound, n %d", 100*c.content, c.n)
		weakest := batch.Weibull{Shape: trueShape, Scale: trueScale}.Quantile(1 - c.content)
		all = append(all, trial{
			name: what + ", of Weibull strengths", nominal: 0.95, measured: c.weibull,
			one: func(r *rand.Rand) (bool, bool) {
				values, _ := weibulls(r, c.n, 0)
				s := batch.Summarize(values, 0.95)
				return s.Mean-k*s.SD <= weakest, err == nil
			},
		})
		// melts scatter as much as the bars of one do
		point := trueMean - math.Sqrt2*trueSD*distuv.UnitNormal.Quantile(c.content)
		all = append(all, trial{
			name: what + ", of one melt, held against all melts", nominal: 0.95, measured: c.melts,
			one: func(r *rand.Rand) (bool, bool) {
				s := batch.Summarize(normals(r, c.n, trueMean+trueSD*r.NormFloat64(), trueSD), 0.95)
				return s.Mean-k*s.SD <= point, err == nil
			},
		})
	}
	for _, c := range []struct {
		n              int
		weibull, mixed float64 // share measured
	}{
		{8, 0.0798, 0.0683},
		{20, 0.1522, 0.3930},
		{50, 0.3331, 0.9332},
	} {
		all = append(all, trial{
			name: fmt.Sprintf("Anderson–Darling, P < 0.05 of Weibull strengths, n %d", c.n), nominal: 1, measured: c.weibull,
			one: func(r *rand.Rand) (bool, bool) {
				values, _ := weibulls(r, c.n, 0)
				a, err := batch.Normal(values)
				return a.P < 0.05, err == nil
			},
		}, trial{
			name: fmt.Sprintf("Anderson–Darling, P < 0.05 of two melts 4 SD apart, n %d", c.n), nominal: 1, measured: c.mixed,
			one: func(r *rand.Rand) (bool, bool) {
				x := append(normals(r, c.n/2, trueMean, trueSD), normals(r, c.n/2, trueMean+4*trueSD, trueSD)...)
				a, err := batch.Normal(x)
				return a.P < 0.05, err == nil
			},
		})
	}
	return all
}

// strongMissing are bounds of those bars alone that broke under a limit that 30 of 100
// pass: two at least.
func strongMissing() []trial {
	var all []trial
	for _, c := range []struct {
		n        int
		content  float64
		measured float64
	}{
		{5, 0.90, 0.9323},
		{10, 0.90, 0.9331},
		{20, 0.90, 0.9426},
		{5, 0.99, 0.9101},
		{10, 0.99, 0.8782},
		{20, 0.99, 0.8407},
	} {
		factors := make([]float64, c.n+1)
		for r := 2; r <= c.n; r++ {
			factors[r], _ = batch.ToleranceK(r, c.content, 0.95)
		}
		limit, weakest := distuv.UnitNormal.Quantile(0.7), distuv.UnitNormal.Quantile(1-c.content)
		all = append(all, trial{
			name: fmt.Sprintf("%.0f/95 bound of those of %d that broke under a limit", 100*c.content, c.n), nominal: 0.95, measured: c.measured,
			one: func(r *rand.Rand) (bool, bool) {
				broke := slices.DeleteFunc(normals(r, c.n, 0, 1), func(v float64) bool { return v > limit })
				s := batch.Summarize(broke, 0.95)
				return s.Mean-factors[len(broke)]*s.SD <= weakest, len(broke) >= 2
			},
		})
	}
	return all
}

func TestWhereNotNormal(t *testing.T) { simulate(t, wrongTrials(), 2000) }

func TestWhereNotNormalLong(t *testing.T) {
	long(t)
	simulate(t, wrongTrials(), 10000)
}
