package batch_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"draghand/internal/batch"
)

func BenchmarkToleranceK(b *testing.B) {
	for _, n := range []int{5, 20, 1000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				if _, err := batch.ToleranceK(n, 0.99, 0.95); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkFitWeibull(b *testing.B) {
	for _, n := range []int{5, 20, 500} {
		for _, held := range []float64{0, 0.3} {
			b.Run(fmt.Sprintf("%d/held%.0f%%", n, 100*held), func(b *testing.B) {
				values, censored := weibulls(rand.New(rand.NewPCG(3, 1)), n, held)
				for b.Loop() {
					if _, err := batch.FitWeibull(values, censored, 0.95); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

func BenchmarkSummarize(b *testing.B) {
	x := normals(rand.New(rand.NewPCG(3, 2)), 20, trueMean, trueSD)
	for b.Loop() {
		batch.Summarize(x, 0.95)
	}
}
