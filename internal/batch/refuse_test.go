package batch_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"draghand/internal/batch"
)

func TestRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	five := []float64{1, 2, 3, 4, 5}
	eight := []float64{3, 3, 3, 3, 3, 3, 3, 3}
	outlier := func(x []float64, side batch.Side, level float64) error {
		_, err := batch.Grubbs(x, side, level)
		return err
	}
	factor := func(n int, content, confidence float64) error {
		k, err := batch.ToleranceK(n, content, confidence)
		if err != nil && !math.IsNaN(k) {
			t.Errorf("k is %g beside an error", k)
		}
		return err
	}
	weibull := func(values, censored []float64, level float64) error {
		_, err := batch.FitWeibull(values, censored, level)
		return err
	}
	normal := func(x []float64) error {
		_, err := batch.Normal(x)
		return err
	}
	welch := func(a, b []float64, level float64) error {
		_, err := batch.Welch(a, b, level)
		return err
	}
	variance := func(groups ...[]float64) error {
		_, err := batch.Variance(groups)
		return err
	}
	for _, test := range []struct {
		name string
		err  error
		want error
		says string
	}{
		{"outlier of two", outlier(five[:2], batch.Low, 0.05), batch.ErrFew, "3 values or more, not among 2"},
		{"outlier on no side", outlier(five, "", 0.05), batch.ErrValue, "side"},
		{"outlier at level 0", outlier(five, batch.Low, 0), batch.ErrValue, "above 0 and below 1"},
		{"outlier at level NaN", outlier(five, batch.Low, nan), batch.ErrValue, "above 0 and below 1"},
		{"outlier of NaN", outlier([]float64{1, 2, nan}, batch.Low, 0.05), batch.ErrValue, "number 3 of the values is NaN"},
		{"bound of one", factor(1, 0.9, 0.95), batch.ErrFew, "2 values or more, not 1"},
		{"bound of less than none", factor(-4, 0.9, 0.95), batch.ErrFew, "not -4"},
		{"content 1", factor(5, 1, 0.95), batch.ErrValue, "content"},
		{"confidence 95", factor(5, 0.9, 95), batch.ErrValue, "confidence of a bound must be above 0 and below 1, not 95"},
		{"Weibull of one that broke", weibull(five[:1], five, 0.95), batch.ErrFew, "2 bars that broke, not 1"},
		{"Weibull of zero", weibull([]float64{1, 0}, nil, 0.95), batch.ErrValue, "above zero"},
		{"Weibull held to less than nothing", weibull(five, []float64{-1}, 0.95), batch.ErrValue, "number 1 of the censored values is -1"},
		{"Weibull of +Inf", weibull([]float64{1, inf}, nil, 0.95), batch.ErrValue, "+Inf"},
		{"Weibull of all the same", weibull(eight, nil, 0.95), batch.ErrValue, "all broke at the largest"},
		{"Weibull of the same, others held less", weibull(eight, five[:2], 0.95), batch.ErrValue, "all broke at the largest"},
		{"Weibull at level 1", weibull(five, nil, 1), batch.ErrValue, "level"},
		{"Weibull of two so far apart that none fits", weibull([]float64{5e-324, 1e308}, make1e308(500), 0.95), batch.ErrValue, "too far apart"},
		{"normal of seven", normal(five), batch.ErrFew, "8 values or more, not in 5"},
		{"normal of all the same", normal(eight), batch.ErrValue, "the same"},
		{"normal of NaN", normal(append([]float64{nan}, eight...)), batch.ErrValue, "NaN"},
		{"difference of one", welch(five[:1], five, 0.95), batch.ErrFew, "1 and 5"},
		{"difference without spread", welch(eight, eight, 0.95), batch.ErrValue, "spread"},
		{"difference of −Inf", welch(five, []float64{1, -inf}, 0.95), batch.ErrValue, "second batch"},
		{"difference at level 0", welch(five, eight, 0), batch.ErrValue, "level"},
		{"one group", variance(five), batch.ErrFew, "2 groups"},
		{"no group", variance(), batch.ErrFew, "2 groups"},
		{"an empty group", variance(five, nil), batch.ErrFew, "group 2 of 2 has no value"},
		{"groups of one", variance(five[:1], five[1:2]), batch.ErrFew, "2 with 2 values"},
		{"groups without spread", variance(eight, eight), batch.ErrValue, "spread"},
		{"groups with NaN", variance(five, []float64{nan, 1}), batch.ErrValue, "number 1 of group 2"},
	} {
		if !errors.Is(test.err, test.want) || !strings.Contains(test.err.Error(), test.says) {
			t.Errorf("%s: %v, want %v with %q", test.name, test.err, test.want, test.says)
		}
	}
}

func make1e308(n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = 1e308
	}
	return x
}

func TestGrubbsTies(t *testing.T) {
	for _, test := range []struct {
		name    string
		x       []float64
		side    batch.Side
		index   int
		g       float64
		flagged bool
	}{
		{"all the same", []float64{4, 4, 4, 4}, batch.Either, 0, 0, false},
		{"all the same, no round number", []float64{0.1, 0.1, 0.1}, batch.Low, 0, 0, false},
		{"two equal ones, the first is named", []float64{9, 1, 5, 1, 9}, batch.Low, 1, 1, false},
		{"equally far on either side: the lower", []float64{3, 1, 2}, batch.Either, 1, 1, false},
		{"one apart of three", []float64{1, 1, 2}, batch.High, 2, 2 / math.Sqrt(3), true},
	} {
		o, err := batch.Grubbs(test.x, test.side, 0.05)
		if err != nil {
			t.Fatal(err)
		}
		if o.Index != test.index || o.Flagged != test.flagged || o.Value != test.x[test.index] || o.Side != test.side {
			t.Errorf("%s: %+v", test.name, o)
		}
		within(t, test.name+": G", o.G, test.g, 1e-12)
		if o.P < 0 || o.P > 1 {
			t.Errorf("%s: P %g", test.name, o.P)
		}
	}
}
