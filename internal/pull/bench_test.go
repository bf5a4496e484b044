package pull

import (
	"testing"
	"time"
)

// BenchmarkStep is the cost of one reading in the engine, conversion by the rig
// included, with four limits. Design 9 gives decoding, conversion and engine
// 150 ns together; decoding takes up to 20, so the goal here is 80 ns and no
// allocation.
func BenchmarkStep(b *testing.B) {
	for _, bc := range []struct {
		name string
		rate float64
		top  float64 // kN
	}{
		{"loading at 1 kHz", 1000, 30},
		{"loading at 50 Hz", 50, 30},
		{"loading at 50 kHz", 50000, 30},
		{"warning at 1 kHz", 1000, 45},
	} {
		b.Run(bc.name, func(b *testing.B) {
			s := newScript(loopRig(), bc.rate, 0.03)
			s.hold(3*time.Second, 0).ramp(5*time.Second, 0, bc.top)
			e := New(Config{Kind: Tension, Rig: s.rig, Area: 1e-4})
			for _, r := range s.out {
				e.Step(r)
			}
			s.out = s.out[:0]
			for range 1024 {
				s.hold(s.dt(), bc.top)
			}
			i, t, dt := 0, s.t, s.dt()
			b.ReportAllocs()
			for b.Loop() {
				r := s.out[i&1023]
				r.T = t
				e.Step(r)
				t += dt
				i++
			}
		})
	}
}

// BenchmarkState is the cost of one look at the engine, thirty times a second.
func BenchmarkState(b *testing.B) {
	s := newScript(loopRig(), 1000, 0.03)
	s.hold(3*time.Second, 0).ramp(5*time.Second, 0, 45)
	e := New(Config{Kind: Tension, Rig: s.rig, Area: 1e-4})
	for _, r := range s.out {
		e.Step(r)
	}
	b.ReportAllocs()
	for b.Loop() {
		_ = e.State()
	}
}
