package batch_test

import (
	"errors"
	"math"
	"slices"
	"testing"

	"draghand/internal/batch"
)

// By hand where the tail of chi-square is closed: with 2 degrees of freedom it is
// exp(−x/2). Three groups of three with variances 1, 4 and 16: the pooled one is 7, so the
// statistic is 6·ln 7 − 2·(ln 4 + ln 16) over 1 + (3·1/2 − 1/6)/6 = 11/9, which is 2.747205;
// p 0.253193. Of two groups of five with variances 2.5 and 10 it is 8·ln 6.25 −
// 4·(ln 2.5 + ln 10) over 1.125, 1.586799; erfc(√(x/2)) of it 0.207784.
func TestAlikeScatter(t *testing.T) {
	three := [][]float64{{9, 10, 11}, {18, 20, 22}, {-4, 0, 4}}
	x := (6*math.Log(7) - 2*math.Log(64)) * 9 / 11
	two := [][]float64{{1, 2, 3, 4, 5}, {2, 4, 6, 8, 10}}
	y := (8*math.Log(6.25) - 4*math.Log(25)) / 1.125
	for name, row := range map[string]struct {
		groups [][]float64
		p, by  float64
	}{
		"three": {three, math.Exp(-x / 2), 0.253193},
		"two":   {two, math.Erfc(math.Sqrt(y / 2)), 0.207784},
		"alike": {[][]float64{{1, 2, 3}, {11, 12, 13}}, 1, 1},
	} {
		p, err := batch.AlikeScatter(row.groups)
		if err != nil {
			t.Fatal(err)
		}
		within(t, name, p, row.p, 1e-12)
		within(t, name+", in digits", p, row.by, 5e-7)
		other := slices.Clone(row.groups)
		slices.Reverse(other)
		large := slices.Clone(row.groups)
		for i := range large {
			large[i] = slices.Clone(large[i])
			for j := range large[i] {
				large[i][j] = math.Ldexp(large[i][j], 900)
			}
		}
		for _, g := range [][][]float64{other, large} {
			if again, err := batch.AlikeScatter(g); err != nil || again != p {
				t.Errorf("%s: %g, %v after %g", name, again, err, p)
			}
		}
	}
	for name, row := range map[string]struct {
		groups [][]float64
		want   error
	}{
		"one group":         {[][]float64{{1, 2}}, batch.ErrFew},
		"a group of one":    {[][]float64{{1, 2}, {3}}, batch.ErrFew},
		"a group of alikes": {[][]float64{{1, 2}, {3, 3}}, batch.ErrValue},
		"no number":         {[][]float64{{1, 2}, {3, math.NaN()}}, batch.ErrValue},
	} {
		if p, err := batch.AlikeScatter(row.groups); !errors.Is(err, row.want) || !math.IsNaN(p) {
			t.Errorf("%s: %g, %v", name, p, err)
		}
	}
}
