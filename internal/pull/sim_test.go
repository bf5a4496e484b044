package pull_test

import (
	"math"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/sim"
)

// simulate runs a simulated pull through an engine, to 4 s after the break.
func simulate(t *testing.T, o sim.Options) (*pull.Engine, *sim.Sim, []pull.Event) {
	t.Helper()
	s, err := sim.New(o)
	if err != nil {
		t.Fatal(err)
	}
	e := pull.New(pull.Config{Kind: pull.Tension, Rig: o.Rig})
	var evs []pull.Event
	for end := s.Truth().BreakAt + 4*time.Second; ; {
		smp, _ := s.Next()
		if smp.T > end {
			return e, s, evs
		}
		r := pull.Reading{T: smp.T, Raw: smp.Raw}
		if smp.Unplug {
			r.Mark = pull.Lost
		}
		evs = append(evs, e.Step(r)...)
	}
}

func exampleRig(t *testing.T) *rig.Rig {
	t.Helper()
	r, err := rig.Parse("example", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// The simulated metals, which the engine knows nothing of: it finds the break
// within one reading and the half millisecond in which the fall leaves the noise,
// and the peak within one count and four SD of the noise. At 10 Hz the peak of a
// brittle bar is lower by what the last stroke gains between two readings; only
// the break is held to there.
func TestSimulatedPulls(t *testing.T) {
	r := exampleRig(t)
	perPa := float64(r.Chain().Specimen(1e7)-r.Chain().Specimen(0)) / 1e7
	for _, alloy := range sim.Alloys() {
		for _, rate := range []float64{10, 100, 1000, 5000} {
			for seed := uint64(1); seed <= 3; seed++ {
				e, s, _ := simulate(t, sim.Options{Rig: r, Alloy: alloy, Rate: rate, Seed: seed})
				st, truth := e.State(), s.Truth()
				if st.Outcome != pull.Broken || st.Break == nil || st.Zero.Quality != "quiet" || !e.Done(st.T) || st.Slips != 0 {
					t.Errorf("%s %g Hz seed %d: outcome %q, zero %q, slips %d", alloy, rate, seed, st.Outcome, st.Zero.Quality, st.Slips)
					continue
				}
				if d := st.Break.T - truth.BreakAt; d < -s.Period() || d > s.Period()+500*time.Microsecond {
					t.Errorf("%s %g Hz seed %d: break %v after the true one", alloy, rate, seed, d)
				}
				allow := (float64(r.Chain().Step()) + 4*float64(truth.NoiseSD)) * perPa
				if d := float64(st.Peak.Specimen - truth.PeakSpecimen); rate >= 100 && math.Abs(d) > allow {
					t.Errorf("%s %g Hz seed %d: peak off by %.0f N, %.0f allowed", alloy, rate, seed, d, allow)
				}
			}
		}
	}
}

// The simulated faults that hide the force raise "cannot see the force"; those
// that do not, do not.
func TestSimulatedFaults(t *testing.T) {
	for fault, blind := range map[string]bool{
		"unplug": true, "open": true, "stuck": true, "clipped": true,
		"spike": false, "banner": false, "wrap": false, "noise": false,
	} {
		for _, rate := range []float64{100, 1000} {
			e, s, evs := simulate(t, sim.Options{Rig: exampleRig(t), Rate: rate, Seed: 1, Fault: fault})
			var first *pull.Event
			for i := range evs {
				if evs[i].Alarm.Blind && first == nil {
					first = &evs[i]
				}
			}
			if (first != nil) != blind {
				t.Errorf("%s at %g Hz: blind %v, want %v", fault, rate, first != nil, blind)
			}
			// Stuck needs 50 changes to be due, about a second at 100 Hz.
			if first != nil && (first.T < s.Truth().FaultAt || first.T > s.Truth().FaultAt+1200*time.Millisecond) {
				t.Errorf("%s at %g Hz: told at %v, began at %v", fault, rate, first.T, s.Truth().FaultAt)
			}
			if st := e.State(); st.OverRange != (fault == "clipped") {
				t.Errorf("%s at %g Hz: over its range %v", fault, rate, st.OverRange)
			}
			// These three never end, so the peak comes out of sight; unplugged is back before.
			hidden := fault == "open" || fault == "stuck" || fault == "clipped"
			if st := e.State(); (st.PeakUnseen > 0) != hidden {
				t.Errorf("%s at %g Hz: %d gaps at the peak", fault, rate, st.PeakUnseen)
			}
			if st := e.State(); fault == "spike" && (!st.TripOK || st.Outcome != pull.Broken) {
				t.Errorf("spikes: trip %v, outcome %q", st.TripOK, st.Outcome)
			}
		}
	}
}
