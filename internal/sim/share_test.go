package sim

import (
	"math"
	"strings"
	"testing"

	"draghand/internal/rig"
)

// The bar's force is the true share of the ram's, on its side, in every reading
// before the break, whatever the rig file says.
func TestTrueShare(t *testing.T) {
	for _, c := range []struct {
		true float64
		far  bool
		want float64
	}{{0, false, 0.5}, {0, true, 0.5}, {0.515, false, 0.515}, {0.515, true, 0.485}, {0.3, true, 0.7}} {
		s := mustNew(t, Options{Seed: 3, TrueShare: c.true, Far: c.far})
		tr := s.Truth()
		if got := float64(tr.PeakSpecimen / tr.PeakRam); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("true %g, far %v: the peak has %g of the ram's force, want %g", c.true, c.far, got, c.want)
		}
		for {
			smp, _ := s.Next()
			if smp.T >= tr.BreakAt {
				break
			}
			if smp.TrueRam > 1000 && math.Abs(float64(smp.TrueSpecimen/smp.TrueRam)-c.want) > 1e-6 {
				t.Fatalf("true %g, far %v, at %s: %g of the ram's force", c.true, c.far, smp.T, smp.TrueSpecimen/smp.TrueRam)
			}
		}
	}
}

// The same bar breaks at the same force of its own, wherever it stands.
func TestSideLeavesTheBarAlone(t *testing.T) {
	near := mustNew(t, Options{Seed: 8, TrueShare: 0.55}).Truth()
	far := mustNew(t, Options{Seed: 8, TrueShare: 0.55, Far: true}).Truth()
	if r := float64(far.PeakSpecimen / near.PeakSpecimen); math.Abs(r-1) > 1e-3 {
		t.Errorf("far %s, near %s", far.PeakSpecimen, near.PeakSpecimen)
	}
}

func TestSharesThatCannotBe(t *testing.T) {
	fixed := *exampleRig(t)
	fixed.Path = rig.Path{Kind: rig.Fixed, Share: 0.5}
	for name, o := range map[string]Options{
		"too small": {Rig: exampleRig(t), TrueShare: 0.01}, "above one": {Rig: exampleRig(t), TrueShare: 1.1}, "NaN": {Rig: exampleRig(t), TrueShare: math.NaN()},
		"fixed, far": {Rig: &fixed, Far: true}, "fixed, true share": {Rig: &fixed, TrueShare: 0.5},
	} {
		if _, err := New(o); err == nil || !strings.Contains(err.Error(), "share") {
			t.Errorf("%s: %v", name, err)
		}
	}
}
