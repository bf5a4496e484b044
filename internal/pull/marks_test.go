package pull

import (
	"maps"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// lives are scripts that end in every phase of a pull, and in the moments between.
var lives = map[string]struct {
	do   func(s *script)
	want Phase
}{
	"nothing read":     {func(s *script) {}, Slack},
	"slack, no zero":   {func(s *script) { s.hold(time.Second, 0) }, Slack},
	"slack":            {func(s *script) { s.hold(3*time.Second, 0) }, Slack},
	"slack, clipped":   {func(s *script) { s.hold(3*time.Second, 0).raw(time.Second, rawFull) }, Slack},
	"load begins":      {func(s *script) { s.hold(3*time.Second, 0).hold(200*time.Millisecond, 2) }, Slack},
	"loading":          {func(s *script) { loadUp(s) }, Loading},
	"loading, no zero": {func(s *script) { s.ramp(10*time.Second, 0, 30) }, Loading},
	"loading, blind":   {func(s *script) { loadUp(s).raw(time.Second, rawOpen) }, Loading},
	"over the limit":   {func(s *script) { loadUp(s).ramp(5*time.Second, 30, 50) }, Loading},
	"past the peak":    {func(s *script) { loadUp(s).ramp(time.Second, 30, 27).hold(8*time.Second, 27) }, PastPeak},
	"in a dropout":     {func(s *script) { loadUp(s).hold(2*s.dt(), 0) }, Loading},
	"after a dropout":  {func(s *script) { loadUp(s).hold(10*s.dt(), 0).hold(10*s.dt(), 30) }, Loading},
	"half way down":    {func(s *script) { loadUp(s).ramp(time.Second, 30, 12) }, Loading},
	"just broken":      {func(s *script) { loadUp(s).ramp(10*time.Millisecond, 30, 0).hold(50*time.Millisecond, 0) }, Broken},
	"broken":           {func(s *script) { loadUp(s).ramp(10*time.Millisecond, 30, 0).hold(3*time.Second, 0) }, Broken},
	"regaining": {func(s *script) {
		loadUp(s).ramp(10*time.Millisecond, 30, 1).hold(time.Second, 1).hold(100*time.Millisecond, 8)
	}, Broken},
	"let off": {func(s *script) { loadUp(s).ramp(time.Second, 30, 0).hold(3*time.Second, 0) }, LetOff},
	"unclear": {func(s *script) {
		loadUp(s).hold(3*time.Second, 30).ramp(100*time.Millisecond, 30, 0).hold(time.Second, 0)
	}, Unclear},
	"ended in slack":   {func(s *script) { s.hold(3*time.Second, 0).mark(End) }, Ended},
	"ended":            {func(s *script) { loadUp(s).mark(End) }, Ended},
	"broken and ended": {func(s *script) { loadUp(s).ramp(10*time.Millisecond, 30, 0).hold(time.Second, 0).mark(End) }, Broken},
}

func loadUp(s *script) *script { return s.hold(3*time.Second, 0).pump(10, 0, 3) }

// Every mark, and every pair of them, in every phase: the drag hand stays, only the
// end changes the phase, the events and the state tell the same, nobody sees a
// force that is away, and the same again gives the same.
func TestEveryMarkInEveryPhase(t *testing.T) {
	const marks = End + 2 // one that is none
	for name, life := range lives {
		s := newScript(loopRig(), 100, 0.03)
		life.do(s)
		n := len(s.out)
		hearer := newMirror()
		begun := New(Config{Kind: Tension, Rig: s.rig})
		for _, r := range s.out {
			hearer.take(begun.Step(r))
		}
		before := begun.State().Clone()
		if before.Phase != life.want {
			t.Fatalf("%s: phase %v, want %v", name, before.Phase, life.want)
		}
		for first := Bad; first <= marks; first++ {
			for second := NoMark; second <= marks; second++ {
				s.out = append(s.out[:n:n], Reading{T: s.t, Mark: first})
				if second != NoMark {
					s.mark(second)
				}
				e, told := twin(begun), *hearer
				told.alarms = maps.Clone(hearer.alarms)
				gone := false
				for _, r := range s.out[n:] {
					told.take(e.Step(r))
					st := e.State()
					told.agree(t, st)
					if st.Peak != before.Peak && r.Mark != TakeZero {
						t.Errorf("%s, %v %v: the drag hand moved", name, first, second)
					}
					if ended := first == End || second == End; st.Phase != before.Phase && !ended {
						t.Errorf("%s, %v %v: phase %v", name, first, second, st.Phase)
					}
					gone = gone || r.Mark == Lost || r.Mark == Silent
					if gone && (st.Seen || st.TripOK) {
						t.Errorf("%s, %v %v: seen %v, trip %v", name, first, second, st.Seen, st.TripOK)
					}
					if r.Mark == End && st.Outcome == "" {
						t.Errorf("%s, %v %v: no outcome after the end", name, first, second)
					}
				}
				loaded := before.Live.Specimen > 5e3 && before.Seen && before.Outcome == ""
				if listed := blindListed(e.State()); gone && loaded && !listed {
					t.Errorf("%s, %v %v: no alarm", name, first, second)
				}
				if second == NoMark {
					again, _ := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
					if d := cmp.Diff(e.State().Clone(), again.State().Clone()); d != "" {
						t.Errorf("%s, %v %v: replayed %s", name, first, second, d)
					}
				}
				// Life goes on: whatever comes, the two tell the same.
				for i := range 100 {
					told.take(e.Step(Reading{T: s.t + time.Duration(i)*s.dt(), Raw: rawOf(s.rig, 1) + float64(i&1)}))
				}
				told.agree(t, e.State())
				if st := e.State(); !st.Seen {
					t.Errorf("%s, %v %v: not seen after 1 s of readings", name, first, second)
				}
			}
		}
	}
}

// twin is an engine that goes on from where another one is.
func twin(e *Engine) *Engine {
	c := *e
	c.limits = slices.Clone(e.limits)
	c.events, c.outLimits, c.outAlarms = nil, nil, nil
	return &c
}

func blindListed(st State) bool {
	for _, a := range st.Alarms {
		if a.Blind {
			return true
		}
	}
	return false
}

// An acknowledged alarm does not swallow a worse one or another one.
func TestAlarmsAfterAck(t *testing.T) {
	bar := func(kN float64) float64 { return rawOf(oneBar(), kN) }
	for name, tc := range map[string]struct {
		do   func(s *script)
		ack  string // the worst that is acknowledged
		then func(s *script)
		want string // what must be told, not acknowledged
	}{
		"caution, then warning": {
			func(s *script) { s.ramp(5*time.Second, 0, 37) }, "caution",
			func(s *script) { s.ramp(time.Second, 37, 44) }, "warning:",
		},
		"warning, then stop": {
			func(s *script) { s.ramp(5*time.Second, 0, 44) }, "warning",
			func(s *script) { s.ramp(time.Second, 44, 48.5) }, "STOP:",
		},
		"single stop, then confirmed": {
			func(s *script) { s.ramp(5*time.Second, 0, 20).raws(bar(49)) }, "stop",
			func(s *script) { s.raws(bar(49)) }, "STOP:",
		},
		"stop, returned and gone, then stop": {
			func(s *script) { s.ramp(5*time.Second, 0, 48.5) }, "stop",
			func(s *script) { s.ramp(time.Second, 48.5, 5).hold(time.Second, 5).ramp(time.Second, 5, 48.5) }, "STOP:",
		},
		"stop, then blind": {
			func(s *script) { s.ramp(5*time.Second, 0, 48.5) }, "stop",
			func(s *script) { s.mark(Lost) }, "cannot see the force",
		},
		"blind, then stop": {
			func(s *script) { s.ramp(5*time.Second, 0, 20).mark(Lost) }, "stop",
			func(s *script) { s.mark(Back).raws(bar(49), bar(49)) }, "STOP:",
		},
		"blind, returned and gone, then blind": {
			func(s *script) { s.ramp(5*time.Second, 0, 20).mark(Lost) }, "stop",
			func(s *script) { s.mark(Back).hold(time.Second, 20).mark(Lost) }, "cannot see the force",
		},
	} {
		s := newScript(oneBar(), 1000, 0)
		s.hold(3*time.Second, 0)
		tc.do(s)
		s.mark(Ack)
		e, _ := run(t, Config{Kind: Tension, Rig: s.rig}, s.out)
		if st := e.State(); len(st.Alarms) == 0 || !st.Alarms[0].Acked || st.Alarms[0].Level.String() != tc.ack {
			t.Fatalf("%s: %+v", name, st.Alarms)
		}
		n := len(s.out)
		tc.then(s)
		told := false
		for _, ev := range eventsOf(stepFrom(e, s, n), EvAlarm) {
			told = told || (strings.HasPrefix(ev.Text, tc.want) && !ev.Alarm.Acked && !ev.Alarm.Returned)
		}
		open := false
		for _, a := range e.State().Alarms {
			open = open || (strings.HasPrefix(a.Text, tc.want) && !a.Acked && !a.Returned)
		}
		if !told || !open {
			t.Errorf("%s: told %v, listed %v: %+v", name, told, open, e.State().Alarms)
		}
	}
}
