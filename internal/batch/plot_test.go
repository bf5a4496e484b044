package batch_test

import (
	"math"
	"testing"

	"draghand/internal/batch"
)

func TestNormalPlot(t *testing.T) {
	// Median ranks of four, as printed in tables of them: 0.1591, 0.3857, 0.6143, 0.8409.
	got := batch.NormalPlot([]float64{30, 10, 40, 20})
	want := []batch.Plotted{{1, 10, 0.1591}, {3, 20, 0.3857}, {0, 30, 0.6143}, {2, 40, 0.8409}}
	for i, p := range got {
		if p.Index != want[i].Index || p.Value != want[i].Value {
			t.Errorf("%d: %+v, want %+v", i, p, want[i])
		}
		within(t, "position", p.Position, want[i].Position, 5.1e-5)
	}
	if len(got) != 4 || got[3].Position != 1-got[0].Position {
		t.Errorf("%+v", got)
	}
	if batch.NormalPlot([]float64{1, math.NaN()}) != nil || len(batch.NormalPlot(nil)) != 0 {
		t.Error("plotted what cannot be")
	}
	if one := batch.NormalPlot([]float64{5}); one[0].Position != 0.5 {
		t.Errorf("one bar: %+v", one)
	}
}

// Worked by hand from Johnson's rule: of four bars the second held to 15 only. The
// first has rank 1; three are left, the added rank is (5 − 1)/(1 + 2) = 4/3, so the
// two above stand at 7/3 and 11/3. Benard's (rank − 0.3)/4.4 lies within 0.003.
func TestWeibullPlotCensored(t *testing.T) {
	got := batch.WeibullPlot([]float64{30, 10, 20}, []float64{15})
	want := []batch.Plotted{{1, 10, 0.7 / 4.4}, {2, 20, (7.0/3 - 0.3) / 4.4}, {0, 30, (11.0/3 - 0.3) / 4.4}}
	if len(got) != 3 {
		t.Fatalf("%+v", got)
	}
	for i, p := range got {
		if p.Index != want[i].Index || p.Value != want[i].Value {
			t.Errorf("%d: %+v, want %+v", i, p, want[i])
		}
		within(t, "position", p.Position, want[i].Position, 0.003)
	}
	// held to just what another broke at: it is the stronger one
	tied := batch.WeibullPlot([]float64{10, 20}, []float64{10})
	within(t, "position of the tie", tied[0].Position, 0.7/3.4, 0.003)
	// all that held to less than the first break move it up
	late := batch.WeibullPlot([]float64{10, 20}, []float64{5})
	within(t, "position after the held one", late[0].Position, (4.0/3-0.3)/3.4, 0.003)
	if batch.WeibullPlot([]float64{1, 0}, nil) != nil || batch.WeibullPlot([]float64{1}, []float64{-1}) != nil {
		t.Error("plotted what cannot be")
	}
}

func TestScores(t *testing.T) {
	within(t, "normal score", batch.NormalScore(0.9), 1.2815515655446, 1e-12)
	within(t, "of the middle", batch.NormalScore(0.5), 0, 1e-15)
	within(t, "Weibull score at the scale", batch.WeibullScore(1-math.Exp(-1)), 0, 1e-15)
	within(t, "Weibull score of a half", batch.WeibullScore(0.5), math.Log(math.Ln2), 1e-15)
	for _, p := range []float64{-0.1, 1.1, math.NaN()} {
		if !math.IsNaN(batch.NormalScore(p)) || !math.IsNaN(batch.WeibullScore(p)) {
			t.Errorf("a score of %g", p)
		}
	}
	if !math.IsInf(batch.NormalScore(0), -1) || !math.IsInf(batch.WeibullScore(0), -1) || !math.IsInf(batch.WeibullScore(1), 1) {
		t.Error("the ends of an axis are not at infinity")
	}
	// Weibull values make a straight line of slope shape
	w := batch.Weibull{Shape: 7, Scale: 300}
	for _, p := range []float64{0.01, 0.3, 0.99} {
		within(t, "line", batch.WeibullScore(p), 7*(math.Log(w.Quantile(p))-math.Log(300)), 1e-12)
	}
	if !math.IsNaN(w.Quantile(-1)) || w.Quantile(0) != 0 || !math.IsInf(w.Quantile(1), 1) {
		t.Error("quantiles at the ends")
	}
}
