package pull

import (
	"math"
	"reflect"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// A pull with everything in it: faults, marks, a spike, alarms, a slip, a break.
func fullScript(rate float64) *script {
	s := newScript(loopRig(), rate, 0.03)
	s.hold(3*time.Second, 0.3).pump(8, 0.3, 3).raws(rawOpen, math.NaN(), rawOf(s.rig, 60)).pump(4, 24, 3)
	s.mark(Bad).mark(Reset).pump(2, 36, 3).mark(Ack)
	s.ramp(10*time.Millisecond, 42, 5).hold(time.Second, 5).pump(13, 5, 3).mark(Silent)
	s.t += time.Second
	s.mark(Back).pump(2, 44, 3).mark(Ack).ramp(15*time.Millisecond, 50, 0).hold(4*time.Second, 0.35).mark(Ack).mark(End)
	return s
}

// Chunking is unknown to the engine; the same readings give the same state and
// the same events, to the bit.
func TestDeterministic(t *testing.T) {
	s := fullScript(500)
	cfg := Config{Kind: Tension, Rig: s.rig, Area: si.Area(1e-4)}
	a, evA := run(t, cfg, s.out)
	b := New(cfg)
	var evB []Event
	for _, r := range s.out {
		evB = append(evB, b.Step(r)...)
		_ = b.State() // looking does not change anything
	}
	if d := cmp.Diff(a.State().Clone(), b.State().Clone()); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(evA, evB); d != "" {
		t.Error(d)
	}
	if st := a.State(); st.Outcome != Broken || st.Slips != 1 || st.BadLines != 1 || !st.Zero.HasReturn {
		t.Errorf("outcome %q, slips %d, bad lines %d, zero %+v", st.Outcome, st.Slips, st.BadLines, st.Zero)
	}
}

// Where time zero lies changes nothing but the times.
func TestTimeShift(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := rapid.SampledFrom([]float64{10, 100, 333}).Draw(t, "rate")
		shift := time.Duration(rapid.Int64Range(0, int64(100*time.Hour)).Draw(t, "shift"))
		s := fullScript(rate)
		cfg := Config{Kind: Tension, Rig: s.rig}
		a, b := New(cfg), New(cfg)
		for _, r := range s.out {
			evA := len(a.Step(r))
			r.T += shift
			if evB := len(b.Step(r)); evA != evB {
				t.Fatalf("at %v: %d events, shifted %d", r.T-shift, evA, evB)
			}
		}
		sa, sb := a.State().Clone(), b.State().Clone()
		shiftTimes(reflect.ValueOf(&sb).Elem(), -shift)
		if d := cmp.Diff(sa, sb); d != "" {
			t.Fatal(d)
		}
	})
}

// shiftTimes moves every moment in a state; spans of time stay.
func shiftTimes(v reflect.Value, by time.Duration) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			name := v.Type().Field(i).Name
			if f := v.Field(i); f.Type() == reflect.TypeFor[time.Duration]() {
				if name == "T" || name == "Raised" || name == "LoadedAt" && f.Int() != 0 {
					f.SetInt(f.Int() + int64(by))
				}
				continue
			}
			shiftTimes(v.Field(i), by)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			shiftTimes(v.Elem(), by)
		}
	case reflect.Slice:
		for i := range v.Len() {
			shiftTimes(v.Index(i), by)
		}
	}
}

// drawReading makes any reading, sane or not.
func drawReading(t *rapid.T, now *time.Duration) Reading {
	*now += time.Duration(rapid.SampledFrom([]int64{0, 1e3, 1e6, 1e7, 1e8, 4e8, 6e8, 3e9, -1e9}).Draw(t, "dt"))
	r := Reading{T: *now}
	switch rapid.IntRange(0, 19).Draw(t, "what") {
	case 0:
		r.Mark = Mark(rapid.IntRange(1, 12).Draw(t, "mark"))
		r.Count = rapid.IntRange(-1, 5).Draw(t, "count")
	case 1:
		r.Raw = rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, -1e300, 1e15, 0, 4095, 5000, -1}).Draw(t, "wild")
	default:
		r.Raw = rapid.Float64Range(800, 2600).Draw(t, "raw") // −7 to +381 bar, to over 79 kN
	}
	return r
}

// Of any sequence of readings: the drag hand never falls and only valid readings
// move it; every valid reading at or over a limit raises a stop; no NaN and no
// infinity gets into the state; the events and the state tell the same.
func TestAnyReadings(t *testing.T) {
	r := loopRig()
	chain := r.Chain()
	rapid.Check(t, func(t *rapid.T) {
		e := New(Config{Kind: rapid.SampledFrom([]Kind{Tension, Crush, Proof}).Draw(t, "kind"), Rig: r, Area: si.Area(1e-4)})
		s := newScript(r, 100, 0.03)
		if rapid.Bool().Draw(t, "begins well") {
			s.hold(3*time.Second, 0).pump(rapid.IntRange(0, 6).Draw(t, "strokes"), 0, 3)
		}
		told := newMirror()
		for _, rd := range s.out {
			told.take(e.Step(rd))
		}
		now := s.t
		before := e.State().Clone()
		for range rapid.IntRange(1, 120).Draw(t, "n") {
			rd := drawReading(t, &now)
			told.take(e.Step(rd))
			st := e.State()
			if st.Peak.Gauge < before.Peak.Gauge && before.Zero.Set {
				t.Fatalf("the drag hand fell from %v to %v", before.Peak, st.Peak)
			}
			_, sig := chain.Pressure(rd.Raw)
			if (rd.Mark != NoMark || sig != rig.OK) && rd.Mark != TakeZero && (st.Peak != before.Peak || st.PeakRaw != before.PeakRaw) {
				t.Fatalf("%+v moved the drag hand", rd)
			}
			if rd.Mark == NoMark && sig == rig.OK {
				for _, b := range r.Bounds() {
					p, abs := st.Live.Gauge, st.Live.Gauge+st.Zero.Pressure
					if b.Ratio(p, abs) >= 1+1e-12 && !hasStop(st, b.Limit.Name) {
						t.Fatalf("%s at %v has no stop", b.Limit.Name, b.Ratio(p, abs))
					}
				}
			}
			noNaN(t, reflect.ValueOf(st))
			told.agree(t, st)
			before = st.Clone()
		}
	})
}

func hasStop(s State, part string) bool {
	for _, a := range s.Alarms {
		if a.Limit == part && a.Level == Stop && !a.Returned {
			return true
		}
	}
	return false
}

func noNaN(t *rapid.T, v reflect.Value) {
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); f-f != 0 {
			t.Fatalf("%v in the state", f)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			noNaN(t, v.Field(i))
		}
	case reflect.Pointer:
		if !v.IsNil() {
			noNaN(t, v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			noNaN(t, v.Index(i))
		}
	}
}

// mirror is what somebody knows who only heard the events.
type mirror struct {
	phase  Phase
	broke  bool
	slips  int
	lost   bool
	alarms map[[2]any]Alarm
}

func newMirror() *mirror { return &mirror{phase: Slack, alarms: map[[2]any]Alarm{}} }

func (m *mirror) take(evs []Event) {
	for _, ev := range evs {
		switch ev.Kind {
		case EvPhase:
			m.phase = ev.Phase
		case EvBreak:
			m.broke = true
		case EvWithdrawn:
			m.broke = false
		case EvSlip:
			m.slips++
			m.broke = false
		case EvLost:
			m.lost = true
		case EvBack:
			m.lost = false
		case EvAlarm:
			m.alarms[[2]any{ev.Alarm.Limit, ev.Alarm.Level}] = ev.Alarm
		}
	}
}

// fataler is a test, or one draw of a property.
type fataler interface{ Fatalf(string, ...any) }

func (m *mirror) agree(t fataler, st State) {
	worst, trip := Quiet, !m.lost
	open := 0
	for k, a := range m.alarms {
		if !a.Returned {
			worst = max(worst, a.Level)
		}
		if a.Returned && a.Acked {
			delete(m.alarms, k)
			continue
		}
		open++
		if a.Level == Stop && !a.Single {
			trip = false
		}
	}
	if m.phase != st.Phase || m.broke != (st.Break != nil) || m.slips != st.Slips || worst != st.Worst || trip != st.TripOK ||
		(open == 0) != (len(st.Alarms) == 0) {
		t.Fatalf("the events say phase %v, broke %v, %d slips, worst %v, trip %v, %d alarms; the state %+v",
			m.phase, m.broke, m.slips, worst, trip, open, st)
	}
	for _, a := range st.Alarms {
		if told := m.alarms[[2]any{a.Limit, a.Level}]; told != a {
			t.Fatalf("told %+v, listed %+v", told, a)
		}
	}
}

// Faults and marks between the readings do not change where the drag hand ends.
func TestFaultsNeverMoveTheDragHand(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := newScript(loopRig(), 200, 0.05)
		s.hold(3*time.Second, 0).pump(4, 0, 3)
		a, b := New(Config{Rig: s.rig}), New(Config{Rig: s.rig})
		for i, r := range s.out {
			a.Step(r)
			b.Step(r)
			if i > 500 && rapid.IntRange(0, 9).Draw(t, "fault?") == 0 {
				b.Step(Reading{T: r.T, Raw: rapid.SampledFrom([]float64{rawOpen, rawBelow, rawFull, 1e9, math.NaN()}).Draw(t, "fault")})
			}
		}
		sa, sb := a.State(), b.State()
		if sa.Peak != sb.Peak || sa.PeakRaw != sb.PeakRaw {
			t.Fatalf("%+v became %+v", sa.Peak, sb.Peak)
		}
	})
}

// A rig that does not hold together, or none, makes an engine that says nothing
// and does not fall over.
func TestNoRig(t *testing.T) {
	odd := loopRig()
	odd.Limits = append(odd.Limits, rig.Limit{Name: "nothing", Kind: rig.Rated, At: rig.AtRam}, rig.Limit{Name: "wild", Kind: rig.PressureLimit, At: rig.AtGauge, Pressure: si.Pressure(math.Inf(1)), Factor: 1})
	odd.Path.Share = math.NaN()
	odd.Alarm = rig.Alarm{Caution: math.NaN(), Stop: math.Inf(-1), LookAhead: math.Inf(1)}
	odd.Source.Rate = math.NaN()
	for name, r := range map[string]*rig.Rig{"nil": nil, "zero": {}, "odd": odd} {
		t.Run(name, func(t *testing.T) {
			nan := math.NaN()
			e := New(Config{Rig: r, Area: si.Area(math.Inf(1)), LastZero: &nan})
			for _, rd := range fullScript(100).out {
				e.Step(rd)
			}
			e.Step(Reading{T: math.MaxInt64, Raw: 1000})
			e.Step(Reading{T: math.MinInt64, Raw: 1000})
			rapid.Check(t, func(t *rapid.T) { noNaN(t, reflect.ValueOf(e.State())) })
			if st := e.State(); name != "odd" && (st.Faults != st.Readings || st.Peak != (Point{})) {
				t.Errorf("%+v", st)
			}
		})
	}
}

// A reading costs no memory, at any rate and in any phase; nor does a look.
func TestAllocations(t *testing.T) {
	for _, rate := range []float64{5, 1000, 50000} {
		for name, top := range map[string]float64{"slack": 0, "loading": 30, "under a warning": 45} {
			s := newScript(loopRig(), rate, 0.03)
			s.hold(3*time.Second, 0).ramp(3*time.Second, 0, top)
			e := New(Config{Kind: Tension, Rig: s.rig})
			for _, r := range s.out {
				e.Step(r)
			}
			raw, n := rawOf(s.rig, top), 0
			if got := testing.AllocsPerRun(2000, func() {
				n++
				e.Step(Reading{T: s.t, Raw: raw + float64(n&1)})
				s.t += s.dt()
				_ = e.State()
			}); got != 0 {
				t.Errorf("%s at %g Hz: %g allocations a reading", name, rate, got)
			}
		}
	}
}

// A run without a person may end 2 s after a break while the force stays under
// 10 % of the peak, at the end of the source, and at nothing else.
func TestDone(t *testing.T) {
	for name, tc := range map[string]struct {
		kind Kind
		do   func(s *script)
		want bool
	}{
		"broken, 1.9 s":         {Tension, func(s *script) { s.ramp(10*time.Millisecond, 30, 0).hold(1900*time.Millisecond, 0) }, false},
		"broken, 2.1 s":         {Tension, func(s *script) { s.ramp(10*time.Millisecond, 30, 0).hold(2100*time.Millisecond, 0) }, true},
		"broken, 12 % still on": {Tension, func(s *script) { s.ramp(10*time.Millisecond, 30, 3.6).hold(9*time.Second, 3.6) }, false},
		"let off for a minute":  {Tension, func(s *script) { s.ramp(time.Second, 30, 0).hold(time.Minute, 0) }, false},
		"crush let off":         {Crush, func(s *script) { s.ramp(time.Second, 30, 0).hold(3*time.Second, 0) }, true},
		"loading":               {Tension, func(s *script) { s.hold(9*time.Second, 30) }, false},
		"ended":                 {Tension, func(s *script) { s.mark(End) }, true},
		"crush falls at once":   {Crush, func(s *script) { s.ramp(10*time.Millisecond, 30, 0).hold(3*time.Second, 0) }, true},
	} {
		t.Run(name, func(t *testing.T) {
			s := newScript(loopRig(), 100, 0.03)
			s.hold(3*time.Second, 0).pump(10, 0, 3)
			tc.do(s)
			e, _ := run(t, Config{Kind: tc.kind, Rig: s.rig}, s.out)
			if got := e.Done(s.t); got != tc.want {
				t.Errorf("done %v, want %v: %+v", got, tc.want, e.State())
			}
		})
	}
	s := newScript(loopRig(), 100, 0.03)
	s.hold(3*time.Second, 0).pump(10, 0, 3).ramp(10*time.Millisecond, 30, 0).hold(time.Second, 0)
	e, _ := run(t, Config{Rig: s.rig}, s.out)
	if e.Done(s.t) || !e.Done(s.t+1100*time.Millisecond) {
		t.Error("the time since the break is that of the clock, readings or not")
	}
}
