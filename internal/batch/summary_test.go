package batch_test

import (
	"fmt"
	"math"
	"testing"

	"draghand/internal/batch"
)

// The univariate sets of the NIST Statistical Reference Datasets (from memory, but
// Michelson's values), and their certified mean and SD.
func TestSummaryAgainstNIST(t *testing.T) {
	alternating := func(first, low, high float64) []float64 {
		x := []float64{first}
		for range 500 {
			x = append(x, low, high)
		}
		return x
	}
	for _, test := range []struct {
		name         string
		x            []float64
		mean, sd     float64
		loose        float64 // of the SD: the values are no round numbers in binary
		low, high, t float64 // of the 95 % interval
	}{
		{"NumAcc1", []float64{10000001, 10000003, 10000002}, 10000002, 1, 1e-12, 0, 0, 4.302653},
		{"NumAcc2", alternating(1.2, 1.1, 1.3), 1.2, 0.1, 1e-12, 0, 0, 1.962339},
		{"NumAcc3", alternating(1000000.2, 1000000.1, 1000000.3), 1000000.2, 0.1, 1e-8, 0, 0, 1.962339},
		{"NumAcc4", alternating(10000000.2, 10000000.1, 10000000.3), 10000000.2, 0.1, 1e-7, 0, 0, 1.962339},
		{"Michelson", column(table(t, "michelson.csv"), 1), 299.8524, 0.0790105478190518, 1e-12, 0, 0, 1.984217},
		{"five bars, constructed", []float64{44.1, 45.3, 43.8, 46.0, 44.9}, 44.82, 0.892748565, 1e-9, 43.711506, 45.928494, 2.776445105},
	} {
		t.Run(test.name, func(t *testing.T) {
			s := batch.Summarize(test.x, 0.95)
			near(t, "mean", s.Mean, test.mean, 1e-13)
			near(t, "SD", s.SD, test.sd, test.loose)
			near(t, "CV", s.CV, test.sd/test.mean, max(test.loose, 1e-9))
			half := test.t * test.sd / math.Sqrt(float64(len(test.x)))
			within(t, "half the interval", (s.MeanHigh-s.MeanLow)/2, half, 1e-6*half+1e-9*s.Mean*1e-4)
			if test.low != 0 {
				within(t, "low end", s.MeanLow, test.low, 1e-6)
				within(t, "high end", s.MeanHigh, test.high, 1e-6)
			}
		})
	}
}

func TestSummaryOfFew(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, test := range []struct {
		x    []float64
		want batch.Summary
	}{
		{nil, batch.Summary{Mean: nan, SD: nan, CV: nan, Median: nan, Least: nan, Most: nan, MeanLow: nan, MeanHigh: nan}},
		{[]float64{7}, batch.Summary{N: 1, Mean: 7, SD: nan, CV: nan, Median: 7, Least: 7, Most: 7, MeanLow: nan, MeanHigh: nan}},
		{[]float64{7, 7}, batch.Summary{N: 2, Mean: 7, Median: 7, Least: 7, Most: 7, MeanLow: 7, MeanHigh: 7}},
		{[]float64{0.1, 0.1, 0.1}, batch.Summary{N: 3, Mean: 0.1, Median: 0.1, Least: 0.1, Most: 0.1, MeanLow: 0.1, MeanHigh: 0.1}},
		{[]float64{3, 1}, batch.Summary{N: 2, Mean: 2, SD: math.Sqrt2, CV: math.Sqrt2 / 2, Median: 2, Least: 1, Most: 3, MeanLow: 2 - 12.706204736, MeanHigh: 2 + 12.706204736}},
		{[]float64{-1, 1}, batch.Summary{N: 2, SD: math.Sqrt2, CV: nan, Least: -1, Most: 1, MeanLow: -12.706204736, MeanHigh: 12.706204736}},
		{[]float64{-1, 3}, batch.Summary{N: 2, Mean: 1, SD: 2 * math.Sqrt2, CV: nan, Median: 1, Least: -1, Most: 3, MeanLow: 1 - 25.412409472, MeanHigh: 1 + 25.412409472}},
		{[]float64{1, nan}, batch.Summary{N: 2, Mean: nan, SD: nan, CV: nan, Median: nan, Least: nan, Most: nan, MeanLow: nan, MeanHigh: nan}},
		{[]float64{1, inf, 2}, batch.Summary{N: 3, Mean: nan, SD: nan, CV: nan, Median: nan, Least: nan, Most: nan, MeanLow: nan, MeanHigh: nan}},
		{[]float64{1e308, 1.7e308, 1.7e308, 1.7e308}, batch.Summary{N: 4, Mean: 1.525e308, SD: 0.35e308, CV: 0.35 / 1.525, Median: 1.7e308, Least: 1e308, Most: 1.7e308, MeanLow: 1.525e308 - 3.182446305*0.175e308, MeanHigh: inf}},
		{[]float64{5e-324, 5e-324}, batch.Summary{N: 2, Mean: 5e-324, Median: 5e-324, Least: 5e-324, Most: 5e-324, MeanLow: 5e-324, MeanHigh: 5e-324}},
	} {
		t.Run(fmt.Sprint(test.x), func(t *testing.T) {
			s := batch.Summarize(test.x, 0.95)
			if s.N != test.want.N || s.Level != 0.95 {
				t.Errorf("%d values at level %g", s.N, s.Level)
			}
			for _, f := range []struct {
				name      string
				got, want float64
			}{
				{"mean", s.Mean, test.want.Mean},
				{"SD", s.SD, test.want.SD},
				{"CV", s.CV, test.want.CV},
				{"median", s.Median, test.want.Median},
				{"least", s.Least, test.want.Least},
				{"most", s.Most, test.want.Most},
				{"low", s.MeanLow, test.want.MeanLow},
				{"high", s.MeanHigh, test.want.MeanHigh},
			} {
				if f.got != f.want {
					near(t, f.name, f.got, f.want, 1e-9)
				}
			}
		})
	}
	if s := batch.Summarize([]float64{1, 2, 4}, 1); !math.IsNaN(s.MeanLow) || s.Mean != 7.0/3 {
		t.Errorf("of level 1: %+v", s)
	}
}

// The least spread there is: three ones and the number two steps above. The mean is
// half a step above 1, which no number is; the SD is a step.
func TestSmallestSpread(t *testing.T) {
	step := math.Nextafter(1, 2) - 1
	s := batch.Summarize([]float64{1, 1 + 2*step, 1, 1}, 0.95)
	if s.SD != step || s.Mean < 1 || s.Mean > 1+step {
		t.Errorf("mean 1 and %g steps, SD %g steps", (s.Mean-1)/step, s.SD/step)
	}
}
