package pull

import (
	"math"
	"testing"
	"time"
)

// Pace looks through the strokes: the mean rate of the pumping within 10 %, at
// any moment of a stroke, and it is near nothing when the pump rests.
func TestPace(t *testing.T) {
	for name, tc := range map[string]struct {
		rate    float64
		noise   float64
		do      func(s *script)
		want    float64 // kN/s
		within  float64
		measure time.Duration // before the end
	}{
		"strokes of 1.2 s at 1 kHz":  {1000, 0.03, func(s *script) { s.pump(10, 0, 3) }, 2.5, 0.25, 4 * time.Second},
		"strokes of 1.2 s at 100 Hz": {100, 0.03, func(s *script) { s.pump(10, 0, 3) }, 2.5, 0.25, 4 * time.Second},
		"strokes of 1.2 s at 10 Hz":  {10, 0.03, func(s *script) { s.pump(10, 0, 3) }, 2.5, 0.4, 4 * time.Second},
		"small strokes":              {1000, 0.03, func(s *script) { s.pump(15, 0, 0.5) }, 0.4167, 0.07, 4 * time.Second},
		"a motor, 1 kHz":             {1000, 0.03, func(s *script) { s.ramp(12*time.Second, 0, 24) }, 2, 0.1, 4 * time.Second},
		"a motor, 50 Hz, slow":       {50, 0.03, func(s *script) { s.ramp(30*time.Second, 0, 9) }, 0.3, 0.06, 4 * time.Second},
		"a motor, 5 Hz":              {5, 0, func(s *script) { s.ramp(12*time.Second, 0, 24) }, 2, 0.15, 4 * time.Second},
		"rests after pumping": {
			100, 0.03, func(s *script) { s.pump(10, 0, 3).hold(9*time.Second, 30) },
			0, 0.05, time.Second,
		},
		"leaks after pumping": {
			100, 0.03, func(s *script) { s.pump(10, 0, 3).ramp(10*time.Second, 30, 29) },
			-0.1, 0.05, time.Second,
		},
		"lets off": {100, 0.03, func(s *script) { s.pump(10, 0, 3).ramp(6*time.Second, 30, 12) }, -3, 0.3, time.Second},
	} {
		t.Run(name, func(t *testing.T) {
			s := newScript(loopRig(), tc.rate, tc.noise)
			s.hold(3*time.Second, 0)
			tc.do(s)
			e := New(Config{Kind: Tension, Rig: s.rig, Area: 1e-4})
			for _, r := range s.out {
				e.Step(r)
				if r.T < s.t-tc.measure {
					continue
				}
				st := e.State()
				if got := float64(st.Pace) / 1e3; math.Abs(got-tc.want) > tc.within {
					t.Fatalf("at %v: pace %.3f kN/s, want %g", r.T, got, tc.want)
				}
				if d := float64(st.StressPace) - float64(st.Pace)/1e-4; math.Abs(d) > 1 {
					t.Fatalf("stress pace %v, pace %v", st.StressPace, st.Pace)
				}
			}
		})
	}
}

// Lead time is only told over half of the nearest limit, and is right there.
func TestLead(t *testing.T) {
	s := newScript(loopRig(), 100, 0.03)
	s.hold(3*time.Second, 0).ramp(20*time.Second, 0, 40)
	e := New(Config{Kind: Tension, Rig: s.rig})
	for _, r := range s.out {
		e.Step(r)
		st := e.State()
		f := float64(st.Live.Specimen) / 1e3
		switch {
		case f < 23.5 && st.Lead != 0:
			t.Fatalf("lead time %v at %.1f kN of 48", st.Lead, f)
		case f > 25 && math.Abs(st.Lead.Seconds()-(48-f)/2) > 0.8:
			t.Fatalf("lead time %v at %.1f kN, want %.1f s", st.Lead, f, (48-f)/2)
		case f > 2 && st.Limits[st.Nearest].Name != "link bar, specimen side":
			t.Fatalf("nearest is %q", st.Limits[st.Nearest].Name)
		}
	}
}
