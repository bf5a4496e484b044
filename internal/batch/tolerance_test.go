package batch_test

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"draghand/internal/batch"
)

// The factor falls with n, towards the quantile; it rises with content and with
// confidence, and nowhere fails.
func TestToleranceFallsAndRises(t *testing.T) {
	contents := []float64{0.5, 0.75, 0.9, 0.95, 0.99, 0.999}
	confidences := []float64{0.5, 0.75, 0.9, 0.95, 0.99, 0.999}
	for _, n := range []int{2, 3, 4, 6, 9, 14, 20, 33, 50, 71, 72, 73, 74, 100, 250, 999, 1000} {
		var before []float64
		for _, content := range contents {
			var row []float64
			for j, confidence := range confidences {
				k, err := batch.ToleranceK(n, content, confidence)
				if err != nil {
					t.Fatal(err)
				}
				more, err := batch.ToleranceK(n+1, content, confidence)
				if err != nil {
					t.Fatal(err)
				}
				if !(k > more) && confidence > 0.5 || k < distuv.UnitNormal.Quantile(content)-1e-12 {
					t.Errorf("k of n %d, %g, %g is %g; of one more bar %g", n, content, confidence, k, more)
				}
				if j > 0 && !(k > row[j-1]) || before != nil && !(k > before[j]) {
					t.Errorf("k of n %d, %g, %g is %g, beside %v and %v", n, content, confidence, k, row, before)
				}
				row = append(row, k)
			}
			before = row
		}
	}
}

// A bound below on x is one above on −x: k of the other content at the other
// confidence is −k.
func TestToleranceMirrors(t *testing.T) {
	for _, n := range []int{2, 5, 20, 300} {
		for _, c := range [][2]float64{{0.9, 0.95}, {0.99, 0.6}, {0.7, 0.999}} {
			k, err := batch.ToleranceK(n, c[0], c[1])
			if err != nil {
				t.Fatal(err)
			}
			mirror, err := batch.ToleranceK(n, 1-c[0], 1-c[1])
			if err != nil {
				t.Fatal(err)
			}
			near(t, "mirror", -mirror, k, 1e-9)
		}
	}
}

// With many bars the closed approximation is good, with few it fails.
func TestToleranceApproximation(t *testing.T) {
	for _, n := range []int{200, 1000, 1000000} {
		k, err := batch.ToleranceK(n, 0.99, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "approximation", batch.ToleranceKApprox(n, 0.99, 0.95), k, 0.002)
	}
	if !math.IsNaN(batch.ToleranceKApprox(2, 0.9, 0.95)) || !math.IsNaN(batch.ToleranceKApprox(10, 2, 0.95)) {
		t.Error("an approximation where there is none")
	}
}
