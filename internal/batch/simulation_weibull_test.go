package batch_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"draghand/internal/batch"
)

const (
	trueShape = 12 // any would do: shape found / true shape does not depend on it
	trueScale = 320e6
)

// weibulls draws n bars; those above the value that the share held of all bars
// passes are censored there, as if the rig stopped at a limit.
func weibulls(r *rand.Rand, n int, held float64) (values, censored []float64) {
	limit := trueScale * math.Pow(-math.Log(held), 1.0/trueShape)
	for range n {
		x := trueScale * math.Pow(r.ExpFloat64(), 1.0/trueShape)
		if held > 0 && x > limit {
			censored = append(censored, limit)
		} else {
			values = append(values, x)
		}
	}
	return values, censored
}

func weibullTrials(sizes ...int) []trial {
	var all []trial
	for _, c := range []struct {
		held         float64
		n            int
		shape, scale float64 // share measured
	}{
		{0, 5, 0.8961, 0.8982},
		{0, 10, 0.9263, 0.9280},
		{0, 20, 0.9387, 0.9403},
		{0.3, 5, 0.9191, 0.9261},
		{0.3, 10, 0.9395, 0.9370},
		{0.3, 20, 0.9435, 0.9438},
	} {
		if !slices.Contains(sizes, c.n) {
			continue
		}
		what := fmt.Sprintf("n %d, %.0f %% censored", c.n, 100*c.held)
		all = append(all, trial{
			name: "95 % likelihood interval of the shape, " + what, nominal: 0.95, measured: c.shape,
			one: func(r *rand.Rand) (bool, bool) {
				values, censored := weibulls(r, c.n, c.held)
				w, err := batch.FitWeibull(values, censored, 0.95)
				return w.ShapeLow <= trueShape && trueShape <= w.ShapeHigh, err == nil
			},
		}, trial{
			name: "95 % likelihood interval of the scale, " + what, nominal: 0.95, measured: c.scale,
			one: func(r *rand.Rand) (bool, bool) {
				values, censored := weibulls(r, c.n, c.held)
				w, err := batch.FitWeibull(values, censored, 0.95)
				return w.ScaleLow <= trueScale && trueScale <= w.ScaleHigh, err == nil
			},
		})
	}
	return all
}

func TestHowOftenRightWeibull(t *testing.T) { simulate(t, weibullTrials(5, 20), 2000) }

func TestHowOftenRightWeibullLong(t *testing.T) {
	long(t)
	simulate(t, weibullTrials(5, 10, 20), 10000)
}

// unbiased measures the mean of the unbiased shape over the true one, which is 1 if
// the factors are right, those between the table's sizes too.
func unbiased(t *testing.T, runs int) {
	t.Helper()
	for _, n := range []int{4, 5, 8, 11, 17, 22, 35, 50} {
		r := rand.New(rand.NewPCG(7, uint64(n)))
		var ratios, found []float64
		for range runs {
			values, _ := weibulls(r, n, 0)
			w, err := batch.FitWeibull(values, nil, 0.95)
			if err != nil {
				t.Fatal(err)
			}
			ratios, found = append(ratios, w.Unbiased/trueShape), append(found, w.Shape/trueShape)
		}
		s := batch.Summarize(ratios, 0.95)
		error3 := 3 * s.SD / math.Sqrt(float64(runs))
		t.Logf("n %d: shape found / true %.3f, unbiased / true %.4f (3 standard errors %.4f)", n, batch.Summarize(found, 0.95).Mean, s.Mean, error3)
		within(t, fmt.Sprintf("unbiased shape of n %d", n), s.Mean, 1, error3+0.002)
	}
}

func TestUnbiasedShape(t *testing.T) { unbiased(t, 500) }

func TestUnbiasedShapeLong(t *testing.T) {
	long(t)
	unbiased(t, 10000)
}
