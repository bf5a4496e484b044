package watch_test

import (
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/synctest"

	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/sim"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

// A bar on the far side of unequal arms, live and recomputed: its force is what
// it truly carried, and its alarms come as the limits of the sides say.
func TestFarSideLive(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := exampleRig(t)
		r.Path.SpecimenArm, r.Path.FarArm, r.Path.Share, r.Path.ShareTol = 90*si.Millimetre, 110*si.Millimetre, 0.55, 0.005
		s, err := sim.New(sim.Options{Rig: r, Seed: 4, Far: true})
		if err != nil {
			t.Fatal(err)
		}
		far := bar()
		far.Side = specimen.Far
		w := newWatch(t, watch.Options{Feed: sim.NewFeed(s, 200), Rig: r, Specimen: far, Shelf: t.TempDir(), Version: "test"})
		// What stops first, on the specimen: its 0.45 of the ram force that brings 48 kN
		// to the other side, less what is uncertain (as below).
		if first, want := w.Snapshot().Stop, 0.45/(0.555*42.2/42*1.02)*48e3; first == nil || first.Part != "link bar" || math.Abs(float64(first.Specimen)/want-1) > 0.01 {
			t.Errorf("stops first: %+v, want the link bar at %.0f N", first, want)
		}
		res := w.Run(t.Context())
		truth := s.Truth()
		if got := float64(res.State.Peak.Specimen / truth.PeakSpecimen); math.Abs(got-1) > 0.01 {
			t.Errorf("peak %s, true %s", res.State.Peak.Specimen.Text(si.Metric), truth.PeakSpecimen.Text(si.Metric))
		}
		// The link bar of 48 kN a side stands near now and carries 0.55.
		for _, l := range res.State.Limits {
			if l.Name == "link bar" {
				want := 0.555 * float64(truth.PeakRam) * 42.2 / 42 * 1.02 / 48e3
				if math.Abs(l.PeakRatio/want-1) > 0.01 {
					t.Errorf("the link bar came to %.3f, want %.3f", l.PeakRatio, want)
				}
			}
		}
		rec, err := record.Open(res.Record)
		if err != nil {
			t.Fatal(err)
		}
		again, err := rec.Replay(nil)
		if err != nil || again.Peak != res.State.Peak {
			t.Errorf("recomputed %+v, live %+v, %v", again.Peak, res.State.Peak, err)
		}
		if r.Path.BarFar {
			t.Error("the rig that was given is changed")
		}
	})
}

func TestFarSideNeedsTwo(t *testing.T) {
	r := *exampleRig(t)
	r.Path = rig.Path{Kind: rig.Fixed, Share: 0.5}
	far := bar()
	far.Side = specimen.Far
	shelf := filepath.Join(t.TempDir(), "pulls")
	_, err := watch.New(watch.Options{Feed: simulated(t, exampleRig(t), "", 1), Rig: &r, Specimen: far, Shelf: shelf})
	if err == nil || !strings.Contains(err.Error(), "far side") {
		t.Errorf("taken: %v", err)
	}
	if _, err := os.Stat(shelf); err == nil {
		t.Error("something was recorded")
	}
}
