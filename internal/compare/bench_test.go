package compare_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// BenchmarkOf is a whole shelf at once: ten thousand bars of a hundred melts.
func BenchmarkOf(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 2))
	var all []compare.Pull
	for m := range 100 {
		x := make([]float64, 100)
		for i := range x {
			x[i] = 44 + 0.9*r.NormFloat64()
		}
		all = append(all, bars(fmt.Sprintf("M%d", m), x...)...)
	}
	behind := compare.NewOptions() // half of each melt was not taken
	for i := range all {
		behind.Chosen.Behind = append(behind.Chosen.Behind, compare.Behind{Record: all[i].Record + "b", Bar: all[i].Bar + "b", Melt: all[i].Melt})
	}
	b.Run("left behind", func(b *testing.B) {
		for b.Loop() {
			c := compare.Of(all, byMelt(), behind)
			c.Lines(si.US)
		}
	})
	for _, field := range []compare.Field{compare.ByMelt, compare.ByAll} {
		b.Run(string(field), func(b *testing.B) {
			for b.Loop() {
				c := compare.Of(all, compare.By{Field: field}, compare.NewOptions())
				c.Lines(si.US)
			}
		})
	}
}
