package pull

import (
	"strings"
	"testing"
	"time"
)

// blindEvents are the alarm events of "cannot see the force".
func blindEvents(evs []Event) []Event {
	var out []Event
	for _, ev := range eventsOf(evs, EvAlarm) {
		if ev.Alarm.Blind {
			out = append(out, ev)
		}
	}
	return out
}

// stepFrom steps an engine through what a script got since reading n.
func stepFrom(e *Engine, s *script, n int) []Event {
	var evs []Event
	for _, r := range s.out[n:] {
		evs = append(evs, e.Step(r)...)
	}
	return evs
}

// An acknowledged blindness hides no other one: where the cause changes, the
// words change, and what was acknowledged is raised again. A clipped sensor, an
// overload, is told at once.
func TestBlindCauseChanges(t *testing.T) {
	unplug := func(s *script) { s.mark(Lost) }
	for name, tc := range map[string]struct {
		noise  float64
		first  func(s *script)
		second func(s *script)
		want   string // in the new words; empty: nothing new
		within time.Duration
	}{
		"lost, back, clipped":    {0.03, unplug, func(s *script) { s.mark(Back).raw(time.Second, rawFull) }, "above its range", 0},
		"open, then clipped":     {0.03, func(s *script) { s.raw(time.Second, rawOpen) }, func(s *script) { s.raw(s.dt(), rawFull) }, "above its range", 0},
		"clipped, then open":     {0.03, func(s *script) { s.raw(s.dt(), rawFull) }, func(s *script) { s.raw(2*time.Second, rawOpen) }, "open circuit", 1100 * time.Millisecond},
		"clipped, then lost":     {0.03, func(s *script) { s.raw(s.dt(), rawFull) }, unplug, "went away", 0},
		"open, then below range": {0.03, func(s *script) { s.raw(time.Second, rawOpen) }, func(s *script) { s.raw(2*time.Second, rawBelow) }, "below range", 1100 * time.Millisecond},
		"lost, back, silent":     {0.03, unplug, func(s *script) { s.mark(Back); s.t += time.Second; s.mark(Silent) }, "says nothing", time.Second},
		"lost, back, open":       {0.03, unplug, func(s *script) { s.mark(Back).raw(2*time.Second, rawOpen) }, "open circuit", 1100 * time.Millisecond},
		"lost, back, stuck":      {0.1, unplug, func(s *script) { s.mark(Back).raw(time.Second, rawOf(s.rig, 30)) }, "stands still", time.Second},
		"open, then a hole": {0.03, func(s *script) { s.raw(time.Second, rawOpen) }, func(s *script) {
			s.t += 2 * time.Second
			s.mark(Bad)
		}, "", 0}, // an open circuit is still the last that is known
		"lost twice":             {0.03, unplug, func(s *script) { s.mark(Back).mark(Lost) }, "", 0},
		"lost, back, board anew": {0.03, unplug, func(s *script) { s.t += time.Second; s.mark(Back).mark(Reset) }, "", 0},
		"clipped again and again": {0.03, func(s *script) { s.raw(s.dt(), rawFull) }, func(s *script) {
			for i := range 500 {
				s.raws(rawOpen, rawFull, rawOf(s.rig, 30)+float64(i%3))
			}
		}, "", 0},
	} {
		for _, ack := range []bool{true, false} {
			s := newScript(loopRig(), 1000, tc.noise)
			s.hold(3*time.Second, 0).pump(10, 0, 3)
			e, _ := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
			n := len(s.out)
			tc.first(s)
			stepFrom(e, s, n)
			if ack {
				e.Step(Reading{T: s.t, Mark: Ack})
			}
			if st := e.State(); len(st.Alarms) != 1 || !st.Alarms[0].Blind || st.Alarms[0].Acked != ack {
				t.Fatalf("%s: alarms %+v", name, st.Alarms)
			}
			n, before := len(s.out), s.t
			tc.second(s)
			told := blindEvents(stepFrom(e, s, n))
			st := e.State()
			if len(st.Alarms) != 1 || st.TripOK || st.Worst != Stop {
				t.Errorf("%s: alarms %+v, trip %v, worst %v", name, st.Alarms, st.TripOK, st.Worst)
				continue
			}
			if tc.want == "" {
				if len(told) != 0 || st.Alarms[0].Acked != ack {
					t.Errorf("%s, acknowledged %v: told %v, alarm %+v", name, ack, told, st.Alarms[0])
				}
				continue
			}
			if len(told) != 1 || told[0].T-before > tc.within {
				t.Errorf("%s, acknowledged %v: told %v", name, ack, told)
			}
			if a := st.Alarms[0]; a.Acked || a.Returned || !strings.Contains(a.Text, tc.want) || !strings.HasPrefix(a.Text, "cannot see the force: stop pumping") {
				t.Errorf("%s, acknowledged %v: %+v, want %q", name, ack, a, tc.want)
			}
		}
	}
}

// A source that is back has not shown the force yet: that takes a valid reading.
// And silence after it is told like any other.
func TestBackIsNotSeen(t *testing.T) {
	for name, loaded := range map[string]bool{"loaded": true, "slack": false} {
		s := newScript(loopRig(), 1000, 0.03)
		s.hold(3*time.Second, 0)
		force := 0.0
		if loaded {
			s.pump(10, 0, 3)
			force = 30
		}
		s.mark(Lost).mark(Back)
		e, _ := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
		if st := e.State(); st.Seen || e.Live().Seen || st.TripOK {
			t.Errorf("%s: back and nothing read: seen %v, live %v, trip %v", name, st.Seen, e.Live().Seen, st.TripOK)
		}
		evs := e.Step(Reading{T: s.t, Raw: rawOpen})
		if st := e.State(); st.Seen {
			t.Errorf("%s: a fault counts as seen: %v", name, evs)
		}
		e.Step(Reading{T: s.t + time.Second, Mark: Silent})
		if st := e.State(); st.Seen || (len(st.Alarms) == 1) != loaded || (loaded && !strings.Contains(st.Alarms[0].Text, "says nothing")) {
			t.Errorf("%s: silent after back: seen %v, alarms %+v", name, st.Seen, st.Alarms)
		}
		s.t += 2 * time.Second
		e.Step(Reading{T: s.t, Raw: rawOf(s.rig, force)})
		if st := e.State(); !st.Seen || st.TripOK {
			t.Errorf("%s: read again: seen %v, trip %v", name, st.Seen, st.TripOK)
		}
	}
}

// A source that goes away for good under load: the alarm stands in the last
// state, and the outcome is still told as what was seen.
func TestLostThenEnd(t *testing.T) {
	for name, tc := range map[string]struct {
		kind  Kind
		do    func(s *script)
		want  Phase
		blind int
	}{
		"loading":       {Tension, func(s *script) {}, Ended, 1},
		"past the peak": {Tension, func(s *script) { s.ramp(time.Second, 30, 27).hold(8*time.Second, 27) }, Ended, 1},
		"crush":         {Crush, func(s *script) {}, Ended, 1},
		"proof":         {Proof, func(s *script) { s.hold(5*time.Second, 30) }, Ended, 1},
		"again after a let-off": {Tension, func(s *script) {
			s.ramp(time.Second, 30, 0).hold(2*time.Second, 0).pump(4, 0, 3)
		}, Ended, 1},
		"acknowledged before":      {Tension, func(s *script) { s.mark(Lost).mark(Ack) }, Ended, 1},
		"in the middle of a snap":  {Tension, func(s *script) { s.ramp(6*time.Millisecond, 30, 12) }, Broken, 1},
		"half way down slowly":     {Tension, func(s *script) { s.ramp(time.Second, 30, 12) }, Unclear, 1},
		"after a break":            {Tension, func(s *script) { s.ramp(6*time.Millisecond, 30, 0).hold(3*time.Second, 0) }, Broken, 0},
		"after a let-off, no load": {Tension, func(s *script) { s.ramp(time.Second, 30, 0).hold(3*time.Second, 0) }, LetOff, 0},
	} {
		s := newScript(loopRig(), 1000, 0.03)
		s.hold(3*time.Second, 0).pump(10, 0, 3)
		tc.do(s)
		s.mark(Lost).mark(End)
		e, _ := run(t, Config{Kind: tc.kind, Rig: s.rig}, s.out)
		st := e.State()
		if st.Outcome != tc.want || len(st.Alarms) != tc.blind || (tc.blind > 0 && (!st.Alarms[0].Blind || st.Alarms[0].Returned)) || st.TripOK || st.Seen {
			t.Errorf("%s: outcome %q, alarms %+v, trip %v, seen %v", name, st.Outcome, st.Alarms, st.TripOK, st.Seen)
		}
	}
}
