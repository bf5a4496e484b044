package pull

import (
	"testing"
	"time"
)

// Whether a gap may have hidden the largest force. Pumped to 30 kN of 48; the
// pump of the script gains 3 kN in 1.2 s.
func TestPeakUnseen(t *testing.T) {
	for name, tc := range map[string]struct {
		do     func(s *script)
		unseen int
	}{
		"seen throughout": {func(s *script) { s.ramp(15*time.Millisecond, 30, 0).hold(3*time.Second, 0) }, 0},
		"a gap at the peak, then a break in sight": {func(s *script) {
			s.raw(600*time.Millisecond, rawOpen).hold(time.Second, 29.5).ramp(15*time.Millisecond, 29.5, 0).hold(3*time.Second, 0)
		}, 1},
		"two gaps at the peak": {func(s *script) {
			s.raw(600*time.Millisecond, rawOpen).hold(time.Second, 29.5).raw(600*time.Millisecond, rawOpen).hold(time.Second, 29).ramp(15*time.Millisecond, 29, 0)
		}, 2},
		"a gap, then more load in sight": {func(s *script) {
			s.raw(600*time.Millisecond, rawOpen).pump(3, 30, 3).ramp(15*time.Millisecond, 39, 0).hold(3*time.Second, 0)
		}, 0},
		"higher after the gap, but falling": {func(s *script) {
			s.raw(600*time.Millisecond, rawOpen).ramp(2*time.Second, 33, 31).ramp(15*time.Millisecond, 31, 0).hold(3*time.Second, 0)
		}, 1},
		"a gap too short to be one": {func(s *script) {
			s.raw(300*time.Millisecond, rawOpen).hold(time.Second, 30).ramp(15*time.Millisecond, 30, 0).hold(3*time.Second, 0)
		}, 0},
		"a gap at 80 % of the peak, past it": {func(s *script) {
			s.ramp(6*time.Second, 30, 24).raw(600*time.Millisecond, rawOpen).hold(time.Second, 24).ramp(15*time.Millisecond, 24, 0).hold(3*time.Second, 0)
		}, 0},
		"a gap at 80 %, and the force gone in it": {func(s *script) {
			s.ramp(6*time.Second, 30, 24)
			s.t += 800 * time.Millisecond
			s.hold(3*time.Second, 0)
		}, 1},
		"unplugged after the break": {func(s *script) {
			s.ramp(15*time.Millisecond, 30, 0).hold(3*time.Second, 0).mark(Lost)
		}, 0},
		"unplugged at the peak, for good": {func(s *script) { s.mark(Lost).mark(End) }, 1},
	} {
		t.Run(name, func(t *testing.T) {
			s := newScript(loopRig(), 1000, 0.03)
			s.hold(3*time.Second, 0).pump(10, 0, 3)
			tc.do(s)
			e, _ := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
			if st := e.State(); st.PeakUnseen != tc.unseen {
				t.Errorf("unseen at the peak %d, want %d (gaps %d, outcome %q)", st.PeakUnseen, tc.unseen, st.Gaps, st.Outcome)
			}
		})
	}
}

// A sensor that clips is over its range where there is load, and only there.
func TestOverRange(t *testing.T) {
	for name, tc := range map[string]struct {
		do   func(s *script)
		over bool
	}{
		"never":                      {func(s *script) { s.pump(10, 0, 3) }, false},
		"one reading":                {func(s *script) { s.pump(10, 0, 3).raw(s.dt(), rawFull).hold(time.Second, 29) }, true},
		"one reading on the way up":  {func(s *script) { s.pump(5, 0, 3).raw(s.dt(), rawFull).pump(5, 15, 3) }, false},
		"two readings on the way up": {func(s *script) { s.pump(5, 0, 3).raw(2*s.dt(), rawFull).pump(5, 15, 3) }, true},
		"two on the way up, one at a time": {func(s *script) {
			s.pump(5, 0, 3).raw(s.dt(), rawFull).pump(2, 15, 3).raw(s.dt(), rawFull).pump(3, 21, 3)
		}, false},
		"one reading, past the peak": {func(s *script) {
			s.pump(10, 0, 3).ramp(2*time.Second, 30, 20).raw(s.dt(), rawFull).hold(time.Second, 20)
		}, false},
		"one reading past the peak, and the force gone after it": {func(s *script) {
			s.pump(10, 0, 3).ramp(2*time.Second, 30, 20).raw(s.dt(), rawFull).hold(time.Second, 0)
		}, true},
		"the last reading of all": {func(s *script) { s.pump(10, 0, 3).ramp(2*time.Second, 30, 20).raw(s.dt(), rawFull) }, true},
		"before any load":         {func(s *script) { s.raw(s.dt(), rawFull).hold(time.Second, 0).pump(10, 0, 3) }, false},
		"after the break": {func(s *script) {
			s.pump(10, 0, 3).ramp(15*time.Millisecond, 30, 0).hold(time.Second, 0).raw(s.dt(), rawFull)
		}, false},
		"open is not over": {func(s *script) { s.pump(10, 0, 3).raw(s.dt(), rawOpen).hold(time.Second, 30) }, false},
	} {
		s := newScript(loopRig(), 1000, 0.03)
		s.hold(3*time.Second, 0)
		tc.do(s)
		e, _ := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
		if got := e.State().OverRange; got != tc.over {
			t.Errorf("%s: over its range %v, want %v", name, got, tc.over)
		}
	}
}
