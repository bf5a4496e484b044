package pull

import (
	"testing"
	"time"
)

// However noisy the sensor, a force that is lost while it is on raises "cannot
// see the force": from a tenth of the nearest limit (48 kN) on, zero or none.
func TestLostUnderLoadInNoise(t *testing.T) {
	for _, rate := range []float64{10, 20, 100, 1000} {
		for _, sd := range []float64{0.03, 0.3, 1, 2.7} {
			for _, force := range []float64{5, 8, 12, 20, 30} {
				s := newScript(loopRig(), rate, sd)
				s.hold(3*time.Second, 0).ramp(5*time.Second, 0, force).hold(5*time.Second, force)
				s.mark(Lost)
				e, evs := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
				told := false
				for _, ev := range eventsOf(evs, EvAlarm) {
					told = told || ev.Alarm.Blind && !ev.Alarm.Returned
				}
				if !told {
					t.Errorf("%g Hz, noise %g kN: lost under %g kN and no alarm (phase %v, threshold %.2f bar)", rate, sd, force, e.State().Phase, e.threshold/1e5)
				}
			}
		}
	}
}

// A noisy sensor read fast: the ring of single readings holds 82 ms at 50 kHz,
// less than the fall is watched for.
func TestNoisyBreakReadFast(t *testing.T) {
	for _, rate := range []float64{5e3, 20e3, 50e3} {
		for _, sd := range []float64{0.4, 1, 2.7} { // 1.3 to 9 % of the peak
			s := newScript(loopRig(), rate, sd)
			s.hold(2*time.Second, 0).ramp(4*time.Second, 0, 30)
			broke := s.t
			s.ramp(10*time.Millisecond, 30, 0).hold(time.Second, 0)
			e := New(Config{Kind: Tension, Rig: s.rig})
			worst := time.Duration(0)
			for _, r := range s.out {
				at := time.Now()
				e.Step(r)
				worst = max(worst, time.Since(at))
			}
			st := e.State()
			if st.Outcome != Broken || (st.Break.T-broke).Abs() > 30*time.Millisecond {
				t.Errorf("%g Hz, noise %g kN: %q, %+v; want a break at %v", rate, sd, st.Outcome, st.Break, broke)
			}
			t.Logf("%g Hz, noise %g kN: the slowest step took %v", rate, sd, worst)
		}
	}
}
