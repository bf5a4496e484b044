package batch_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"runtime"
	"sync"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"draghand/internal/batch"
)

// trial is a question whose answer the truth is known of: did it happen in one
// drawn batch? asked is false where the batch could not be asked.
type trial struct {
	name    string
	nominal float64
	exact   bool // then the share lies within 3 standard errors of nominal
	// Else within 3 standard errors and 0.002 of this: the share found in 100,000 runs
	// with other seeds. docs/statistics.md has these figures.
	measured float64
	one      func(r *rand.Rand) (happened, asked bool)
}

// simulate runs the trials, every run from a seed of its own, so that the figures
// are the same on every machine.
func simulate(t *testing.T, trials []trial, runs int) {
	t.Helper()
	for number, x := range trials {
		var group sync.WaitGroup
		workers := runtime.NumCPU()
		counts := make([][2]int, workers)
		for w := range workers {
			group.Go(func() {
				for i := w; i < runs; i += workers {
					happened, asked := x.one(rand.New(rand.NewPCG(uint64(number+1), uint64(i+1))))
					if asked {
						counts[w][0]++
					}
					if asked && happened {
						counts[w][1]++
					}
				}
			})
		}
		group.Wait()
		var asked, happened int
		for _, c := range counts {
			asked, happened = asked+c[0], happened+c[1]
		}
		share := float64(happened) / float64(asked)
		want, room := x.nominal, 0.0
		if !x.exact {
			want, room = x.measured, 0.002
		}
		error3 := 3 * math.Sqrt(want*(1-want)/float64(asked))
		t.Logf("%-58s nominal %.3f  found %.4f  (3 standard errors %.4f; %d of %d runs asked)", x.name, x.nominal, share, error3, asked, runs)
		within(t, x.name, share, want, error3+room)
		if asked < runs*9/10 {
			t.Errorf("%s: %d of %d runs asked", x.name, asked, runs)
		}
	}
}

func normals(r *rand.Rand, n int, mean, sd float64) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = mean + sd*r.NormFloat64()
	}
	return x
}

const (
	trueMean = 310e6 // Pa: any would do, no method knows it
	trueSD   = 12e6
)

func normalTrials() []trial {
	var all []trial
	for _, n := range []int{3, 5, 10} {
		all = append(all, trial{
			name: fmt.Sprintf("95 %% interval of the mean holds it, n %d", n), nominal: 0.95, exact: true,
			one: func(r *rand.Rand) (bool, bool) {
				s := batch.Summarize(normals(r, n, trueMean, trueSD), 0.95)
				return s.MeanLow <= trueMean && trueMean <= s.MeanHigh, true
			},
		})
	}
	for _, content := range []float64{0.90, 0.99} {
		for _, n := range []int{3, 5, 10, 20} {
			k, err := batch.ToleranceK(n, content, 0.95)
			point := trueMean - trueSD*distuv.UnitNormal.Quantile(content)
			all = append(all, trial{
				name: fmt.Sprintf("%.0f/95 bound holds, n %d", 100*content, n), nominal: 0.95, exact: true,
				one: func(r *rand.Rand) (bool, bool) {
					s := batch.Summarize(normals(r, n, trueMean, trueSD), 0.95)
					return s.Mean-k*s.SD <= point, err == nil
				},
			})
		}
	}
	for _, side := range []batch.Side{batch.Low, batch.Either} {
		for _, n := range []int{3, 5, 10, 20} {
			all = append(all, trial{
				// Bonferroni's bound: not exact, but no difference shows.
				name: fmt.Sprintf("Grubbs, %s, flags one of a sound batch, n %d", side, n), nominal: 0.05, exact: true,
				one: func(r *rand.Rand) (bool, bool) {
					o, err := batch.Grubbs(normals(r, n, trueMean, trueSD), side, 0.05)
					return o.Flagged, err == nil
				},
			})
		}
	}
	for _, c := range []struct {
		na, nb   int
		ratio    float64
		measured float64
	}{{5, 5, 1, 0.9559}, {5, 8, 3, 0.9513}, {8, 5, 3, 0.9449}, {3, 10, 1, 0.9359}} {
		all = append(all, trial{
			name:    fmt.Sprintf("95 %% interval of a difference holds it, n %d and %d, SD 1:%g", c.na, c.nb, c.ratio),
			nominal: 0.95, measured: c.measured,
			one: func(r *rand.Rand) (bool, bool) {
				d, err := batch.Welch(normals(r, c.na, trueMean, trueSD), normals(r, c.nb, trueMean+7e6, c.ratio*trueSD), 0.95)
				return d.Low <= 7e6 && 7e6 <= d.High, err == nil
			},
		})
	}
	for _, sizes := range [][]int{{5, 5, 5}, {3, 6, 4, 10}} {
		all = append(all, trial{
			name: fmt.Sprintf("analysis of variance, P < 0.05 of like groups %v", sizes), nominal: 0.05, exact: true,
			one: func(r *rand.Rand) (bool, bool) {
				var groups [][]float64
				for _, n := range sizes {
					groups = append(groups, normals(r, n, trueMean, trueSD))
				}
				a, err := batch.Variance(groups)
				return a.P < 0.05, err == nil
			},
		})
	}
	for _, c := range []struct {
		n        int
		measured float64
	}{{8, 0.0496}, {10, 0.0489}, {20, 0.0500}, {50, 0.0511}} {
		all = append(all, trial{
			name: fmt.Sprintf("Anderson–Darling, P < 0.05 of a normal batch, n %d", c.n), nominal: 0.05, measured: c.measured,
			one: func(r *rand.Rand) (bool, bool) {
				a, err := batch.Normal(normals(r, c.n, trueMean, trueSD))
				return a.P < 0.05, err == nil
			},
		})
	}
	return append(all, scatterTrials()...)
}

func TestHowOftenRight(t *testing.T) { simulate(t, normalTrials(), 2000) }

func TestHowOftenRightLong(t *testing.T) {
	long(t)
	simulate(t, normalTrials(), 10000)
}

func long(t *testing.T) {
	t.Helper()
	if os.Getenv("DRAGHAND_LONG") == "" {
		t.Skip("a long run: set DRAGHAND_LONG=1")
	}
}
