package share_test

import (
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"draghand/internal/rig"
	"draghand/internal/share"
	"draghand/internal/si"
	"draghand/internal/sim"
)

// trial is one swap on the simulated rig: n bars of one alloy on each side, each
// with a strength of its own, on a rig whose true share is not what its file
// says. Of the bars only the true ram force and the section are taken.
func trial(t *testing.T, s *sim.Sim, r *rig.Rig, alloy string, seed uint64, n int) (found share.Found, truth float64) {
	t.Helper()
	truth = 0.46 + 0.08*rand.New(rand.NewPCG(seed, 77)).Float64()
	var x [2][]si.Stress
	for side := range x {
		for i := range n {
			o := sim.Options{Rig: r, Alloy: alloy, Seed: 1000*seed + uint64(2*i+side), TrueShare: truth, Far: side == 1}
			if err := s.Renew(o); err != nil {
				t.Fatal(err)
			}
			tr := s.Truth()
			x[side] = append(x[side], si.StressOn(tr.PeakRam, tr.Area))
		}
	}
	found, err := share.Estimate(x[0], x[1])
	if err != nil {
		t.Fatal(err)
	}
	return found, truth
}

// covered runs trials and fails where the true share lies outside of the stated
// interval more often than 5 % and two standard deviations of the binomial.
func covered(t *testing.T, seeds, n int) {
	r, err := rig.Parse("the example rig", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	alloys := sim.Alloys()
	s := new(sim.Sim)
	in, wide := 0, 0.0
	for seed := range seeds {
		f, truth := trial(t, s, r, alloys[seed%len(alloys)], uint64(seed+1), n)
		if math.Abs(f.Share-truth) <= f.Expanded {
			in++
		}
		wide += f.Expanded / float64(seeds)
	}
	part := float64(in) / float64(seeds)
	se := math.Sqrt(share.Coverage * (1 - share.Coverage) / float64(seeds))
	t.Logf("%d bars a side: %d of %d within, %.1f %% ± %.1f %% (binomial, one SD); mean interval ± %.4f", n, in, seeds, 100*part, 100*se, wide)
	if part < share.Coverage-2*se {
		t.Errorf("the true share lies within the stated interval in %d of %d only", in, seeds)
	}
}

func TestCoverage(t *testing.T) { covered(t, 40, 3) }

func TestCoverageLong(t *testing.T) {
	if os.Getenv("DRAGHAND_LONG") == "" {
		t.Skip("works out some 26,000 simulated pulls: set DRAGHAND_LONG")
	}
	for _, n := range []int{2, 3, 5} {
		covered(t, 200, n)
	}
	// So that what 200 leave to chance is known.
	covered(t, 2000, 3)
	covered(t, 1000, 5)
}
