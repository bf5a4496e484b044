package pull

import (
	"math"
	"strings"
	"testing"
	"time"
)

// blockPump goes up in strokes of 1.2 s that gain so much each.
func (s *script) blockPump(from float64, gains ...float64) float64 {
	for _, g := range gains {
		s.pump(1, from, g)
		from += g
	}
	return from
}

// Where a block gives, by hand: strokes of 2 kN to 20 kN, then of 0.7 kN; or 2
// kN/s to 20 kN and 0.6 kN/s from there.
func TestFirstYield(t *testing.T) {
	many := func(n int, g float64) []float64 {
		out := make([]float64, n)
		for i := range out {
			out[i] = g
		}
		return out
	}
	for name, tc := range map[string]struct {
		kind   Kind
		do     func(s *script)
		method string
		at     float64 // kN
		within float64
	}{
		// The crest before the first weak stroke, within noise and one count.
		"pumped, gives at 20 kN": {Crush, func(s *script) { s.blockPump(s.blockPump(0, many(10, 2)...), many(8, 0.7)...) }, ByStroke, 20.08, 0.2},
		"pumped, never gives":    {Crush, func(s *script) { s.blockPump(0, many(12, 2)...) }, "", 0, 0},
		"pumped, one weak stroke": {Crush, func(s *script) {
			s.blockPump(s.blockPump(s.blockPump(0, many(6, 2)...), 0.7), many(5, 2)...)
		}, "", 0, 0},
		// Where the two lines meet: a bucket of 20 ms, or a reading of 50, either way.
		"driven, gives at 20 kN": {Crush, func(s *script) { s.ramp(10*time.Second, 0, 20).ramp(10*time.Second, 20, 26) }, BySlope, 20, 0.2},
		"driven, never gives":    {Crush, func(s *script) { s.ramp(15*time.Second, 0, 30) }, "", 0, 0},
		"driven, slack first":    {Crush, func(s *script) { s.ramp(5*time.Second, 0, 3).ramp(10*time.Second, 3, 23) }, "", 0, 0},
		"driven, rests": {Crush, func(s *script) {
			s.ramp(5*time.Second, 0, 10).ramp(8*time.Second, 10, 9.6).ramp(7*time.Second, 9.6, 23.6)
		}, "", 0, 0},
		"driven, stands still at the end": {Crush, func(s *script) { s.ramp(10*time.Second, 0, 20).hold(10*time.Second, 20) }, "", 0, 0},
		"driven slowly, then as fast as before": {Crush, func(s *script) {
			s.ramp(5*time.Second, 0, 10).ramp(5*time.Second, 10, 11).ramp(6*time.Second, 11, 23.5)
		}, "", 0, 0},
		"driven, slow for a moment, then nearly as fast": {Crush, func(s *script) {
			s.ramp(5*time.Second, 0, 10).ramp(1800*time.Millisecond, 10, 10.15).ramp(6*time.Second, 10.15, 20.35)
		}, "", 0, 0},
		"driven, creeps by 1 % at the end": {Crush, func(s *script) { s.ramp(10*time.Second, 0, 20).ramp(6*time.Second, 20, 20.2) }, "", 0, 0},
		"driven, slow for a moment at 10 kN, gives at 20": {Crush, func(s *script) {
			s.ramp(5*time.Second, 0, 10).ramp(1800*time.Millisecond, 10, 10.15).ramp(5800*time.Millisecond, 10.15, 20).ramp(8*time.Second, 20, 24.8)
		}, BySlope, 20, 0.2},
		"driven, gives at 20 kN, let down and up again there": {Crush, func(s *script) {
			s.ramp(10*time.Second, 0, 20).ramp(1500*time.Millisecond, 20, 20.9).ramp(2*time.Second, 20.9, 16.9).ramp(2*time.Second, 16.9, 20.9).ramp(8*time.Second, 20.9, 25.7)
		}, BySlope, 20, 0.2},
		"no crush": {Tension, func(s *script) { s.ramp(10*time.Second, 0, 20).ramp(10*time.Second, 20, 26) }, "", 0, 0},
	} {
		for _, rate := range []float64{20, 100, 1000} {
			if rate < 100 && strings.HasPrefix(name, "driven, slow for a moment at 10 kN") {
				continue // so slowly read, its bumps look like strokes: seen at the same force, by those
			}
			s := newScript(loopRig(), rate, 0.03)
			s.hold(3*time.Second, 0)
			tc.do(s)
			e, _ := run(t, Config{Kind: tc.kind, Rig: s.rig, Area: 1e-3}, s.out)
			y := e.State().FirstYield
			switch {
			case tc.method == "" && y != nil:
				t.Errorf("%s at %g Hz: %+v, want none", name, rate, *y)
			case tc.method == "":
			case y == nil:
				t.Errorf("%s at %g Hz: none", name, rate)
			case y.Method != tc.method || math.Abs(float64(y.Specimen)/1e3-tc.at) > tc.within:
				t.Errorf("%s at %g Hz: %.2f kN by %s, want %g by %s", name, rate, float64(y.Specimen)/1e3, y.Method, tc.at, tc.method)
			case math.Abs(float64(y.Stress)/(float64(y.Specimen)/1e-3)-1) > 1e-12:
				t.Errorf("%s at %g Hz: stress %v of %v", name, rate, y.Stress, y.Specimen)
			}
		}
	}
}

// The most that was lost while a force is held: by hand, of the highest before it.
func TestHoldLost(t *testing.T) {
	for name, tc := range map[string]struct {
		do   func(s *script)
		lost float64
	}{
		"nothing": {func(s *script) { s.hold(15*time.Second, 30) }, 0},
		"4 % of 30.3 to 29.1 kN": {func(s *script) {
			s.ramp(time.Second, 30, 30.3).ramp(10*time.Second, 30.3, 29.1).hold(4*time.Second, 29.1)
		}, 1 - 29.1/30.3},
		"lost, then pumped up higher": {func(s *script) {
			s.ramp(time.Second, 30, 30.3).ramp(5*time.Second, 30.3, 29).ramp(2*time.Second, 29, 32).hold(4*time.Second, 32)
		}, 1 - 29.0/30.3},
		"pumped on from the target": {func(s *script) { s.ramp(5*time.Second, 30, 33).hold(4*time.Second, 33) }, 0},
	} {
		s := newScript(plainRig(), 100, 0.01)
		s.hold(3*time.Second, 0).ramp(10*time.Second, 0, 30)
		tc.do(s)
		s.ramp(500*time.Millisecond, 30, 0) // let off: no loss
		e, _ := run(t, Config{Kind: Proof, Rig: s.rig, Target: newtons(30)}, s.out)
		h := e.State().Hold
		// Six SD of 0.01 kN either way, and what half a second of the let-off takes not.
		if h == nil || math.Abs(h.Lost-tc.lost) > 0.003 {
			t.Errorf("%s: %+v, want a loss of %.4f", name, h, tc.lost)
		}
	}
}
