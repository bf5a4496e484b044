package sim

import (
	"math"
	"strings"
	"testing"
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// stepsTold gives, for each load, the mean of what the transducer tells over the
// hold, above what it told before the first one, in Pa.
func stepsTold(t *testing.T, s *Sim) []float64 {
	t.Helper()
	tr, x := s.Truth(), s.xducr
	sum, n := make([]float64, len(tr.Steps)), make([]int, len(tr.Steps))
	var zero float64
	var zeros int
	for {
		smp, ok := s.Next()
		if !ok || smp.T > tr.EndAt {
			break
		}
		if smp.T < s.opt.Idle {
			zero += smp.Raw
			zeros++
		}
		for i, k := range tr.Steps {
			if smp.T >= k.From && smp.T <= k.To {
				sum[i] += smp.Raw
				n[i]++
			}
		}
	}
	out := make([]float64, len(sum))
	for i := range sum {
		out[i] = (sum[i]/float64(n[i]) - zero/float64(zeros)) / (x.gain / (1 + s.opt.SensorGain))
	}
	return out
}

// Each load is held, and the oil carries what the true area, friction and share
// make of it: more on the way down in a closed-off ram, less in a pumped one.
func TestStepsHoldTheirLoads(t *testing.T) {
	for name, c := range map[string]struct {
		role rig.Role
		on   rig.Place
		o    Options
		up   func(load float64) float64 // Pa
		down func(load float64) float64
	}{
		"as the file says": {
			rig.SensorRam, rig.AtSpecimen,
			Options{},
			func(l float64) float64 { return l / 0.5 / 42e-4 }, func(l float64) float64 { return l / 0.5 / 42e-4 },
		},
		"sensor at the ram": {
			rig.SensorRam, rig.AtRam,
			Options{TrueArea: 41.5 * si.SquareCM, TrueFriction: 0.02},
			func(l float64) float64 { return l / 41.5e-4 / 1.02 }, func(l float64) float64 { return l / 41.5e-4 / 0.98 },
		},
		"actuator at the ram": {
			rig.ActuatorRam, rig.AtRam,
			Options{TrueArea: 41.5 * si.SquareCM, TrueFriction: 0.02},
			func(l float64) float64 { return l / 41.5e-4 / 0.98 }, func(l float64) float64 { return l / 41.5e-4 / 1.02 },
		},
		"share and gain": {
			rig.SensorRam, rig.AtSpecimen,
			Options{TrueShare: 0.52, SensorGain: 0.01, TrueFriction: -1},
			func(l float64) float64 { return 1.01 * l / 0.52 / 42e-4 }, func(l float64) float64 { return 1.01 * l / 0.52 / 42e-4 },
		},
		"far": {
			rig.SensorRam, rig.AtSpecimen,
			Options{TrueShare: 0.52, Far: true},
			func(l float64) float64 { return l / 0.48 / 42e-4 }, func(l float64) float64 { return l / 0.48 / 42e-4 },
		},
		"gauge": {
			rig.SensorRam, rig.AtGauge,
			Options{SensorGain: -0.02},
			func(l float64) float64 { return 0.98 * l }, func(l float64) float64 { return 0.98 * l },
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := *exampleRig(t)
			r.Ram.Role = c.role
			o := c.o
			o.Rig, o.Kind, o.On, o.Seed, o.Hold = &r, Steps, c.on, 5, 4*time.Second
			s := mustNew(t, o)
			tr := s.Truth()
			if len(tr.Steps) != 5 || tr.Outcome != OutcomeLetOff {
				t.Fatalf("%d loads, %s", len(tr.Steps), tr.Outcome)
			}
			for i, p := range stepsTold(t, s) {
				k := tr.Steps[i]
				want := c.up(k.Reference)
				if k.Falling {
					want = c.down(k.Reference)
				}
				// The reference is off by 0.05 % and read to 0.02 %, friction turns by a
				// part of what is let go; the mean of 800 readings knows 0.02 bar.
				if off := p - want; math.Abs(off) > 0.0025*want+0.03*si.Bar {
					t.Errorf("load %d of %g, falling %v: %.4g bar told, want %.4g", i+1, k.Reference, k.Falling, p/si.Bar, want/si.Bar)
				}
				if k.Falling != (i > 2) {
					t.Errorf("load %d: falling %v", i+1, k.Falling)
				}
			}
		})
	}
}

// With Wait a load is held until its point is taken, and not the next one by the
// same word.
func TestStepsWait(t *testing.T) {
	s := mustNew(t, Options{Kind: Steps, Wait: true, On: rig.AtRam, Loads: []float64{20e3, 40e3}, Seed: 2})
	tr := s.Truth()
	at := func(d time.Duration) Sample {
		for {
			if smp, _ := s.Next(); smp.T >= d {
				return smp
			}
		}
	}
	s.Taken() // nothing is held yet: not to be kept for the first load
	late := tr.Steps[0].To + 5*time.Minute
	for _, d := range []time.Duration{tr.Steps[0].To, tr.Steps[0].To + time.Minute, late} {
		if smp := at(d); math.Abs(float64(smp.TrueRam)-20e3) > 30 || smp.T-d > 5*time.Millisecond {
			t.Fatalf("at %s: %g N at %s", d, float64(smp.TrueRam), smp.T)
		}
	}
	s.Taken()
	if smp := at(late + 10*time.Second); math.Abs(float64(smp.TrueRam)-40e3) > 60 {
		t.Fatalf("after the first point: %g N", float64(smp.TrueRam))
	}
	if smp := at(late + 10*time.Minute); math.Abs(float64(smp.TrueRam)-40e3) > 60 {
		t.Fatalf("one word went on twice: %g N", float64(smp.TrueRam))
	}
	s.Taken()
	if smp := at(late + 11*time.Minute); smp.TrueRam != 0 || smp.TruePressure != 0 {
		t.Fatalf("after the last point: %g N", float64(smp.TrueRam))
	}
}

func TestStepsRepeat(t *testing.T) {
	o := Options{Kind: Steps, Seed: 4, Hold: 2 * time.Second, Rate: 50}
	a, b := text(mustNew(t, o), 20*time.Second), text(mustNew(t, o), 20*time.Second)
	if string(a) != string(b) {
		t.Error("the same seed gives other lines")
	}
	o.Seed = 5
	if c := text(mustNew(t, o), 20*time.Second); string(a) == string(c) {
		t.Error("another seed gives the same lines")
	}
}

func TestStepsThatCannotBe(t *testing.T) {
	r := *exampleRig(t)
	r.Path.Weight, r.Path.RamPushes = 2000, "up"
	many := make([]float64, mostLoads+1)
	for i := range many {
		many[i] = 1e3
	}
	for name, c := range map[string]struct {
		o    Options
		want string
	}{
		"place":    {Options{Kind: Steps, On: "far"}, "choose gauge, ram or specimen"},
		"load":     {Options{Kind: Steps, Loads: []float64{0}}, "above 0"},
		"NaN":      {Options{Kind: Steps, Loads: []float64{math.NaN()}}, "above 0"},
		"weight":   {Options{Kind: Steps, Loads: []float64{1000}, On: rig.AtRam, Rig: &r}, "carry nothing"},
		"many":     {Options{Kind: Steps, Loads: many}, "are the most"},
		"long":     {Options{Kind: Steps, Hold: 4 * time.Minute}, "over 10 minutes"},
		"act":      {Options{Kind: Steps, Fault: "slip"}, "cannot happen"},
		"no steps": {Options{Loads: []float64{1}}, "only the kind steps"},
		"area":     {Options{TrueArea: -1}, "true area"},
		"friction": {Options{TrueFriction: 0.6}, "friction"},
		"gain":     {Options{SensorGain: 0.5}, "gain"},
	} {
		if c.o.Rig == nil {
			c.o.Rig = exampleRig(t)
		}
		if _, err := New(c.o); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// A bar on a rig whose truth is another breaks at the same force of its own, at
// the pressure that the true area makes.
func TestTrueAreaOfAPull(t *testing.T) {
	plain := mustNew(t, Options{Seed: 3}).Truth()
	other := mustNew(t, Options{Seed: 3, TrueArea: 40 * si.SquareCM, TrueFriction: 0.03}).Truth()
	if r := float64(other.PeakSpecimen / plain.PeakSpecimen); math.Abs(r-1) > 1e-3 {
		t.Errorf("the bar broke at %g of its force", r)
	}
	if got := float64(other.PeakRam) / float64(other.PeakGauge); math.Abs(got/(40e-4*1.03)-1) > 1e-4 {
		t.Errorf("%g m² at the peak, want %g", got, 40e-4*1.03)
	}
}
