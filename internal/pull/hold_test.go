package pull

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"draghand/internal/si"
)

// heldTimes counts how often it was told that the hold is over.
func heldTimes(evs []Event) int {
	n := 0
	for _, ev := range evs {
		if ev.Kind == EvRemark && strings.HasPrefix(ev.Text, "held ") {
			n++
		}
	}
	return n
}

// A proof of a rig pumped to 30 kN in ten strokes, the last of which pushes from
// 13.8 to 14.3 s of the script. With a target of 28.5 kN it is held from 14.04 s,
// with one of 30 kN from 14.3 s; without one from 5 s after the load stopped
// growing, 19.3 s. Letting off within 1 s adds the 0.05 s to 95 %.
func TestHold(t *testing.T) {
	const pumped = 15 * time.Second // idle of 3 s and ten strokes of 1.2 s
	for name, tc := range map[string]struct {
		target  float64 // kN; 0: none
		hold    time.Duration
		do      func(s *script)
		want    time.Duration // held
		within  time.Duration
		lowest  float64 // kN
		met     bool
		phases  []Phase
		outcome Phase
	}{
		"target, held and let off": {
			28.5, 10 * time.Second,
			func(s *script) { s.hold(12*time.Second, 30).ramp(time.Second, 30, 0) },
			13 * time.Second, 100 * time.Millisecond, 28.5, true,
			[]Phase{Loading, Holding, LetOff},
			LetOff,
		},
		"target, let off too early": {
			28.5, 30 * time.Second,
			func(s *script) { s.hold(12*time.Second, 30).ramp(time.Second, 30, 0) },
			13 * time.Second, 100 * time.Millisecond, 28.5, false,
			[]Phase{Loading, Holding, LetOff},
			LetOff,
		},
		"no target, from where it rests": {
			0, 10 * time.Second,
			func(s *script) { s.hold(20*time.Second, 30).ramp(time.Second, 30, 0) },
			15750 * time.Millisecond, 150 * time.Millisecond, 30, true,
			[]Phase{Loading, Holding, LetOff},
			LetOff,
		},
		"no target and no time asked": {
			0, 0,
			func(s *script) { s.hold(20*time.Second, 30).ramp(time.Second, 30, 0) },
			15750 * time.Millisecond, 150 * time.Millisecond, 30, false,
			[]Phase{Loading, Holding, LetOff},
			LetOff,
		},
		"never reached": {
			35, 10 * time.Second,
			func(s *script) { s.hold(20*time.Second, 30).ramp(time.Second, 30, 0) },
			0, 0, 0, false,
			[]Phase{Loading, LetOff},
			LetOff,
		},
		"leaks 4 %": {
			30, 10 * time.Second,
			func(s *script) {
				s.ramp(time.Second, 30, 30.3).ramp(20*time.Second, 30.3, 28.8).ramp(time.Second, 28.8, 0)
			},
			21600 * time.Millisecond, 200 * time.Millisecond, 28.8, true,
			[]Phase{Loading, Holding, LetOff},
			LetOff,
		},
		"leaks 10 %, topped up again": { // over 95 %: 7.6 s on the way down, 2 s on the way up
			30, 10 * time.Second,
			func(s *script) {
				s.ramp(time.Second, 30, 30.3).ramp(14*time.Second, 30.3, 27).ramp(4*time.Second, 27, 30).hold(6*time.Second, 30).ramp(time.Second, 30, 0)
			},
			17250 * time.Millisecond, 300 * time.Millisecond, 27, true, // it came back, so it was a loss
			[]Phase{Loading, Holding, LetOff},
			LetOff,
		},
		"sinks under 95 % at once, and stands there": { // over 95 %: from 14.3 s, 1.7 s after 30.3
			30, 30 * time.Second,
			func(s *script) {
				s.ramp(time.Second, 30, 30.3).ramp(2*time.Second, 30.3, 28.2).hold(40*time.Second, 28.2).ramp(3*time.Second, 28.2, 0)
			},
			3400 * time.Millisecond, 200 * time.Millisecond, 28.2, false,
			[]Phase{Loading, Holding, LetOff},
			LetOff,
		},
		"held, then let off in two steps": { // the hold is over with the first
			30, 10 * time.Second,
			func(s *script) {
				s.ramp(time.Second, 30, 30.3).hold(12*time.Second, 30.3).ramp(time.Second, 30.3, 20).hold(4*time.Second, 20).ramp(time.Second, 20, 0)
			},
			13900 * time.Millisecond, 200 * time.Millisecond, 30, true,
			[]Phase{Loading, Holding, LetOff},
			LetOff,
		},
		"let off too early, slowly": { // from 14.3 s, 5 s and 0.6 s after 30.3
			30, 30 * time.Second,
			func(s *script) { s.ramp(time.Second, 30, 30.3).hold(5*time.Second, 30.3).ramp(10*time.Second, 30.3, 0) },
			7300 * time.Millisecond, 200 * time.Millisecond, 30, false,
			[]Phase{Loading, Holding, LetOff},
			LetOff,
		},
		"breaks while it is held": {
			28.5, 10 * time.Second,
			func(s *script) { s.hold(4*time.Second, 30).ramp(15*time.Millisecond, 30, 0) },
			4950 * time.Millisecond, 100 * time.Millisecond, 28.5, false,
			[]Phase{Loading, Holding, Broken},
			Broken,
		},
	} {
		t.Run(name, func(t *testing.T) {
			s := newScript(loopRig(), 100, 0.03)
			s.hold(3*time.Second, 0).pump(10, 0, 3)
			if s.t != pumped {
				t.Fatalf("pumped until %v", s.t)
			}
			tc.do(s)
			s.hold(3*time.Second, 0)
			e, evs := run(t, Config{Kind: Proof, Rig: s.rig, Target: newtons(tc.target), Hold: tc.hold}, s.out)
			st := e.State()
			if got := phasesOf(evs); !cmp.Equal(got, tc.phases) || st.Outcome != tc.outcome {
				t.Errorf("phases %v, outcome %q, want %v", got, st.Outcome, tc.phases)
			}
			if (st.Hold != nil) != (tc.want > 0) {
				t.Fatalf("hold %+v", st.Hold)
			}
			if st.Hold == nil {
				return
			}
			if d := st.Hold.For - tc.want; d.Abs() > tc.within {
				t.Errorf("held for %v, want %v within %v", st.Hold.For, tc.want, tc.within)
			}
			// A count is 0.045 kN, 4 SD of the noise 0.12.
			if f := float64(st.Hold.Lowest) / 1e3; math.Abs(f-tc.lowest) > 0.17 {
				t.Errorf("lowest %.3f kN, want %.3f", f, tc.lowest)
			}
			want := 0
			if tc.met {
				want = 1
			}
			if n := heldTimes(evs); n != want || st.Hold.Met != tc.met {
				t.Errorf("met %v, told %d times, want %v", st.Hold.Met, n, tc.met)
			}
			if tc.target > 0 && st.Hold.Force != newtons(tc.target) {
				t.Errorf("held at %v, want the target", st.Hold.Force)
			}
		})
	}
}

// A proof replayed, and looked at as often as one likes, is the proof of before.
func TestHoldIsReplayed(t *testing.T) {
	for _, target := range []float64{0, 28.5} {
		s := newScript(loopRig(), 100, 0.05)
		s.hold(3*time.Second, 0).pump(10, 0, 3).ramp(14*time.Second, 30, 27).pump(1, 27, 3).hold(9*time.Second, 30).ramp(time.Second, 30, 0).hold(3*time.Second, 0).mark(End)
		cfg := Config{Kind: Proof, Rig: s.rig, Target: newtons(target), Hold: 10 * time.Second}
		live := New(cfg)
		var evs []Event
		for _, r := range s.out {
			evs = append(evs, live.Step(r)...)
			_ = live.State()
		}
		again, evs2 := run(t, cfg, s.out)
		if d := cmp.Diff(live.State().Clone(), again.State().Clone()); d != "" {
			t.Error(d)
		}
		if d := cmp.Diff(fmt.Sprint(evs), fmt.Sprint(evs2)); d != "" {
			t.Error(d)
		}
		if live.State().Hold == nil {
			t.Error("nothing was held")
		}
	}
}

func newtons(kN float64) si.Force { return si.Force(kN * si.Kilonewton) }
