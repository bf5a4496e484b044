package pull

import (
	"math"
	"testing"
	"time"
)

// restRun is a pull to 30 kN on the rig of all tests (link bars of 48 kN: nothing
// under 0.48 kN counts as a load there), and what comes after.
func restRun(kind Kind, rate, noise float64, after func(s *script)) *script {
	s := newScript(loopRig(), rate, noise)
	s.hold(3*time.Second, 0).pump(10, 0, 3)
	after(s)
	return s
}

// letGo lets 30 kN off within a second.
func (s *script) letGo() *script { return s.ramp(time.Second, 30, 0) }

// A run that nobody can end by hand ends after a let-off or an unclear end once the
// force has rested near the zero for a minute of readings, and at nothing else.
func TestRested(t *testing.T) {
	const minute = 60 * time.Second
	for name, tc := range map[string]struct {
		kind  Kind
		noise float64
		fast  bool // at 100 Hz alone: at 10 Hz so quick a fall is a break
		after func(s *script)
		want  bool
	}{
		"let off, 58 s":              {after: func(s *script) { s.letGo().hold(58*time.Second, 0) }},
		"let off, 62 s":              {after: func(s *script) { s.letGo().hold(62*time.Second, 0) }, want: true},
		"let off slowly, 62 s":       {after: func(s *script) { s.ramp(4*time.Second, 30, 0).hold(62*time.Second, 0) }, want: true},
		"unclear, a quick fall":      {fast: true, after: func(s *script) { s.hold(2*time.Second, 30).ramp(120*time.Millisecond, 30, 0).hold(62*time.Second, 0) }, want: true},
		"unclear, a slow fall":       {after: func(s *script) { s.ramp(40*time.Second, 30, 0).hold(62*time.Second, 0) }, want: true},
		"proof, unclear":             {kind: Proof, fast: true, after: func(s *script) { s.hold(7*time.Second, 30).ramp(120*time.Millisecond, 30, 0).hold(62*time.Second, 0) }, want: true},
		"unclear, fell out of sight": {after: func(s *script) { s.t += 3 * time.Second; s.hold(63*time.Second, 0) }, want: true},
		"a little is left":           {after: func(s *script) { s.ramp(time.Second, 30, 0.3).hold(62*time.Second, 0.3) }, want: true},
		"noise of 3 % of the peak":   {noise: 0.9, after: func(s *script) { s.letGo().hold(90*time.Second, 0) }, want: true},

		// Under load, however long.
		"loading":             {after: func(s *script) { s.hold(10*minute, 30) }},
		"half of it let off":  {after: func(s *script) { s.ramp(time.Second, 30, 15).hold(10*minute, 15) }},
		"stuck at 9 %":        {after: func(s *script) { s.ramp(time.Second, 30, 2.7).hold(10*minute, 2.7) }},
		"stuck at 2 %":        {after: func(s *script) { s.ramp(time.Second, 30, 0.6).hold(10*minute, 0.6) }},
		"far under the zero":  {after: func(s *script) { s.ramp(time.Second, 30, -1).hold(10*minute, -1) }},
		"nothing was ever on": {after: func(s *script) { s.out, s.t = nil, 0; s.hold(10*minute, 0) }},
		"rises, no load as yet": {after: func(s *script) {
			s.letGo()
			for range 8 {
				s.hold(15*time.Second, 0).ramp(25*time.Second, 0, 0.4).ramp(time.Second, 0.4, 0)
			}
		}},
		"slack is taken up":    {after: func(s *script) { s.letGo().hold(52*time.Second, 0).ramp(10*time.Second, 0.05, 0.4) }},
		"pumped again at 50 s": {after: func(s *script) { s.letGo().hold(50*time.Second, 0).pump(3, 0, 3).hold(10*minute, 9) }},
		"and let off again": {after: func(s *script) {
			s.letGo().hold(50*time.Second, 0).pump(8, 0, 3).ramp(time.Second, 24, 0).hold(58*time.Second, 0)
		}},
		"and that rests": {after: func(s *script) {
			s.letGo().hold(50*time.Second, 0).pump(8, 0, 3).ramp(time.Second, 24, 0).hold(62*time.Second, 0)
		}, want: true},
		"a stroke each 50 s": {after: func(s *script) {
			s.letGo()
			for range 12 {
				s.hold(50*time.Second, 0).pump(1, 0, 1)
			}
		}},
		"then broken": {after: func(s *script) {
			s.letGo().hold(50*time.Second, 0).pump(8, 0, 3).ramp(10*time.Millisecond, 24, 0).hold(2*minute, 0)
		}},

		// Ends that have a rule of their own.
		"broken":        {after: func(s *script) { s.ramp(10*time.Millisecond, 30, 0).hold(2*minute, 0) }},
		"crush let off": {kind: Crush, after: func(s *script) { s.letGo().hold(2*minute, 0) }},
		"proof let off": {kind: Proof, after: func(s *script) { s.hold(7*time.Second, 30).letGo().hold(2*minute, 0) }},

		// What is not seen does not rest.
		"lost on the way": {after: func(s *script) {
			s.letGo().hold(40*time.Second, 0).mark(Lost)
			s.t += 5 * time.Second
			s.mark(Back).hold(40*time.Second, 0)
		}},
		"and back for long": {after: func(s *script) {
			s.letGo().hold(40*time.Second, 0).mark(Lost)
			s.t += 5 * time.Second
			s.mark(Back).hold(62*time.Second, 0)
		}, want: true},
		"a hole in it":       {after: func(s *script) { s.letGo().hold(40*time.Second, 0); s.t += 20 * time.Second; s.hold(30*time.Second, 0) }},
		"silence to its end": {after: func(s *script) { s.letGo().hold(10*time.Second, 0); s.t += 10 * minute; s.raws(rawOf(s.rig, 0)) }},
		"a faulty one at times": {after: func(s *script) {
			s.letGo()
			for range 14 {
				s.hold(5*time.Second, 0).raws(math.NaN())
			}
		}, want: true},
		"a lone one at times": {after: func(s *script) {
			s.letGo()
			for range 14 {
				s.hold(5*time.Second, 0).raws(rawOf(s.rig, 20))
			}
			s.hold(time.Second, 0)
		}, want: true},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			noise := tc.noise
			if noise == 0 {
				noise = 0.03
			}
			for _, rate := range []float64{10, 100} {
				if tc.fast && rate < 100 {
					continue
				}
				s := restRun(tc.kind, rate, noise, tc.after)
				e := New(Config{Kind: tc.kind, Rig: s.rig})
				got := false
				for _, r := range s.out {
					e.Step(r)
					got = got || e.Rested() // a run would have ended there
				}
				if got != tc.want {
					t.Errorf("%g Hz: rested %v, want %v: outcome %q, force %v", rate, got, tc.want, e.State().Outcome, e.State().Live.Specimen)
				}
			}
		})
	}
}

// What comes in the same moment as the end of the rest takes it back.
func TestRestedNoMore(t *testing.T) {
	for name, then := range map[string]func(s *script){
		"loaded":  func(s *script) { s.pump(1, 0, 1) },
		"lost":    func(s *script) { s.mark(Lost) },
		"clipped": func(s *script) { s.raws(4095) },
		"end":     func(s *script) { s.mark(End) },
	} {
		s := restRun(Tension, 100, 0.03, func(s *script) { s.letGo().hold(62*time.Second, 0) })
		e, _ := run(t, Config{Rig: s.rig}, s.out)
		if !e.Rested() {
			t.Fatalf("%s: not rested to begin with", name)
		}
		s.out = nil
		then(s)
		for _, r := range s.out {
			e.Step(r)
		}
		if e.Rested() {
			t.Errorf("%s: still rested", name)
		}
	}
}

// Some seconds after such an end it is known that the run waits, and while it is
// loaded again that is not so.
func TestWaits(t *testing.T) {
	s := newScript(loopRig(), 100, 0.03)
	s.hold(3*time.Second, 0).pump(10, 0, 3).letGo()
	e := New(Config{Rig: s.rig})
	feed := func() {
		for _, r := range s.out {
			e.Step(r)
		}
		s.out = nil
	}
	for _, c := range []struct {
		name string
		next func()
		want bool
	}{
		{"at once", func() { s.hold(9*time.Second, 0) }, false},
		{"after 11 s", func() { s.hold(2*time.Second, 0) }, true},
		{"loaded again", func() { s.pump(3, 0, 3) }, false},
		{"let off again", func() { s.ramp(time.Second, 9, 0).hold(5*time.Second, 0) }, false},
		{"for 11 s", func() { s.hold(6*time.Second, 0) }, true},
		{"at the end of the readings", func() { s.mark(End) }, false},
	} {
		c.next()
		feed()
		if got := e.Waits(); got != c.want {
			t.Errorf("%s: waits %v, want %v (%q)", c.name, got, c.want, e.State().Phase)
		}
	}
}

// A source so slow that a stroke could lie between two readings needs longer.
func TestRestNeedsReadings(t *testing.T) {
	r := loopRig()
	r.Source.Rate = 0.2
	s := newScript(r, 0.2, 0.03)
	s.hold(60*time.Second, 0).hold(60*time.Second, 30).ramp(15*time.Second, 30, 0).hold(100*time.Second, 0)
	e, _ := run(t, Config{Rig: r}, s.out)
	if !e.open() || e.Rested() {
		t.Fatalf("rested %v after 20 readings, outcome %q", e.Rested(), e.State().Outcome)
	}
	n := len(s.out)
	s.hold(100*time.Second, 0)
	for _, x := range s.out[n:] {
		e.Step(x)
	}
	if !e.Rested() {
		t.Error("not rested after 40 readings in 200 s")
	}
}

// Of the open traces none would have been ended by rest while more was to come. With
// three minutes of the last force put behind them those end by it that had ended let
// off or unclear with next to nothing on, and no others.
func TestOpenTracesRest(t *testing.T) {
	n := map[string]int{}
	for _, o := range openTraces(t) {
		for _, kind := range []Kind{Tension, Crush, Proof} {
			e := New(Config{Kind: kind, Rig: o.openRig()})
			var at time.Duration
			var then Phase
			for i, v := range o.force {
				if e.Step(Reading{T: o.at[i], Raw: v}); at == 0 && e.Rested() {
					at, then = o.at[i], e.State().Outcome
				}
			}
			n["runs"]++
			if got := e.State().Outcome; at > 0 && got != then {
				t.Errorf("%s as %s: rested at %v as %q, and then %q", o.name(), kind, at, then, got)
			}
			if at > 0 {
				n["rested as stored"]++
			}
			last, end := o.force[len(o.force)-1], o.at[len(o.at)-1]
			rate := min(o.rate, 1000)
			for k := 1; float64(k)/rate < 180; k++ {
				e.Step(Reading{T: end + micros(float64(k)/rate), Raw: last})
			}
			off := math.Abs(e.above(e.level())) <= e.loadShare()
			if e.open() {
				n["let off or unclear"]++
			}
			if got, want := e.Rested(), e.open() && off; got != want {
				t.Errorf("%s as %s: rested %v, want %v: %q with %v on", o.name(), kind, got, want, e.State().Outcome, e.State().Live.Specimen)
			} else if got {
				n["rested in the end"]++
			}
		}
	}
	t.Logf("%v", n)
}
