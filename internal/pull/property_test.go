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

// Properties that hold for any sequence of readings and marks. The sequences are
// built of what rigs do (pumping, breaks, slips, spikes, gaps, faults, any mark)
// and of what none does (times that go backwards, numbers that are none), so that
// they reach every phase and still leave no rule of order unbroken.

// drawSequence makes such a sequence at a random rate, from 1 ms on.
func drawSequence(t *rapid.T, r *rig.Rig) []Reading {
	s := newScript(r, rapid.SampledFrom([]float64{5, 20, 100, 250}).Draw(t, "rate"), rapid.SampledFrom([]float64{0, 0.03, 0.3, 3}).Draw(t, "noise"))
	s.t = time.Millisecond
	if rapid.Bool().Draw(t, "begins well") {
		s.hold(2500*time.Millisecond, 0)
	}
	level := 0.0
	for range rapid.IntRange(1, 14).Draw(t, "parts") {
		to := rapid.Float64Range(-5, 60).Draw(t, "to") // kN; 48 is the limit
		switch rapid.IntRange(0, 11).Draw(t, "part") {
		case 0:
			s.hold(time.Duration(rapid.IntRange(1, 6000).Draw(t, "ms"))*time.Millisecond, level)
			continue
		case 1, 2:
			n := rapid.IntRange(1, 4).Draw(t, "strokes")
			s.pump(n, level, (to-level)/float64(n))
		case 3:
			s.ramp(time.Duration(rapid.IntRange(1, 60).Draw(t, "ms"))*time.Millisecond, level, to)
		case 4:
			s.ramp(time.Duration(rapid.IntRange(60, 3000).Draw(t, "ms"))*time.Millisecond, level, to)
		case 5: // a break
			s.ramp(15*time.Millisecond, level, 0).hold(time.Duration(rapid.IntRange(1, 3000).Draw(t, "ms"))*time.Millisecond, 0)
			to = 0
		case 6: // lone, double or more
			for range rapid.IntRange(1, 3).Draw(t, "n") {
				s.raws(rawOf(r, to))
			}
			continue
		case 7:
			wild := rapid.SampledFrom([]float64{math.NaN(), math.Inf(1), math.Inf(-1), math.MaxFloat64, -math.MaxFloat64, 1e15, 0, 4095, 5000, -1, math.SmallestNonzeroFloat64}).Draw(t, "wild")
			for range rapid.IntRange(1, 40).Draw(t, "n") {
				s.raws(wild)
			}
			continue
		case 8:
			for range rapid.IntRange(1, 3).Draw(t, "n") {
				s.out = append(s.out, Reading{T: s.t, Mark: Mark(rapid.IntRange(1, 12).Draw(t, "mark")), Count: rapid.IntRange(-1, 5).Draw(t, "count")})
			}
			continue
		case 9: // a gap
			s.t += time.Duration(rapid.Int64Range(0, int64(5*time.Second)).Draw(t, "gap"))
			continue
		case 10: // the clock stands or goes back
			back := time.Duration(rapid.Int64Range(0, int64(2*time.Second)).Draw(t, "back"))
			for range rapid.IntRange(1, 20).Draw(t, "n") {
				s.out = append(s.out, Reading{T: max(s.t-back, time.Millisecond), Raw: rawOf(r, level)})
			}
			continue
		case 11:
			s.mark(Ack)
			continue
		}
		level = to
	}
	if rapid.Bool().Draw(t, "end") {
		s.mark(End)
	}
	return s.out
}

func drawConfig(t *rapid.T, r *rig.Rig) Config {
	cfg := Config{
		Kind: rapid.SampledFrom([]Kind{Tension, Crush, Proof}).Draw(t, "kind"),
		Rig:  r, Area: rapid.SampledFrom([]si.Area{0, 1e-4}).Draw(t, "area"),
	}
	if rapid.Bool().Draw(t, "last zero known") {
		zero := rapid.SampledFrom([]float64{rawOf(r, 0), rawOf(r, 0) + 5, 0, math.NaN()}).Draw(t, "last zero")
		cfg.LastZero = &zero
	}
	return cfg
}

// At every reading of any sequence: the drag hand never falls but with a new zero,
// and no gap, fault or mark moves it; a stop stands for every valid reading at or
// over a limit; no NaN and no infinity is in the state; what is told is told in
// the order of time.
func TestAtEveryReading(t *testing.T) {
	r := loopRig()
	chain, bounds := r.Chain(), r.Bounds()
	rapid.Check(t, func(t *rapid.T) {
		e := New(drawConfig(t, r))
		var before State
		var heard time.Duration
		for n, rd := range drawSequence(t, r) {
			zeroed := false
			for _, ev := range e.Step(rd) {
				zeroed = zeroed || ev.Kind == EvZero
				noNaN(t, reflect.ValueOf(ev))
				switch {
				case ev.Kind == EvBreak:
					// It began before it was known to be one.
					if ev.T < 0 || ev.T > e.t {
						t.Fatalf("%d: a break of %v told at %v", n, ev.T, e.t)
					}
				case ev.T < heard:
					t.Fatalf("%d: %+v told after something of %v", n, ev, heard)
				default:
					heard = ev.T
				}
			}
			st := e.State()
			_, sig := chain.Pressure(rd.Raw)
			valid := rd.Mark == NoMark && sig == rig.OK
			if n > 0 && !zeroed && (st.Peak.Gauge < before.Peak.Gauge || st.PeakRaw.Gauge < before.PeakRaw.Gauge) {
				t.Fatalf("%d: the drag hand fell from %v to %v, the raw one from %v to %v", n, before.Peak, st.Peak, before.PeakRaw, st.PeakRaw)
			}
			if n > 0 && !valid && !zeroed && (st.Peak != before.Peak || st.PeakRaw != before.PeakRaw) {
				t.Fatalf("%d: %+v moved the drag hand", n, rd)
			}
			if valid {
				for _, b := range bounds {
					p := st.Live.Gauge
					if b.Ratio(p, p+st.Zero.Pressure) >= r.Alarm.Stop+1e-12 && !hasStop(st, b.Limit.Name) {
						t.Fatalf("%d: %s at %v of its limit has no stop", n, b.Limit.Name, b.Ratio(p, p+st.Zero.Pressure))
					}
				}
			}
			if st.T < before.T || st.Readings < before.Readings || st.Faults < before.Faults || st.Gaps < before.Gaps || st.BadLines < before.BadLines {
				t.Fatalf("%d: a count or the time went back: %+v, then %+v", n, before, st)
			}
			noNaN(t, reflect.ValueOf(st))
			before = st.Clone()
		}
	})
}

// alarmKey is one place of an alarm.
type alarmKey struct {
	part         string
	level        Level
	ahead, blind bool
}

// The life of every alarm is legal: raised first, and then acknowledged and
// returned in any order, each once; raised anew only when it had returned, when it
// turned from a single reading into a stop, or when it had been acknowledged and
// got worse. A stop returns after 0.5 s under 0.97 of its level and not before. The
// list in the state is what was told.
func TestAlarmLifeIsLegal(t *testing.T) {
	r := loopRig()
	chain, bounds := r.Chain(), r.Bounds()
	r.Alarm.LookAhead = 3
	rapid.Check(t, func(t *rapid.T) {
		e := New(drawConfig(t, r))
		open := map[alarmKey]Alarm{}
		high := map[string]time.Duration{} // when a part was last at 0.97 of its stop
		for n, rd := range drawSequence(t, r) {
			evs := e.Step(rd)
			if _, sig := chain.Pressure(rd.Raw); rd.Mark == NoMark && sig == rig.OK {
				st := e.State()
				for _, b := range bounds {
					if p := st.Live.Gauge; b.Ratio(p, p+st.Zero.Pressure) >= alarmReturn*r.Alarm.Stop {
						high[b.Limit.Name] = st.T
					}
				}
			}
			for _, ev := range evs {
				if ev.Kind != EvAlarm {
					continue
				}
				a := ev.Alarm
				key := alarmKey{a.Limit, a.Level, a.Ahead, a.Blind}
				was, known := open[key]
				bad := ""
				switch {
				case a.Level < Caution || a.Level > Stop || a.Text == "" || a.Text != ev.Text || a.Raised > ev.T:
					bad = "it does not say what it is"
				case a.Returned && a.Acked && !known, a.Returned && !known, a.Acked && !known:
					bad = "it was never raised"
				case a.Returned && !was.Returned:
					if a.Acked != was.Acked || a.Raised != was.Raised {
						bad = "it did more than return"
					} else if a.Level == Stop && !a.Blind && ev.T-high[a.Limit] < alarmQuiet {
						bad = "it returned too early"
					}
				case a.Acked && !was.Acked:
					if a.Returned != was.Returned || a.Raised != was.Raised {
						bad = "it did more than be acknowledged"
					}
				case a.Returned || a.Acked:
					bad = "told again"
				case !known, was.Returned:
				case was.Single && !a.Single:
				case was.Acked && a.Level == Stop:
				case a.Blind && a.Text != was.Text:
				default:
					bad = "raised while it stood"
				}
				if bad != "" {
					t.Fatalf("%d: %s: %+v after %+v", n, bad, a, was)
				}
				if a.Returned && a.Acked {
					delete(open, key)
				} else {
					open[key] = a
				}
			}
			st := e.State()
			for _, a := range st.Alarms {
				if told := open[alarmKey{a.Limit, a.Level, a.Ahead, a.Blind}]; told != a {
					t.Fatalf("%d: listed %+v, told %+v", n, a, told)
				}
			}
			if (len(st.Alarms) > 0) != (len(open) > 0) {
				t.Fatalf("%d: %d alarms listed, told and open %v", n, len(st.Alarms), open)
			}
		}
	})
}

// Looking changes nothing, at whatever moments somebody looks: a chunk of
// readings at once is the same as one by one with a look at each.
func TestChunksAndLooks(t *testing.T) {
	r := loopRig()
	rapid.Check(t, func(t *rapid.T) {
		cfg := drawConfig(t, r)
		rs := drawSequence(t, r)
		live, replay := New(cfg), New(cfg)
		var told, again []Event
		for i := 0; i < len(rs); {
			end := min(len(rs), i+rapid.IntRange(1, 400).Draw(t, "chunk"))
			look := rapid.Bool().Draw(t, "look")
			for _, rd := range rs[i:end] {
				told = append(told, live.Step(rd)...)
				if look {
					kept := live.State().Clone()
					live.Live()
					live.Done(live.t + time.Second)
					if d := cmp.Diff(kept, live.State()); d != "" {
						t.Fatalf("looking changed it: %s", d)
					}
				}
			}
			i = end
		}
		for _, rd := range rs {
			again = append(again, replay.Step(rd)...)
		}
		same(t, live.State().Clone(), replay.State().Clone(), told, again)
	})
}

// Where time zero lies changes the times and nothing else.
func TestAnyTimeShift(t *testing.T) {
	r := loopRig()
	rapid.Check(t, func(t *rapid.T) {
		cfg := drawConfig(t, r)
		shift := time.Duration(rapid.Int64Range(0, int64(1000*time.Hour)).Draw(t, "shift"))
		a, b := New(cfg), New(cfg)
		var told, again []Event
		for _, rd := range drawSequence(t, r) {
			told = append(told, a.Step(rd)...)
			rd.T += shift
			again = append(again, b.Step(rd)...)
		}
		for i := range again {
			back(reflect.ValueOf(&again[i]).Elem(), shift)
		}
		sb := b.State().Clone()
		back(reflect.ValueOf(&sb).Elem(), shift)
		same(t, a.State().Clone(), sb, told, again)
	})
}

// back takes a shift off every moment of a value; a moment of 0 is none, and
// spans of time stay.
func back(v reflect.Value, shift time.Duration) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			f := v.Field(i)
			switch v.Type().Field(i).Name {
			case "T", "Raised", "LoadedAt", "From":
				if f.Int() != 0 {
					f.SetInt(f.Int() - int64(shift))
				}
			default:
				back(f, shift)
			}
		}
	case reflect.Pointer:
		if !v.IsNil() {
			back(v.Elem(), shift)
		}
	case reflect.Slice:
		for i := range v.Len() {
			back(v.Index(i), shift)
		}
	}
}

func same(t *rapid.T, a, b State, told, again []Event) {
	t.Helper()
	if d := cmp.Diff(a, b); d != "" {
		t.Fatalf("the states differ: %s", d)
	}
	if !reflect.DeepEqual(told, again) {
		t.Fatalf("told otherwise: %s", cmp.Diff(told, again))
	}
}
