package pull

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// A few in-band readings of nothing in the middle of a pull are a dropout of the
// reading, no break and no slip. Short ones are not told at all, for longer ones
// the break is withdrawn; a fall that stays for over 0.2 s is what it looks like.
func TestDropout(t *testing.T) {
	for name, tc := range map[string]struct {
		rate  float64
		d     time.Duration
		to    float64 // kN
		told  bool    // a break is told and withdrawn
		slips int
	}{
		"2 ms at 1 kHz":            {1000, 2 * time.Millisecond, 0, false, 0},
		"2 ms to a third":          {1000, 2 * time.Millisecond, 10, false, 0},
		"5 ms at 1 kHz":            {1000, 5 * time.Millisecond, 0, false, 0},
		"1 ms at 5 kHz":            {5000, time.Millisecond, 0, false, 0},
		"2 readings at 100 Hz":     {100, 20 * time.Millisecond, 0, false, 0},
		"2 readings at 10 Hz":      {10, 200 * time.Millisecond, 0, false, 0},
		"20 ms at 1 kHz":           {1000, 20 * time.Millisecond, 0, true, 0},
		"150 ms at 1 kHz":          {1000, 150 * time.Millisecond, 0, true, 0},
		"150 ms to a third":        {1000, 150 * time.Millisecond, 10, true, 0},
		"0.2 s at 100 Hz":          {100, 200 * time.Millisecond, 0, true, 0},
		"0.3 s: the bar slipped":   {1000, 300 * time.Millisecond, 0, true, 1},
		"0.3 s at 100 Hz: as well": {100, 300 * time.Millisecond, 0, true, 1},
	} {
		s := newScript(loopRig(), tc.rate, 0.03)
		s.hold(3*time.Second, 0).ramp(10*time.Second, 0, 20)
		at := s.t
		s.hold(tc.d, tc.to).ramp(5*time.Second, 20, 30)
		e, evs := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
		st := e.State()
		if st.Phase != Loading || st.Outcome != "" || st.Break != nil || st.Slips != tc.slips || len(st.Alarms) != 0 {
			t.Errorf("%s: phase %v, outcome %q, break %v, slips %d", name, st.Phase, st.Outcome, st.Break, st.Slips)
		}
		want := []Phase{Loading}
		if tc.told {
			want = []Phase{Loading, Broken, Loading}
		}
		if got := phasesOf(evs); !slices.Equal(got, want) {
			t.Errorf("%s: phases %v, want %v", name, got, want)
		}
		taken := eventsOf(evs, EvWithdrawn)
		if tc.told != (len(eventsOf(evs, EvBreak)) == 1) || (tc.told && tc.slips == 0) != (len(taken) == 1) {
			t.Errorf("%s: %d breaks told, %d withdrawn", name, len(eventsOf(evs, EvBreak)), len(taken))
		}
		for _, ev := range taken {
			text := "break withdrawn: the reading dropped out for " + itoa(tc.d) + " ms"
			if !strings.HasPrefix(ev.Text, text) || ev.T > at+tc.d+2*s.dt() {
				t.Errorf("%s: %q at %v, want %q", name, ev.Text, ev.T-at, text)
			}
		}
		// What was known before the dropout is still known: 2 kN/s as before and after.
		if rate := float64(st.Pace); tc.slips == 0 && (rate < 1.7e3 || rate > 2.3e3) {
			t.Errorf("%s: pace %v", name, st.Pace)
		}
	}
}

func itoa(d time.Duration) string { return strings.TrimSuffix(d.String(), "ms") }

// Waiting for a dropout to end delays a true break by no more than 5 ms, or by
// one reading where readings are farther apart. Nothing of the break changes.
func TestBreakIsNotLate(t *testing.T) {
	for _, rate := range []float64{10, 50, 100, 1000, 5000} {
		for name, bounce := range map[string]float64{"still": 0, "bounces by 8 %": 2.4} {
			s := newScript(loopRig(), rate, 0.03)
			s.hold(3*time.Second, 0).ramp(15*time.Second, 0, 30)
			broke := s.t
			s.hold(2*s.dt(), 0).hold(2*s.dt(), bounce).hold(3*time.Second, 0)
			e := New(Config{Kind: Tension, Rig: s.rig})
			var told time.Duration
			for _, r := range s.out {
				for _, ev := range e.Step(r) {
					if ev.Kind == EvBreak && told == 0 {
						told = r.T
					}
				}
			}
			// Two low readings make the median low: that was so before.
			if late := told - (broke + s.dt()); told == 0 || late > max(s.dt(), 5*time.Millisecond) {
				t.Errorf("%g Hz, %s: told %v after the second low reading", rate, name, late)
			}
			if st := e.State(); st.Outcome != Broken || st.Break.T != broke || st.Slips != 0 || st.Break.Provisional {
				t.Errorf("%g Hz, %s: %q, %+v, slips %d", rate, name, st.Outcome, st.Break, st.Slips)
			}
		}
	}
}

// A record that ends, or a source that goes away, before a fall could be told
// from a dropout, ends with the break.
func TestEndsAtOnceAfterABreak(t *testing.T) {
	for _, lows := range []int{2, 3, 4} {
		for name, marks := range map[string][]Mark{"end": {End}, "lost, end": {Lost, End}} {
			s := newScript(loopRig(), 1000, 0.03)
			s.hold(3*time.Second, 0).ramp(15*time.Second, 0, 30)
			broke := s.t
			s.hold(time.Duration(lows)*s.dt(), 0)
			for _, m := range marks {
				s.mark(m)
			}
			e, _ := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
			if st := e.State(); st.Outcome != Broken || st.Break == nil || st.Break.T != broke {
				t.Errorf("%s after %d low readings: %q, %+v", name, lows, st.Outcome, st.Break)
			}
		}
	}
	// One that is back already has not broken.
	s := newScript(loopRig(), 1000, 0.03)
	s.hold(3*time.Second, 0).ramp(15*time.Second, 0, 30).hold(2*s.dt(), 0).hold(s.dt(), 30).mark(End)
	e, _ := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
	if st := e.State(); st.Outcome != Ended || st.Break != nil {
		t.Errorf("back and ended: %q, %+v", st.Outcome, st.Break)
	}
}

// Wherever in a loading readings drop out for up to 4 ms, the pull ends as it
// would have without: the same break (its fall within 0.1 ms, its level within 2 SD of the noise), the same drag hand, no slip, no word.
func TestDropoutAnywhere(t *testing.T) {
	s := newScript(loopRig(), 1000, 0.03)
	s.hold(3*time.Second, 0).pump(10, 0, 3)
	broke := len(s.out)
	s.ramp(10*time.Millisecond, 30, 0).hold(3*time.Second, 0)
	cfg := Config{Kind: Tension, Rig: s.rig}
	clean, want := run(t, cfg, s.out)
	rapid.Check(t, func(t *rapid.T) {
		rs := slices.Clone(s.out)
		for range rapid.IntRange(1, 4).Draw(t, "dropouts") {
			// From 0.6 s into the pull to 50 ms before the break.
			at := rapid.IntRange(3600/25, broke/25-2).Draw(t, "at") * 25
			to := rapid.Float64Range(0, 0.4).Draw(t, "to")
			for i := range rapid.IntRange(1, 4).Draw(t, "readings") {
				rs[at+i].Raw = rawOf(s.rig, 0) + math.Round(to*(rs[at+i].Raw-rawOf(s.rig, 0)))
			}
		}
		e := New(cfg)
		var evs []Event
		for _, r := range rs {
			evs = append(evs, e.Step(r)...)
		}
		if a, b := phasesOf(evs), phasesOf(want); !slices.Equal(a, b) {
			t.Fatalf("phases %v, without %v", a, b)
		}
		a, b := e.State(), clean.State()
		// The level before the break is a mean that loses some of its readings.
		near := a.Break != nil && a.Break.T == b.Break.T && (a.Break.Fall-b.Break.Fall).Abs() < 100*time.Microsecond &&
			math.Abs(float64(a.Break.Specimen-b.Break.Specimen)) < 60
		if !near || a.Slips != 0 || a.Outcome != b.Outcome || len(a.Alarms) != 0 {
			t.Fatalf("break %+v, slips %d, outcome %q; without %+v", a.Break, a.Slips, a.Outcome, b.Break)
		}
		// A dropout at the very top takes the highest readings away: 4 SD of the noise.
		if d := math.Abs(float64(a.Peak.Specimen - b.Peak.Specimen)); d > 120 {
			t.Fatalf("peak %v, without %v", a.Peak.Specimen, b.Peak.Specimen)
		}
	})
}

// A crush knows no break, and a dropout is no let-off either.
func TestDropoutInACrush(t *testing.T) {
	for _, d := range []time.Duration{2 * time.Millisecond, 20 * time.Millisecond, 150 * time.Millisecond} {
		for _, kind := range []Kind{Crush, Proof} {
			s := newScript(loopRig(), 1000, 0.03)
			s.hold(3*time.Second, 0).ramp(10*time.Second, 0, 20).hold(d, 0).ramp(5*time.Second, 20, 30)
			e, evs := run(t, Config{Kind: kind, Rig: s.rig}, s.out)
			if st := e.State(); st.Phase != Loading || st.Outcome != "" || st.Slips != 0 || len(eventsOf(evs, EvPhase)) > 3 {
				t.Errorf("%s, %v: %v, slips %d", kind, d, phasesOf(evs), st.Slips)
			}
			if got := phasesOf(evs); kind == Crush && !slices.Equal(got, []Phase{Loading}) {
				t.Errorf("%s, %v: %v", kind, d, got)
			}
		}
	}
	// The end of the record within that time is a let-off all the same.
	s := newScript(loopRig(), 1000, 0.03)
	s.hold(3*time.Second, 0).ramp(10*time.Second, 0, 20).ramp(time.Second, 20, 0).mark(End)
	e, _ := run(t, Config{Kind: Crush, Rig: s.rig}, s.out)
	if st := e.State(); st.Outcome != LetOff {
		t.Errorf("let off and ended: %q", st.Outcome)
	}
}
