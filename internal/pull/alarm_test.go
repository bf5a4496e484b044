package pull

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// alarmLog writes each alarm event as one word: level, part, R(eturned), A(cked),
// S(ingle).
func alarmLog(evs []Event) []string {
	var out []string
	for _, ev := range eventsOf(evs, EvAlarm) {
		a := ev.Alarm
		s := a.Level.String() + " " + a.Limit
		if a.Blind {
			s = "blind"
		}
		if a.Single {
			s += " S"
		}
		if a.Returned {
			s += " R"
		}
		if a.Acked {
			s += " A"
		}
		out = append(out, s)
	}
	return out
}

// oneBar is the plain rig with the bar of the specimen side as its only limit.
func oneBar() *rig.Rig {
	r := plainRig()
	r.Limits = r.Limits[2:3]
	return r
}

// Past 0.75, 0.90 and 1.00, back under 0.97 of each, with the acknowledgement
// before or after the return (design 5, IEC 62682).
func TestAlarmLife(t *testing.T) {
	const bar = "link bar, specimen side"
	for name, tc := range map[string]struct {
		do     func(s *script)
		want   []string
		listed int
		trip   bool
		worst  Level
	}{
		"up to stop, not acknowledged": {
			func(s *script) { s.ramp(10*time.Second, 0, 48.5) },
			[]string{"caution " + bar, "warning " + bar, "stop " + bar},
			1, false, Stop,
		},
		"acknowledged while over: stays": {
			func(s *script) { s.ramp(10*time.Second, 0, 48.5).mark(Ack).hold(time.Second, 48.5) },
			[]string{
				"caution " + bar, "warning " + bar, "stop " + bar,
				"stop " + bar + " A", "warning " + bar + " A", "caution " + bar + " A",
			},
			1, false, Stop,
		},
		"released, then acknowledged: gone": {
			func(s *script) {
				s.ramp(10*time.Second, 0, 48.5).ramp(2*time.Second, 48.5, 5).hold(time.Second, 5).mark(Ack)
			},
			[]string{
				"caution " + bar, "warning " + bar, "stop " + bar,
				"stop " + bar + " R", "warning " + bar + " R", "caution " + bar + " R",
				"stop " + bar + " R A", "warning " + bar + " R A", "caution " + bar + " R A",
			},
			0, true, Quiet,
		},
		"released and not acknowledged: stays, trip line stays down": {
			func(s *script) { s.ramp(10*time.Second, 0, 48.5).ramp(2*time.Second, 48.5, 5).hold(time.Second, 5) },
			[]string{
				"caution " + bar, "warning " + bar, "stop " + bar,
				"stop " + bar + " R", "warning " + bar + " R", "caution " + bar + " R",
			},
			1, false, Quiet,
		},
		"just over caution for long: no chatter": {
			func(s *script) {
				s.ramp(10*time.Second, 0, 36.1).play(5*time.Second, func(t float64) float64 { return 36 + 0.5*math.Sin(t*20) })
			},
			[]string{"caution " + bar},
			1, true, Caution,
		},
		"0.4 s under 0.97: not yet returned": {
			func(s *script) {
				s.ramp(10*time.Second, 0, 37).hold(400*time.Millisecond, 34.5).hold(time.Second, 37)
			},
			[]string{"caution " + bar},
			1, true, Caution,
		},
	} {
		t.Run(name, func(t *testing.T) {
			s := newScript(oneBar(), 1000, 0)
			s.hold(3*time.Second, 0)
			tc.do(s)
			e, evs := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
			if got := alarmLog(evs); !slices.Equal(got, tc.want) {
				t.Errorf("alarms\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(tc.want, "\n"))
			}
			st := e.State()
			if len(st.Alarms) != tc.listed || st.TripOK != tc.trip || st.Worst != tc.worst {
				t.Errorf("%d alarms listed, trip %v, worst %v; want %d, %v, %v", len(st.Alarms), st.TripOK, st.Worst, tc.listed, tc.trip, tc.worst)
			}
		})
	}
}

// A stop by a spike of one reading is marked single and does not drop the trip
// line; two in a row, or a neighbour within 5 %, do (design 5).
func TestSingleReading(t *testing.T) {
	bar := func(kN float64) float64 { return rawOf(oneBar(), kN) }
	for name, tc := range map[string]struct {
		rate   float64
		raws   []float64
		single bool
		trip   bool
	}{
		"one alone":                      {1000, []float64{bar(49), bar(20), bar(20)}, true, true},
		"two in a row":                   {1000, []float64{bar(49), bar(49), bar(20)}, false, false},
		"the next within 5 % of it":      {1000, []float64{bar(49), bar(47.5), bar(20)}, false, false},
		"the next over 5 % lower":        {1000, []float64{bar(49), bar(46), bar(20)}, true, true},
		"two alone within 5 ms":          {1000, []float64{bar(49), bar(20), bar(20), bar(49), bar(20)}, true, true},
		"two over a time of 5 ms":        {1000, []float64{bar(49), bar(20), bar(20), bar(20), bar(20), bar(49), bar(20)}, false, false},
		"the one before within 5 %":      {1000, []float64{bar(46), bar(48), bar(20)}, false, false},
		"one alone at 10 Hz":             {10, []float64{bar(49), bar(20)}, true, true},
		"one alone exactly at the limit": {1000, []float64{bar(48), bar(20)}, true, true},
	} {
		t.Run(name, func(t *testing.T) {
			s := newScript(oneBar(), tc.rate, 0)
			s.hold(3*time.Second, 0).ramp(5*time.Second, 0, 20).raws(tc.raws...)
			e, _ := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
			st := e.State()
			if len(st.Alarms) != 1 || st.Alarms[0].Level != Stop {
				t.Fatalf("alarms %+v, want one stop", st.Alarms)
			}
			if st.Alarms[0].Single != tc.single || st.TripOK != tc.trip {
				t.Errorf("single %v, trip %v; want %v, %v", st.Alarms[0].Single, st.TripOK, tc.single, tc.trip)
			}
			if tc.single && float64(st.Peak.Specimen) > 20.1*si.Kilonewton && name != "the next over 5 % lower" {
				t.Errorf("the drag hand went to %v by a lone reading", st.Peak.Specimen)
			}
		})
	}
}

// The sentences name the part and the figures in the units of the rig.
func TestAlarmText(t *testing.T) {
	for name, tc := range map[string]struct {
		units si.System
		limit int
		top   float64 // kN
		want  []string
	}{
		"link bar in kN": {si.Metric, 2, 48.25, []string{
			"caution: link bar, specimen side carries 36.0", "warning: link bar, specimen side carries 43.",
			"STOP: link bar, specimen side carries 48.0", " of 48.00 kN allowed: release the pressure, then acknowledge",
		}},
		"link bar in lbf":   {si.US, 2, 48.25, []string{"STOP: link bar, specimen side carries 10,79", " lbf of 10,791 lbf allowed: release"}},
		"transducer in bar": {si.Metric, 1, 147.2, []string{"STOP: transducer sees 700.", " bar of 700.0 bar allowed: release"}},
	} {
		t.Run(name, func(t *testing.T) {
			r := plainRig()
			r.Limits = r.Limits[tc.limit : tc.limit+1]
			r.Units = tc.units
			s := newScript(r, 1000, 0)
			s.hold(3*time.Second, 0).ramp(30*time.Second, 0, tc.top)
			_, evs := run(t, Config{Kind: Tension, Rig: r}, s.out)
			var all []string
			for _, ev := range eventsOf(evs, EvAlarm) {
				all = append(all, ev.Text)
			}
			for _, w := range tc.want {
				if !strings.Contains(strings.Join(all, "\n"), w) {
					t.Errorf("no %q in\n%s", w, strings.Join(all, "\n"))
				}
			}
		})
	}
}

// The look-ahead raises a warning and nothing more, and only over half of the
// nearest limit.
func TestLookAhead(t *testing.T) {
	r := oneBar()
	r.Alarm.LookAhead = 3.9 // s
	s := newScript(r, 200, 0)
	s.hold(3*time.Second, 0).ramp(8*time.Second, 0, 32) // 4 kN/s: 48 kN is 4 s away
	e, evs := run(t, Config{Kind: Tension, Rig: r}, s.out)
	st := e.State()
	if got := alarmLog(evs); len(got) != 0 {
		t.Errorf("alarms at two thirds: %v", got)
	}
	if d := st.Lead.Seconds(); math.Abs(d-4) > 0.3 || st.Nearest != 0 {
		t.Errorf("lead time %.2f s to %d, want 4", d, st.Nearest)
	}
	s2 := newScript(r, 200, 0)
	s2.hold(3*time.Second, 0).ramp(8250*time.Millisecond, 0, 33).hold(8*time.Second, 33).mark(Ack)
	e, evs = run(t, Config{Kind: Tension, Rig: r}, s2.out)
	want := []string{"warning link bar, specimen side", "warning link bar, specimen side R", "warning link bar, specimen side R A"}
	if got := alarmLog(evs); !slices.Equal(got, want) {
		t.Errorf("alarms %v, want %v", got, want)
	}
	if !strings.Contains(eventsOf(evs, EvAlarm)[0].Text, "at this pace reaches that in") {
		t.Errorf("text %q", eventsOf(evs, EvAlarm)[0].Text)
	}
	if st := e.State(); st.Lead != 0 || len(st.Alarms) != 0 {
		t.Errorf("lead %v, alarms %v after a long rest", st.Lead, st.Alarms)
	}
}

// A look-ahead warning that came first hides neither the caution nor the
// warning of the load.
func TestLookAheadHidesNothing(t *testing.T) {
	r := oneBar()
	r.Alarm.LookAhead = 20 // s: warns from half of the limit on
	s := newScript(r, 200, 0)
	s.hold(3*time.Second, 0).ramp(12*time.Second, 0, 46)
	_, evs := run(t, Config{Kind: Tension, Rig: r}, s.out)
	var got []string
	for _, e := range eventsOf(evs, EvAlarm) {
		word := e.Alarm.Level.String()
		if e.Alarm.Ahead {
			word = "ahead"
		}
		got = append(got, word)
	}
	if want := []string{"ahead", "caution", "warning"}; !slices.Equal(got, want) {
		t.Errorf("alarms %v, want %v", got, want)
	}
}

// A stop that was acknowledged under load is raised again for every further
// 5 % of the limit, and by no lone reading.
func TestStopIsToldAgain(t *testing.T) {
	late := newScript(oneBar(), 1000, 0)
	late.hold(3*time.Second, 0).ramp(12*time.Second, 0, 58).mark(Ack).hold(time.Second, 58).ramp(time.Second, 58, 54)
	_, evs := run(t, Config{Kind: Tension, Rig: oneBar()}, late.out)
	for i, e := range eventsOf(evs, EvAlarm) {
		if e.Alarm.Level == Stop && e.Alarm.Acked {
			for _, after := range eventsOf(evs, EvAlarm)[i+1:] {
				if after.Alarm.Level == Stop && !after.Alarm.Acked {
					t.Errorf("acknowledged at 20 %% over, raised again at %v though the load stood still", after.T)
				}
			}
		}
	}

	s := newScript(oneBar(), 1000, 0)
	s.hold(3*time.Second, 0).ramp(10*time.Second, 0, 48.5).mark(Ack)
	s.ramp(2*time.Second, 48.5, 50).hold(10*time.Millisecond, 50) // 2 to 4 % over: not yet
	_, before := run(t, Config{Kind: Tension, Rig: oneBar()}, s.out)
	s.hold(time.Millisecond, 70).hold(10*time.Millisecond, 50) // one wild reading: not yet
	_, wild := run(t, Config{Kind: Tension, Rig: oneBar()}, s.out)
	s.ramp(2*time.Second, 50, 52) // 8 % over
	e, after := run(t, Config{Kind: Tension, Rig: oneBar()}, s.out)
	stops := func(evs []Event) (n int) {
		for _, e := range eventsOf(evs, EvAlarm) {
			if e.Alarm.Level == Stop && !e.Alarm.Acked && !e.Alarm.Returned {
				n++
			}
		}
		return n
	}
	if a, b, c := stops(before), stops(wild), stops(after); a != 1 || b != 1 || c != 2 {
		t.Errorf("stops told: %d at 4 %% over, %d after a lone reading, %d at 8 %% over; want 1, 1, 2", a, b, c)
	}
	if st := e.State(); len(st.Alarms) == 0 || st.Alarms[0].Level != Stop || st.Alarms[0].Acked || st.TripOK {
		t.Errorf("alarms %+v, trip line ok %v", st.Alarms, st.TripOK)
	}
}
