package pull

import (
	"math"
	"slices"
	"testing"
	"time"

	"draghand/internal/si"
)

// A pumped pull that breaks at 30 kN, at every rate and with every fall a metal
// makes (design 5: steel and bronze 15 to 20 ms).
func TestBreak(t *testing.T) {
	for _, rate := range []float64{5, 10, 50, 100, 1000, 5000, 20000} {
		for _, fall := range []time.Duration{0, 2 * time.Millisecond, 15 * time.Millisecond, 40 * time.Millisecond} {
			for _, noise := range []float64{0, 0.03} { // 0.1 % of the peak: two thirds of a count
				if rate > 5000 && (noise == 0 || fall == 0) {
					continue
				}
				s := newScript(loopRig(), rate, noise)
				s.hold(3*time.Second, 0).pump(10, 0, 3)
				broke := s.t
				if fall > 0 {
					s.ramp(fall, 30, 0)
				}
				s.hold(3*time.Second, 0.1)
				e, evs := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
				st := e.State()
				name := func() []any { return []any{rate, fall, noise} }
				if st.Outcome != Broken || st.Break == nil {
					t.Errorf("rate %g fall %v noise %g: %q, %v", append(name(), st.Outcome, phasesOf(evs))...)
					continue
				}
				// A reading after the fall's beginning is low only once the fall has
				// left the noise: 3 SD of it, one count or 0.5 %, whichever is more.
				allow := s.dt()
				if fall > 0 {
					band := max(3*float64(st.Noise), 1*0.2136e5, 0.005*30e3/(0.5*42e-4)) / (30e3 / (0.5 * 42e-4))
					allow += time.Duration(band * float64(fall))
				}
				if d := st.Break.T - broke; d < 0 || d > allow {
					t.Errorf("rate %g fall %v noise %g: break at %v, want within %v after %v", append(name(), st.Break.T, allow, broke)...)
				}
				if math.Abs(float64(st.Break.Specimen)-30e3) > 150+4*noise*1e3 {
					t.Errorf("rate %g fall %v noise %g: fell from %v, want 30 kN", append(name(), st.Break.Specimen)...)
				}
				if want := time.Duration(0.8 * float64(fall)); st.Break.Fall < want-s.dt() || st.Break.Fall > want+s.dt()+fall/20 {
					t.Errorf("rate %g fall %v noise %g: fall time %v, want %v", append(name(), st.Break.Fall, want)...)
				}
				if st.Break.Provisional || !e.Done(st.T) {
					t.Errorf("rate %g fall %v noise %g: still provisional after 3 s", name()...)
				}
				if n := len(eventsOf(evs, EvBreak)); n != 1 {
					t.Errorf("rate %g fall %v noise %g: %d break events", append(name(), n)...)
				}
			}
		}
	}
}

// Falls that are no break.
func TestNoBreak(t *testing.T) {
	for name, tc := range map[string]struct {
		rate float64
		do   func(s *script)
		want []Phase
	}{
		"let off within 0.3 s at 100 Hz": {100, func(s *script) { s.ramp(300*time.Millisecond, 30, 0) }, []Phase{Loading, LetOff}},
		"let off within 1 s at 10 Hz":    {10, func(s *script) { s.ramp(time.Second, 30, 0) }, []Phase{Loading, LetOff}},
		"let off within 1 s at 1 kHz":    {1000, func(s *script) { s.ramp(time.Second, 30, 0) }, []Phase{Loading, LetOff}},
		"let off within 5 s at 100 Hz":   {100, func(s *script) { s.ramp(5*time.Second, 30, 0) }, []Phase{Loading, LetOff}},
		"let off by an opening valve, time constant 0.3 s": {100, func(s *script) {
			s.play(2*time.Second, func(t float64) float64 { return 30 * math.Exp(-t/0.3) })
		}, []Phase{Loading, LetOff}},
		"rested, then gone within 0.1 s": {1000, func(s *script) {
			s.hold(3*time.Second, 30).ramp(100*time.Millisecond, 30, 0)
		}, []Phase{Loading, Unclear}},
		"gone within 0.1 s while pumping": {1000, func(s *script) { s.ramp(100*time.Millisecond, 30, 0) }, []Phase{Loading, Broken}},
		"faded over 60 s":                 {100, func(s *script) { s.ramp(60*time.Second, 30, 0) }, []Phase{Loading, PastPeak, Unclear}},
		"let off and pumped again": {100, func(s *script) {
			s.ramp(time.Second, 30, 0).hold(2*time.Second, 0).pump(11, 0, 3)
		}, []Phase{Loading, LetOff, Loading}},
		"a slip to a tenth and pumped again": {1000, func(s *script) {
			s.ramp(10*time.Millisecond, 30, 2).pump(10, 2, 3)
		}, []Phase{Loading, Broken, Loading}},
		"one reading of nothing": {100, func(s *script) { s.hold(s.dt(), 0).hold(time.Second, 30) }, []Phase{Loading}},
		"leaks back 3 % over 10 s": {
			100, func(s *script) { s.ramp(10*time.Second, 30, 29.1).hold(time.Second, 29.1) },
			[]Phase{Loading, PastPeak},
		},
		"yield drop of 3.5 % within 50 ms": {
			1000, func(s *script) { s.ramp(50*time.Millisecond, 30, 28.95).pump(3, 28.95, 2) },
			[]Phase{Loading},
		},
		"a joint loses 20 % twice": {1000, func(s *script) {
			s.ramp(5*time.Millisecond, 30, 24).pump(2, 24, 3).ramp(5*time.Millisecond, 30, 24).pump(2, 24, 3)
		}, []Phase{Loading}},
		"ends with all on":          {100, func(s *script) { s.mark(End) }, []Phase{Loading, Ended}},
		"ends half way down slowly": {100, func(s *script) { s.ramp(time.Second, 30, 12).mark(End) }, []Phase{Loading, Unclear}},
		"ends in the middle of a snap": {1000, func(s *script) {
			s.ramp(6*time.Millisecond, 30, 12).mark(End)
		}, []Phase{Loading, Broken}},
		"falls while it cannot be seen": {100, func(s *script) {
			s.mark(Lost)
			s.t += 3 * time.Second
			s.mark(Back).hold(2*time.Second, 0)
		}, []Phase{Loading, Unclear}},
	} {
		t.Run(name, func(t *testing.T) {
			s := newScript(loopRig(), tc.rate, 0.03)
			s.hold(3*time.Second, 0).pump(10, 0, 3)
			tc.do(s)
			if last := s.out[len(s.out)-1]; last.Mark != End {
				s.hold(3*time.Second, lastForce(s))
			}
			e, evs := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
			if got := phasesOf(evs); !slices.Equal(got, tc.want) {
				t.Errorf("phases %v, want %v", got, tc.want)
			}
			if st := e.State(); st.Outcome == Broken != (st.Break != nil) || st.Phase != tc.want[len(tc.want)-1] {
				t.Errorf("phase %v, outcome %q, break %v", st.Phase, st.Outcome, st.Break)
			}
		})
	}
}

// lastForce is the force of the newest scripted reading, kN.
func lastForce(s *script) float64 {
	p, _ := s.rig.Chain().Pressure(s.out[len(s.out)-1].Raw)
	return float64(s.rig.Chain().Specimen(p)) / si.Kilonewton
}

// After a break the fixture swings; the force may go 10 % below nothing and
// back. That is no slip and no new loading.
func TestSwingAfterBreak(t *testing.T) {
	s := newScript(plainRig(), 1000, 0.02)
	s.hold(3*time.Second, 0).ramp(10*time.Second, 0, 30).ramp(10*time.Millisecond, 30, -3)
	s.play(5*time.Second, func(t float64) float64 { return -3 * math.Exp(-t/0.4) * math.Cos(2*math.Pi*12*t) })
	e, evs := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
	if got, want := phasesOf(evs), []Phase{Loading, Broken}; !slices.Equal(got, want) {
		t.Errorf("phases %v, want %v", got, want)
	}
	if st := e.State(); st.Slips != 0 || !st.Zero.HasReturn || math.Abs(float64(st.Zero.Return)) > 0.2*si.Bar {
		t.Errorf("slips %d, zero return %v %v", st.Slips, st.Zero.HasReturn, st.Zero.Return)
	}
}

// A slip takes the break back, and the drag hand goes on from where it was.
func TestSlip(t *testing.T) {
	s := newScript(loopRig(), 500, 0.02)
	s.hold(3*time.Second, 0).pump(10, 0, 3).ramp(10*time.Millisecond, 30, 3).hold(time.Second, 3).pump(10, 3, 3)
	e, evs := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
	st := e.State()
	if st.Slips != 1 || st.Break != nil || st.Outcome != "" || st.Phase != Loading || len(eventsOf(evs, EvSlip)) != 1 {
		t.Errorf("slips %d, break %v, outcome %q, phase %v", st.Slips, st.Break, st.Outcome, st.Phase)
	}
	if f := float64(st.Peak.Specimen) / si.Kilonewton; math.Abs(f-33) > 0.25 {
		t.Errorf("peak %.2f kN, want 33", f)
	}
}

// A bar that necks away faster and faster, and then snaps: the break is the snap.
func TestBreakAfterNecking(t *testing.T) {
	for _, rate := range []float64{100, 1000, 5000} {
		s := newScript(loopRig(), rate, 0.02)
		s.hold(3*time.Second, 0).pump(10, 0, 3)
		s.play(300*time.Millisecond, func(t float64) float64 { return 30 - 7*math.Pow(t/0.3, 4) })
		broke := s.t
		s.ramp(2*time.Millisecond, 23, 0).hold(3*time.Second, 0)
		e, _ := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
		st := e.State()
		if st.Break == nil {
			t.Fatalf("rate %g: %q", rate, st.Outcome)
		}
		if d := st.Break.T - broke; d < -s.dt() || d > s.dt() {
			t.Errorf("rate %g: break at %v, want %v", rate, st.Break.T, broke)
		}
		// 93 kN/s of necking at its end: one reading of it, and the noise.
		if d := math.Abs(float64(st.Break.Specimen) - 23e3); d > 93e3*max(s.dt().Seconds(), 0.003)+150 {
			t.Errorf("rate %g: fell from %v, want 23 kN", rate, st.Break.Specimen)
		}
	}
}
