package pull_test

import (
	"math"
	"slices"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/sim"
)

// Blocks crushed by a simulated hand pump, which the engine knows nothing of:
// where it says that one gave, and how far that lies from the true first yield. A
// stroke gains some percent of the peak, so it cannot be nearer than that.
func TestFirstYieldOfSimulatedBlocks(t *testing.T) {
	r := exampleRig(t)
	r.Path.Kind, r.Path.Share = "direct", 1
	var seen []float64
	n := 0
	for _, alloy := range sim.Alloys() {
		for _, rate := range []float64{50, 1000} {
			for seed := uint64(1); seed <= 4; seed++ {
				s, err := sim.New(sim.Options{Rig: r, Alloy: alloy, Rate: rate, Seed: seed, Kind: sim.Crush})
				if err != nil {
					t.Fatal(err)
				}
				e := pull.New(pull.Config{Kind: pull.Crush, Rig: r, Area: s.Truth().Area})
				for end := s.Truth().EndAt + 4*time.Second; ; {
					smp, _ := s.Next()
					if smp.T > end {
						break
					}
					e.Step(pull.Reading{T: smp.T, Raw: smp.Raw})
				}
				n++
				y := e.State().FirstYield
				if y == nil {
					continue
				}
				d := float64(y.Stress)/float64(s.Truth().Yield) - 1
				if y.Method != pull.ByStroke || math.Abs(d) > 0.09 {
					t.Errorf("%s at %g Hz seed %d: %+.1f %% off by %s", alloy, rate, seed, 100*d, y.Method)
				}
				seen = append(seen, math.Abs(d))
			}
		}
	}
	slices.Sort(seen)
	t.Logf("%d of %d seen, half within %.1f %%, all within %.1f %%", len(seen), n, 100*seen[len(seen)/2], 100*seen[len(seen)-1])
	if len(seen)*4 < 3*n || seen[len(seen)/2] > 0.04 {
		t.Errorf("%d of %d seen, half of them within %.1f %%", len(seen), n, 100*seen[len(seen)/2])
	}
}
