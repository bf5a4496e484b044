package pull

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"
)

// Raw numbers of the loop rig outside its bands (NAMUR NE 43 as in rig): counts of
// 5 V over 4096 behind 250 Ω.
const (
	rawOpen  = 0    // 0 mA
	rawBelow = 758  // 3.7 mA
	rawFull  = 4095 // converter full, 20 mA
)

// Everything that hides the force under load is told in the same words; the drag
// hand does not move by any of it.
func TestCannotSeeTheForce(t *testing.T) {
	for name, tc := range map[string]struct {
		noise float64
		do    func(s *script)
		why   string // "" for no alarm
	}{
		"open circuit for 0.6 s": {0.03, func(s *script) { s.raw(600*time.Millisecond, rawOpen) }, "open circuit"},
		"open circuit for 0.4 s": {0.03, func(s *script) { s.raw(400*time.Millisecond, rawOpen) }, ""},
		"between the bands":      {0.03, func(s *script) { s.raw(600*time.Millisecond, rawBelow) }, "below range"},
		"not a number":           {0.03, func(s *script) { s.raw(600*time.Millisecond, math.NaN()) }, "not a number"},
		"one clipped reading":    {0.03, func(s *script) { s.raw(s.dt(), rawFull) }, "above its range"},
		"unplugged":              {0.03, func(s *script) { s.mark(Lost) }, "went away"},
		"silent": {0.03, func(s *script) {
			s.t += 500 * time.Millisecond
			s.mark(Silent)
		}, "says nothing"},
		"a hole nobody told of": {0.03, func(s *script) { s.t += 700 * time.Millisecond }, "no valid reading for 0.7 s"},
		"only unreadable lines": {0.03, func(s *script) {
			for range 7 {
				s.t += 100 * time.Millisecond
				s.mark(Bad)
			}
		}, "no readings for 0.5 s"},
		"stuck":                    {0.1, func(s *script) { s.raw(time.Second, rawOf(s.rig, 30)) }, "stands still"},
		"still, of a quiet sensor": {0, func(s *script) { s.raw(10*time.Second, rawOf(s.rig, 30)) }, ""},
	} {
		t.Run(name, func(t *testing.T) {
			s := newScript(loopRig(), 1000, tc.noise)
			s.hold(3*time.Second, 0).pump(10, 0, 3)
			e, _ := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
			before := e.State().Clone()
			n := len(s.out)
			tc.do(s)
			var evs []Event
			for _, r := range s.out[n:] {
				evs = append(evs, e.Step(r)...)
			}
			if name == "a hole nobody told of" {
				evs = append(evs, e.Step(Reading{T: s.t, Raw: rawOf(s.rig, 29.9)})...)
			}
			st := e.State()
			if st.Peak != before.Peak && name != "stuck" && name != "still, of a quiet sensor" {
				t.Errorf("the drag hand moved from %+v to %+v", before.Peak, st.Peak)
			}
			if tc.why == "" {
				if len(st.Alarms) != 0 || !st.TripOK {
					t.Errorf("alarms %+v, trip %v", st.Alarms, st.TripOK)
				}
				return
			}
			if len(st.Alarms) != 1 || !st.Alarms[0].Blind || st.Alarms[0].Level != Stop || st.TripOK || st.Worst != Stop {
				t.Fatalf("alarms %+v, trip %v, worst %v", st.Alarms, st.TripOK, st.Worst)
			}
			text := st.Alarms[0].Text
			if !strings.HasPrefix(text, "cannot see the force: stop pumping") || !strings.Contains(text, tc.why) {
				t.Errorf("text %q, want the reason %q in it", text, tc.why)
			}
			if st.Gaps != before.Gaps+1 || len(eventsOf(evs, EvLost)) != 1 {
				t.Errorf("%d gaps, %d lost", st.Gaps, len(eventsOf(evs, EvLost)))
			}
			if st.Seen != (name == "a hole nobody told of") {
				t.Errorf("seen %v", st.Seen)
			}

			// Readings return: 0.4 s are not enough, 0.5 s are.
			s.t += s.dt()
			n = len(s.out)
			s.noise = 0.1
			s.hold(400*time.Millisecond, 30)
			for _, r := range s.out[n:] {
				e.Step(r)
			}
			if st := e.State(); st.Alarms[0].Returned || !st.Seen {
				t.Errorf("after 0.4 s: returned %v, seen %v", st.Alarms[0].Returned, st.Seen)
			}
			n = len(s.out)
			s.hold(150*time.Millisecond, 30)
			evs = evs[:0]
			for _, r := range s.out[n:] {
				evs = append(evs, e.Step(r)...)
			}
			if st := e.State(); !st.Alarms[0].Returned || st.TripOK || len(eventsOf(evs, EvBack)) != 1 {
				t.Errorf("after 0.55 s: returned %v, trip %v, %d back", st.Alarms[0].Returned, st.TripOK, len(eventsOf(evs, EvBack)))
			}
			e.Step(Reading{T: s.t, Mark: Ack})
			if st := e.State(); len(st.Alarms) != 0 || !st.TripOK {
				t.Errorf("acknowledged: alarms %v, trip %v", st.Alarms, st.TripOK)
			}
		})
	}
}

func (s *script) raw(d time.Duration, v float64) *script {
	for end := s.t + d; s.t < end; s.t += s.dt() {
		s.out = append(s.out, Reading{T: s.t, Raw: v})
	}
	return s
}

// Without load, lost readings are told and counted, and are no alarm; only a
// clipped sensor is one at any time.
func TestBlindInSlack(t *testing.T) {
	s := newScript(loopRig(), 100, 0.03)
	s.hold(3*time.Second, 0).mark(Lost)
	e, evs := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
	if st := e.State(); len(st.Alarms) != 0 || st.Gaps != 1 || st.Seen || st.TripOK || len(eventsOf(evs, EvLost)) != 1 {
		t.Errorf("lost in slack: %+v", st)
	}
	n := len(s.out)
	s.t += time.Second
	s.mark(Back).hold(time.Second, 0)
	for _, r := range s.out[n:] {
		e.Step(r)
	}
	if st := e.State(); !st.Seen || !st.TripOK {
		t.Errorf("back in slack: seen %v, trip %v", st.Seen, st.TripOK)
	}
	e.Step(Reading{T: s.t, Raw: rawFull})
	if st := e.State(); len(st.Alarms) != 1 || st.TripOK {
		t.Errorf("clipped in slack: %+v", st.Alarms)
	}
}

// A storm of changing faults makes one event a second, not one a reading.
func TestFaultStorm(t *testing.T) {
	s := newScript(loopRig(), 1000, 0.03)
	s.hold(3*time.Second, 0).pump(5, 0, 3)
	for range 2000 {
		s.raws(rawOpen, rawBelow, rawOf(s.rig, 15))
	}
	_, evs := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
	if n := len(eventsOf(evs, EvFault)); n < 5 || n > 7 {
		t.Errorf("%d fault events in 6 s", n)
	}
}

// A source slower than 2 Hz by its own rig file is not blind between readings.
func TestSlowSource(t *testing.T) {
	r := plainRig()
	r.Source.Rate = 1
	s := newScript(r, 1, 0)
	s.hold(5*time.Second, 0).ramp(60*time.Second, 0, 30)
	e, evs := run(t, Config{Kind: Tension, Rig: r}, s.out)
	if st := e.State(); st.Gaps != 0 || len(st.Alarms) != 0 || !slices.Equal(phasesOf(evs), []Phase{Loading}) {
		t.Errorf("gaps %d, alarms %v, phases %v", st.Gaps, st.Alarms, phasesOf(evs))
	}
}

// A board whose clock jumps at every line is told of once a second, and counted
// each time.
func TestResetsAreToldSparingly(t *testing.T) {
	e := New(Config{Kind: Tension, Rig: plainRig()})
	told, at := 0, time.Second
	for range 250 {
		at += 10 * time.Millisecond
		for _, ev := range e.Step(Reading{T: at, Mark: Reset}) {
			if ev.Kind == EvFault {
				told++
			}
		}
	}
	if told != 3 || e.State().Gaps < 250 {
		t.Errorf("told %d times in 2.5 s, %d gaps; want 3 and 250", told, e.State().Gaps)
	}
}
