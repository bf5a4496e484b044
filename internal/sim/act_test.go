package sim

import (
	"math"
	"slices"
	"testing"
	"time"

	"draghand/internal/si"
)

// happened are the events of a kind.
func happened(tr Truth, kind EventKind) []Event {
	var all []Event
	for _, e := range tr.Events {
		if e.Kind == kind {
			all = append(all, e)
		}
	}
	return all
}

// only is the one event of a kind.
func only(t *testing.T, tr Truth, kind EventKind) Event {
	t.Helper()
	all := happened(tr, kind)
	if len(all) != 1 {
		t.Fatalf("%d events %q, want one: %+v", len(all), kind, tr.Events)
	}
	return all[0]
}

// pulled is a scripted pull at 1 kHz, a reading a step, to 3 s past its end.
func pulled(t *testing.T, o Options) (Truth, []Sample) {
	t.Helper()
	o.Rate = 1000
	s := mustNew(t, o)
	tr := s.Truth()
	return tr, run(s, tr.EndAt+3*time.Second)
}

// force is the force on the specimen at a time.
func force(all []Sample, at time.Duration) float64 {
	return float64(all[min(len(all)-1, int(at/time.Millisecond))].TrueSpecimen)
}

func near(got, want, tol float64) bool { return math.Abs(got-want) <= tol }

// A let-off takes the time it is given from 90 to 10 % of its force, to two
// steps of the mechanics; the bar is whole and nothing is left at the end.
func TestLetOffTakesItsTime(t *testing.T) {
	for _, want := range []time.Duration{200 * time.Millisecond, time.Second, 5 * time.Second} {
		for seed := uint64(1); seed <= 8; seed++ {
			tr, all := pulled(t, Options{Seed: seed, Script: []Act{{Kind: LetOff, For: want, Share: 0.7}}})
			e := only(t, tr, EventKind(LetOff))
			if tr.Outcome != OutcomeLetOff || tr.BreakAt != 0 || e.Until != tr.EndAt || e.To != 0 {
				t.Fatalf("seed %d: outcome %s, broke at %s, let off until %s of %s to %s", seed, tr.Outcome, tr.BreakAt, e.Until, tr.EndAt, e.To)
			}
			if !near(float64(e.From/tr.Expected), 0.7, 0.01) {
				t.Errorf("seed %d: let off at %.3f of the strength", seed, float64(e.From/tr.Expected))
			}
			var t90, t10 time.Duration
			for _, smp := range all {
				if smp.T >= e.At && t90 == 0 && smp.TrueSpecimen < e.From*9/10 {
					t90 = smp.T
				}
				if smp.T >= e.At && t10 == 0 && smp.TrueSpecimen < e.From/10 {
					t10 = smp.T
				}
				if smp.Broken || smp.T > e.Until && smp.TrueSpecimen != 0 {
					t.Fatalf("seed %d at %s: broken %v, force %s", seed, smp.T, smp.Broken, smp.TrueSpecimen)
				}
			}
			if d := t10 - t90 - want; d < -2*time.Millisecond || d > 2*time.Millisecond {
				t.Errorf("seed %d: 90 to 10 %% in %s, want %s", seed, t10-t90, want)
			}
		}
	}
}

func TestLetOffAndPumpedAgain(t *testing.T) {
	tr, all := pulled(t, Options{Seed: 3, Fault: "let-off-again"})
	e := only(t, tr, EventKind(LetOff))
	if tr.Outcome != OutcomeBroken || tr.BreakAt < e.Until+3*time.Second {
		t.Fatalf("outcome %s at %s, let off until %s", tr.Outcome, tr.BreakAt, e.Until)
	}
	if f := force(all, e.Until+2900*time.Millisecond); f != 0 {
		t.Errorf("before pumping again there are %.0f N", f)
	}
	plain := mustNew(t, Options{Seed: 3}).Truth()
	if !near(float64(tr.PeakSpecimen), float64(plain.PeakSpecimen), 1e-3*float64(plain.PeakSpecimen)) {
		t.Errorf("peak %s, without the let-off %s", tr.PeakSpecimen, plain.PeakSpecimen)
	}
}

// A slip loses what it is given within its time, and pumping regains it.
func TestSlipsRegain(t *testing.T) {
	for _, size := range []float64{0.05, 0.2, 0.6} {
		tr, all := pulled(t, Options{Seed: 4, Script: []Act{{Kind: Slip, Share: 0.6, Size: size, For: 20 * time.Millisecond}}})
		e := only(t, tr, EventKind(Slip))
		if lost := 1 - float64(e.To/e.From); !near(lost, size, 1e-3) || e.Until-e.At != 20*time.Millisecond {
			t.Errorf("a slip of %g lost %.4f within %s", size, lost, e.Until-e.At)
		}
		if tr.Outcome != OutcomeBroken || tr.PeakAt < e.Until || force(all, e.Until) > force(all, e.At) {
			t.Errorf("after a slip of %g: %s, peak at %s, slip until %s", size, tr.Outcome, tr.PeakAt, e.Until)
		}
	}
	tr := mustNew(t, Options{Seed: 4, Fault: "slips"}).Truth()
	if all := happened(tr, EventKind(Slip)); len(all) < 2 {
		t.Errorf("slips: %d of them", len(all))
	}
}

// Preload cycles stay elastic, under their level but for a stroke's overshoot,
// and come down to 3 % or less.
func TestPreload(t *testing.T) {
	for times := 1; times <= 4; times++ {
		tr, all := pulled(t, Options{Seed: 5, Script: []Act{{Kind: Preload, Times: times, Size: 0.22}}})
		cycles := happened(tr, EventKind(Preload))
		if len(cycles) != times || tr.Outcome != OutcomeBroken {
			t.Fatalf("%d cycles, want %d; %s", len(cycles), times, tr.Outcome)
		}
		for _, e := range cycles {
			if !near(float64(e.From/tr.Expected), 0.22, 0.01) || float64(e.To/e.From) > 0.031 {
				t.Errorf("a cycle to %.3f of the strength, down to %.3f of that", float64(e.From/tr.Expected), float64(e.To/e.From))
			}
			if smp := all[int(e.At/time.Millisecond)]; smp.Phase == Plastic {
				t.Errorf("the cycle at %s is %s", e.At, smp.Phase)
			}
		}
	}
}

func TestPauseAndHold(t *testing.T) {
	for _, row := range []struct {
		size float64
		long time.Duration
	}{{0.02, 2 * time.Second}, {0.10, 60 * time.Second}, {0.05, 10 * time.Second}} {
		tr, _ := pulled(t, Options{Seed: 6, Script: []Act{{Kind: Pause, Share: 0.5, Size: row.size, For: row.long}}})
		e := only(t, tr, EventKind(Pause))
		if lost := 1 - float64(e.To/e.From); !near(lost, row.size, 0.002) || !near((e.Until-e.At).Seconds(), row.long.Seconds(), 0.002) {
			t.Errorf("a pause of %s and %g lost %.4f in %s", row.long, row.size, lost, e.Until-e.At)
		}
		if tr.Outcome != OutcomeBroken {
			t.Errorf("after the pause: %s", tr.Outcome)
		}
	}
	tr, all := pulled(t, Options{Seed: 6, Fault: "hold"})
	e := only(t, tr, EventKind(Hold))
	last := all[len(all)-1]
	if tr.Outcome != OutcomeWhole || last.TrueSpecimen <= 0 || last.TrueSpecimen >= e.From {
		t.Errorf("held: %s, from %s to %s", tr.Outcome, e.From, last.TrueSpecimen)
	}
	// The formula past the last step joins on without a step.
	i := int(tr.EndAt / time.Millisecond)
	if a, b := all[i-1].TrueSpecimen, all[i+1].TrueSpecimen; b > a || b < a*999/1000 {
		t.Errorf("around the end of the steps the force goes from %s to %s", a, b)
	}
}

// With a link bar that gives, the ram's travel for a stroke's force grows to
// what Size says: the gain per stroke falls to that part.
func TestGivingLowersTheGain(t *testing.T) {
	const left = 0.2
	o := Options{Seed: 7, Alloy: "6061-T6"}
	plain := mustNew(t, o).Truth()
	o.Script = []Act{{Kind: Giving, Share: 0.4, Size: left}}
	tr, all := pulled(t, o)
	e, steps, between := only(t, tr, EventKind(Giving)), 0, 0
	if !near(float64(e.From/tr.Expected), 0.4, 0.001) || tr.Outcome != OutcomeBroken || tr.BreakAt <= plain.BreakAt {
		t.Fatalf("gives from %.3f of the strength on, %s at %s, without at %s", float64(e.From/tr.Expected), tr.Outcome, tr.BreakAt, plain.BreakAt)
	}
	// The same strokes with and without it, while the bar is elastic: a step's
	// rise past the play of the first 200 ms.
	o.Script = nil
	_, without := pulled(t, o)
	for at := e.At + 200*time.Millisecond; at < e.At+2*time.Second; at += time.Millisecond {
		was := force(without, at+time.Millisecond) - force(without, at)
		if was < 5 || force(without, at) > 0.8*float64(tr.Expected) {
			continue // no push, or the bar itself yields
		}
		switch got := (force(all, at+time.Millisecond) - force(all, at)) / was; {
		case near(got, left, 0.05):
			steps++
		case near(got, 1, 0.1): // what a pause has lost is made good first
		default:
			between++
		}
	}
	if between > 30 {
		t.Errorf("%d ms of neither elastic nor giving gain", between)
	}
	if steps < 200 {
		t.Errorf("the gain was %g of its own for %d ms only", left, steps)
	}
}

// A fading bar loses its force over seconds, with no step a break would make.
func TestFade(t *testing.T) {
	for _, alloy := range Alloys() {
		tr, all := pulled(t, Options{Seed: 8, Alloy: alloy, Fault: "fade"})
		e := only(t, tr, EventKind(Fade))
		if tr.Outcome != OutcomeFaded || tr.BreakAt != 0 || e.At != tr.PeakAt || tr.EndAt-tr.PeakAt < 3*time.Second {
			t.Fatalf("%s: %s, broke at %s, fades from %s to %s", alloy, tr.Outcome, tr.BreakAt, tr.PeakAt, tr.EndAt)
		}
		last := all[len(all)-1]
		if !last.Broken || last.TrueSpecimen != 0 {
			t.Errorf("%s: at the end %+v", alloy, last)
		}
		// The fastest: ours, under 10 % of the peak in 50 ms.
		for i := 50; i < len(all); i++ {
			if d := all[i-50].TrueSpecimen - all[i].TrueSpecimen; d > tr.PeakSpecimen/10 {
				t.Fatalf("%s: at %s %s are lost in 50 ms", alloy, all[i].T, d)
			}
		}
	}
}

func TestFlawAndTear(t *testing.T) {
	tr, _ := pulled(t, Options{Seed: 9, Script: []Act{{Kind: Flaw, Share: 0.3}, {Kind: Tear, For: 150 * time.Millisecond}}})
	e := only(t, tr, EventBreak)
	if tr.Outcome != OutcomeBroken || !near(float64(tr.BreakForce/tr.Expected), 0.3, 0.01) {
		t.Errorf("%s at %.3f of the strength", tr.Outcome, float64(tr.BreakForce/tr.Expected))
	}
	if e.Until-e.At != 150*time.Millisecond || tr.Fall != 150*time.Millisecond {
		t.Errorf("the tear took %s", e.Until-e.At)
	}
}

// The metal's own order: upper yield, lower yield, hardening, peak, break; a
// drop of the force near the metal's 1.5 to 5 % (our spread): a fast stroke hides
// some of it, the end of a stroke adds to it.
func TestYieldDrop(t *testing.T) {
	for seed := uint64(1); seed <= 12; seed++ {
		tr, all := pulled(t, Options{Seed: seed, Alloy: "1018 hot rolled"})
		e := only(t, tr, EventYieldDrop)
		if !(tr.UpperAt < tr.LowerAt && tr.LowerAt < tr.PeakAt && tr.PeakAt < tr.BreakAt) {
			t.Fatalf("seed %d: upper %s, lower %s, peak %s, break %s", seed, tr.UpperAt, tr.LowerAt, tr.PeakAt, tr.BreakAt)
		}
		if drop := 1 - float64(e.To/e.From); drop < 0.003 || drop > 0.07 {
			t.Errorf("seed %d: a drop of %.4f", seed, drop)
		}
		if r := float64(tr.Lower / tr.PeakSpecimen); r < 0.66 || r > 0.74 {
			t.Errorf("seed %d: lower yield at %.3f of the peak", seed, r)
		}
		if fall := e.Until - e.At; fall < 10*time.Millisecond || fall > 1000*time.Millisecond {
			t.Errorf("seed %d: the drop took %s", seed, fall)
		}
		// The plateau: 100 ms after the drop the force is still within 6 % of the
		// lower yield, and within 10 % under it (a stroke's end moves it).
		if f := force(all, tr.LowerAt+100*time.Millisecond) / float64(tr.Lower); f > 1.06 || f < 0.9 {
			t.Errorf("seed %d: 100 ms after the drop there are %.3f of the lower yield", seed, f)
		}
		if loss := 1 - float64(tr.BreakForce/tr.PeakSpecimen); loss < 0.10 || loss > 0.28 {
			t.Errorf("seed %d: necking took %.3f", seed, loss)
		}
	}
}

func TestOtherMetalsHaveNoYieldDrop(t *testing.T) {
	for _, alloy := range Alloys() {
		tr := mustNew(t, Options{Seed: 1, Alloy: alloy}).Truth()
		if has := len(happened(tr, EventYieldDrop)) > 0; has != (alloy == "1018 hot rolled") {
			t.Errorf("%s: yield drop %v", alloy, has)
		}
	}
}

func TestProof(t *testing.T) {
	tr, all := pulled(t, Options{Seed: 10, Kind: Proof, Target: 20 * si.Kilonewton, Hold: 15 * time.Second})
	e := only(t, tr, EventHeld)
	if tr.Outcome != OutcomeLetOff || !near((e.Until-e.At).Seconds(), 15, 0.01) {
		t.Fatalf("%s, held %s", tr.Outcome, e.Until-e.At)
	}
	for at := e.At; at < e.Until; at += time.Millisecond {
		if f := force(all, at); f < 0.98*20e3 || f > 1.02*20e3 {
			t.Fatalf("at %s the held force is %.0f N", at, f)
		}
	}
	if len(happened(tr, EventKind(LetOff))) != 1 || tr.Phase(all) {
		t.Errorf("events %+v", tr.Events)
	}
	// More than the bar stands.
	if tr := mustNew(t, Options{Seed: 10, Kind: Proof, Target: 100 * si.Kilonewton}).Truth(); tr.Outcome != OutcomeBroken {
		t.Errorf("a proof past the strength: %s", tr.Outcome)
	}
}

// Phase says whether a pull that should stay elastic did not.
func (tr Truth) Phase(all []Sample) bool {
	return slices.ContainsFunc(all, func(s Sample) bool { return s.Phase == Necking || s.Broken })
}

// A block: steep to its first yield, then flatter, cracks that regain, let off.
func TestCrush(t *testing.T) {
	r := exampleRig(t)
	r.Path.Kind, r.Path.Share = "direct", 1
	for seed := uint64(1); seed <= 4; seed++ {
		for _, alloy := range Alloys() {
			tr, _ := pulled(t, Options{Rig: r, Seed: seed, Kind: Crush, Alloy: alloy})
			if tr.Outcome != OutcomeLetOff || tr.BreakAt != 0 {
				t.Fatalf("%s seed %d: %s", alloy, seed, tr.Outcome)
			}
			cracks := happened(tr, EventKind(Crack))
			if len(cracks) < 1 {
				t.Errorf("%s seed %d: no crack", alloy, seed)
			}
			first := float64(tr.Yield) * float64(tr.Area)
			for _, e := range cracks {
				if lost := 1 - float64(e.To/e.From); lost < 0.049 || lost > 0.351 {
					t.Errorf("%s seed %d: a crack lost %.3f", alloy, seed, lost)
				}
			}
			if top := float64(tr.PeakSpecimen) / first; top < 1.05 || top > 1.7 {
				t.Errorf("%s seed %d: the peak is %.2f of the first yield", alloy, seed, top)
			}
		}
	}
}

func TestOverLimitIsTold(t *testing.T) {
	o := Options{Seed: 1, Alloy: "1018", Rig: exampleRig(t)} // breaks past the 48 kN link bar
	tr, all := pulled(t, o)
	e := only(t, tr, EventOverLimit)
	b := o.Rig.Bounds()
	i := slices.IndexFunc(all, func(s Sample) bool {
		for _, b := range b {
			if b.Ratio(s.TruePressure, s.TruePressure) >= 1 {
				return true
			}
		}
		return false
	})
	if e.Name != "link bar" || i < 0 || all[i].T != e.At {
		t.Errorf("over %q at %s, by the readings at %v", e.Name, e.At, all[i].T)
	}
}

func TestNoiseOption(t *testing.T) {
	for _, noise := range []float64{0.001, 0.02, 0.09} {
		s := mustNew(t, Options{Seed: 11, Noise: noise, Rate: 1000})
		c := s.Options().Rig.Chain()
		tr := s.Truth()
		var sum, sum2, n float64
		for _, smp := range run(s, tr.BreakAt) {
			if float64(smp.TruePressure) > 0.5*float64(tr.PeakGauge) { // away from the converter's end
				p, _ := c.Pressure(smp.Raw)
				d := float64(p - smp.TruePressure)
				sum, sum2, n = sum+d, sum2+d*d, n+1
			}
		}
		sd := math.Sqrt(sum2/n - sum/n*sum/n)
		want := math.Hypot(noise*float64(tr.PeakGauge), 0.0005*float64(c.Range()))
		// The transducer's own is 0.035 to 0.05 % of the range; SD of an SD of
		// thousands of readings is 1 %.
		if sd < 0.95*noise*float64(tr.PeakGauge) || sd > 1.1*want {
			t.Errorf("noise %g: SD %.0f Pa of a peak of %.0f", noise, sd, float64(tr.PeakGauge))
		}
	}
}

func TestDropoutAndEnd(t *testing.T) {
	s := mustNew(t, Options{Seed: 12, Rate: 100, Script: []Act{{Kind: Dropout, At: 5 * time.Second, For: 95 * time.Millisecond}, {Kind: End, At: 8 * time.Second}}})
	var last Sample
	gaps := 0
	for {
		smp, ok := s.Next()
		if !ok {
			if smp.T != 8*time.Second || smp.Note == "" {
				t.Errorf("the readings end with %+v", smp)
			}
			break
		}
		if d := smp.T - last.T; d > 10*time.Millisecond {
			gaps++
			if d != 110*time.Millisecond || last.T != 4990*time.Millisecond {
				t.Errorf("a gap of %s after %s", d, last.T)
			}
			// The clock goes on: 110 ms, 40 ppm and 12 µs of jitter.
			if us := int64(smp.Board - last.Board); us < 109_900 || us > 110_100 {
				t.Errorf("the clock went on by %d µs", us)
			}
		}
		last = smp
	}
	if _, ok := s.Next(); ok || gaps != 1 {
		t.Errorf("%d gaps; readings after their end: %v", gaps, ok)
	}
}

func TestSpikesCounted(t *testing.T) {
	for _, size := range []float64{0.1, -0.1} {
		o := Options{Seed: 13, Rate: 1000}
		plain := run(mustNew(t, o), 25*time.Second)
		o.Script = []Act{{Kind: Spike, Times: 5, Size: size}}
		n := 0
		for i, smp := range run(mustNew(t, o), 25*time.Second) {
			if d := smp.Raw - plain[i].Raw; d != 0 {
				n++
				// 10 % of 3276.8 counts.
				if !near(d, size*3276.8, 1) {
					t.Errorf("a spike of %g counts", d)
				}
			}
		}
		if n < 3 || n > 5 {
			t.Errorf("%d spikes of %g, want up to 5", n, size)
		}
	}
}

// Acts change nothing in the bar: same strength, and the same up to the first
// of them.
func TestActsChangeNothingBefore(t *testing.T) {
	plain := run(mustNew(t, Options{Seed: 14}), 25*time.Second)
	for _, name := range Faults() {
		s := mustNew(t, Options{Seed: 14, Fault: name})
		at := s.Truth().FaultAt
		if at == 0 && name != "banner" && name != "noise" && name != "fade" && name != "tear" {
			t.Errorf("%s: the truth does not say when", name)
		}
		for i, smp := range run(s, 25*time.Second) {
			if smp.T >= at {
				break
			}
			if smp.TrueSpecimen != plain[i].TrueSpecimen || smp.Raw != plain[i].Raw {
				t.Errorf("%s begins at %s, but at %s %g became %g", name, at, smp.T, plain[i].Raw, smp.Raw)
				break
			}
		}
	}
}

// A block left under load at its flattest: the pull still ends. (It once went
// on for ever.)
func TestBlockHeldAtItsFlattest(t *testing.T) {
	o := Options{Rig: exampleRig(t), Kind: Crush, Seed: 3, Script: []Act{{Kind: Hold, Share: 2}}}
	if tr := mustNew(t, o).Truth(); tr.Outcome != OutcomeWhole {
		t.Errorf("outcome %s", tr.Outcome)
	}
}
