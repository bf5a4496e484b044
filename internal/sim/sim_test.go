package sim

import (
	"bytes"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// exampleRig is the rig of "rig new".
func exampleRig(t testing.TB) *rig.Rig {
	t.Helper()
	r, err := rig.Parse("example.toml", []byte(rig.Example()))
	if err != nil {
		t.Fatalf("the example rig: %v", err)
	}
	return r
}

func mustNew(t testing.TB, o Options) *Sim {
	t.Helper()
	if o.Rig == nil {
		o.Rig = exampleRig(t)
	}
	s, err := New(o)
	if err != nil {
		t.Fatalf("New(%+v): %v", o, err)
	}
	return s
}

// run takes the samples of the first d.
func run(s *Sim, d time.Duration) []Sample {
	var all []Sample
	for {
		smp, _ := s.Next()
		if smp.T > d {
			return all
		}
		all = append(all, smp)
	}
}

// text is what the board sends in the first d.
func text(s *Sim, d time.Duration) []byte {
	var b []byte
	for _, smp := range run(s, d) {
		b = s.AppendLine(b, smp)
	}
	return b
}

func TestSameSeedSameBytes(t *testing.T) {
	for _, fault := range append([]string{""}, Faults()...) {
		o := Options{Seed: 7, Fault: fault}
		a := text(mustNew(t, o), 25*time.Second)
		if b := text(mustNew(t, o), 25*time.Second); !bytes.Equal(a, b) {
			t.Errorf("fault %q: the same seed gave two different pulls", fault)
		}
		o.Seed = 8
		if b := text(mustNew(t, o), 25*time.Second); bytes.Equal(a, b) {
			t.Errorf("fault %q: seeds 7 and 8 gave the same pull", fault)
		}
	}
}

func TestTruthIsTheSameAtEveryRate(t *testing.T) {
	want := mustNew(t, Options{Seed: 3, Rate: 10}).Truth()
	for _, rate := range []float64{200, 1000, 7777, 50000} {
		if got := mustNew(t, Options{Seed: 3, Rate: rate}).Truth(); !reflect.DeepEqual(got, want) {
			t.Errorf("at %g Hz the pull is %+v, at 10 Hz %+v", rate, got, want)
		}
	}
}

// The rig's own chain must find back the true force. At the peak the load has
// just risen, so it must agree to rounding (rel 1e-6). The readings' mean error
// must be the zero offset: its tolerance is four standard errors and a
// fiftieth of a count for what the noise does not dither away.
func TestChainFindsTheForceBack(t *testing.T) {
	rows := map[string]func(*rig.Rig){
		"example": func(*rig.Rig) {},
		"friction of a sensor ram": func(r *rig.Rig) {
			r.Ram.Friction = 0.04
		},
		"friction of an actuator ram": func(r *rig.Rig) {
			r.Ram.Friction, r.Ram.Role = 0.04, rig.ActuatorRam
		},
		"unequal arms": func(r *rig.Rig) {
			r.Path.SpecimenArm, r.Path.FarArm, r.Path.Share = 0.08, 0.12, 0.6
		},
		"weight on an upward ram": func(r *rig.Rig) { r.Path.Weight, r.Path.RamPushes = 400, "up" },
		"weight on a downward ram": func(r *rig.Rig) {
			r.Path.Weight, r.Path.RamPushes = 400, "down"
		},
		"ratiometric, divider": func(r *rig.Rig) {
			r.Sensor = rig.Sensor{
				Kind: rig.Ratiometric, High: 400 * si.Bar, SigLow: 0.1, SigHi: 0.9, Supply: 5,
				Bits: 12, Reference: 3.3, Divisor: 4095, Divider: 0.6,
			}
		},
		"voltage sent as volts": func(r *rig.Rig) {
			r.Sensor = rig.Sensor{Kind: rig.VoltageOut, High: 600 * si.Bar, SigLow: 0, SigHi: 10, Divider: 1}
		},
		"current sent as milliamperes": func(r *rig.Rig) { r.Sensor.Bits = 0 },
		"pressure in bar": func(r *rig.Rig) {
			r.Sensor = rig.Sensor{Kind: rig.PressureOut, High: 700 * si.Bar, UnitFactor: si.Bar}
		},
		"force in pounds": func(r *rig.Rig) {
			r.Sensor = rig.Sensor{Kind: rig.ForceOut, High: 700 * si.Bar, UnitFactor: si.PoundForce}
		},
		"counts of two points": func(r *rig.Rig) {
			r.Sensor = rig.Sensor{Kind: rig.Counts, High: 500 * si.Bar, SigLow: 100, SigHi: 52000, Bits: 16}
		},
	}
	for name, change := range rows {
		t.Run(name, func(t *testing.T) {
			r := exampleRig(t)
			change(r)
			s := mustNew(t, Options{Rig: r, Seed: 5, Rate: 500})
			c := r.Chain()
			tr := s.Truth()
			if got := c.Specimen(tr.PeakGauge); math.Abs(float64(got/tr.PeakSpecimen)-1) > 1e-6 {
				t.Errorf("at the peak the chain says %s, true are %s", got, tr.PeakSpecimen)
			}
			if got := c.Ram(tr.PeakGauge); math.Abs(float64(got/tr.PeakRam)-1) > 1e-6 {
				t.Errorf("at the peak the chain says %s on the ram, true are %s", got, tr.PeakRam)
			}
			var off, n float64
			for _, smp := range run(s, tr.PeakAt) {
				p, sig := c.Pressure(smp.Raw)
				if sig != rig.OK {
					t.Fatalf("at %s raw %g is %s", smp.T, smp.Raw, sig)
				}
				off, n = off+float64(p-smp.TruePressure), n+1
			}
			tol := 4*float64(tr.NoiseSD)/math.Sqrt(n) + 0.02*float64(c.Step())
			if err := off/n - float64(tr.ZeroOffset); math.Abs(err) > tol {
				t.Errorf("the readings are off by %.0f Pa on average, more than %.0f Pa", err, tol)
			}
		})
	}
}

func TestIdleAndAfter(t *testing.T) {
	s := mustNew(t, Options{Seed: 4, Rate: 1000})
	tr := s.Truth()
	var sum, sum2, n float64
	c := s.Options().Rig.Chain()
	for _, smp := range run(s, 40*time.Second) {
		switch {
		case smp.T <= 3*time.Second:
			if smp.TruePressure != 0 || smp.Phase != Idle {
				t.Fatalf("at %s while idle: %+v", smp.T, smp)
			}
			p, _ := c.Pressure(smp.Raw)
			sum, sum2, n = sum+float64(p), sum2+float64(p)*float64(p), n+1
		case smp.T > tr.BreakAt+3*time.Millisecond:
			if smp.TrueSpecimen != 0 || !smp.Broken {
				t.Fatalf("at %s after the break: %+v", smp.T, smp)
			}
			if smp.TruePressure < -si.Bar || float64(smp.TruePressure) > 0.05*float64(tr.PeakGauge) {
				t.Fatalf("at %s the ring-out is %s", smp.T, smp.TruePressure.Text(si.Metric))
			}
			if smp.T > tr.BreakAt+2*time.Second && smp.TruePressure != 0 {
				t.Fatalf("at %s the oil still has %s", smp.T, smp.TruePressure.Text(si.Metric))
			}
		}
	}
	mean := sum / n
	sd := math.Sqrt(sum2/n - mean*mean)
	// Engine's rule for a zero: SD within 0.1 % of range, mean within 1 %.
	if rng := float64(c.Range()); sd > 0.001*rng || sd < 0.3*float64(c.Step()) || math.Abs(mean) > 0.0035*rng {
		t.Errorf("zero %.0f Pa, SD %.0f Pa", mean, sd)
	}
	if math.Abs(mean-float64(tr.ZeroOffset)) > 0.2*float64(c.Step()) {
		t.Errorf("mean zero %.0f Pa, offset in truth %.0f Pa", mean, float64(tr.ZeroOffset))
	}
}

func TestEveryReadingLiesWithinTheConverter(t *testing.T) {
	r := exampleRig(t)
	r.Sensor.High = 100 * si.Bar // the pull goes far beyond this transducer
	s := mustNew(t, Options{Rig: r, Seed: 1})
	var full bool
	for _, smp := range run(s, 25*time.Second) {
		if smp.Raw != math.Trunc(smp.Raw) || smp.Raw < 0 || smp.Raw > 4095 {
			t.Fatalf("raw %g is no 12-bit code", smp.Raw)
		}
		full = full || smp.Raw == 4095
	}
	if !full {
		t.Error("a pull beyond the range never filled the converter")
	}
}

func TestRefusals(t *testing.T) {
	r := exampleRig(t)
	rows := map[string]struct {
		o    Options
		want string
	}{
		"no rig":      {Options{}, "no rig"},
		"metal":       {Options{Rig: r, Alloy: "unobtainium"}, "C90500, grey iron class 30"},
		"fault":       {Options{Rig: r, Fault: "gremlin"}, "unplug, open, stuck"},
		"rate":        {Options{Rig: r, Rate: 1e6}, "100000"},
		"NaN rate":    {Options{Rig: r, Rate: math.NaN()}, "100000"},
		"diameter":    {Options{Rig: r, Diameter: 1 * si.Metre}, "50 mm"},
		"long idle":   {Options{Rig: r, Idle: 1000 * time.Hour}, "an hour"},
		"no ram area": {Options{Rig: &rig.Rig{Path: rig.Path{Share: 1}}}, "no area"},
	}
	for name, row := range rows {
		if _, err := New(row.o); err == nil || !strings.Contains(err.Error(), row.want) {
			t.Errorf("%s: error %v, want one with %q", name, err, row.want)
		}
	}
}

func TestMetalNames(t *testing.T) {
	for given, want := range map[string]string{
		"c90500": "C90500", "Gray-Iron Class 30": "grey iron class 30", "grey_iron_class_30": "grey iron class 30",
		"356.0-t6": "356.0-T6", "1018": "1018", "": "C90500",
	} {
		if got := mustNew(t, Options{Alloy: given}).Truth().Alloy; got != want {
			t.Errorf("alloy %q is %q, want %q", given, got, want)
		}
	}
}

// Small, large, brittle: every bar of the range can be brought to its break.
func TestAllDiametersBreak(t *testing.T) {
	r := exampleRig(t)
	for _, alloy := range Alloys() {
		for _, d := range []si.Length{2, 3, 6, 9, 12.5, 20, 30, 50} {
			s, err := New(Options{Rig: r, Alloy: alloy, Diameter: d * si.Millimetre, Seed: 1})
			if err != nil {
				t.Errorf("%s of %g mm: %v", alloy, float64(d), err)
				continue
			}
			if at := s.Truth().BreakAt; at < 14*time.Second || at > 22*time.Second {
				t.Errorf("%s of %g mm broke at %s", alloy, float64(d), at)
			}
		}
	}
}

func TestNextAllocatesNothing(t *testing.T) {
	s := mustNew(t, Options{Seed: 1, Rate: 1000})
	line := make([]byte, 0, 64)
	if n := testing.AllocsPerRun(30000, func() {
		smp, _ := s.Next()
		line = s.AppendLine(line[:0], smp)
	}); n != 0 {
		t.Errorf("%g allocations a reading", n)
	}
}

// Goal: 200 ns a reading, so that 50,000 a second cost one percent of a core.
func BenchmarkNext(b *testing.B) {
	s := mustNew(b, Options{Seed: 1, Rate: 1000})
	b.ReportAllocs()
	for b.Loop() {
		s.Next()
	}
}

func BenchmarkNextAndLine(b *testing.B) {
	s := mustNew(b, Options{Seed: 1, Rate: 1000})
	line := make([]byte, 0, 64)
	b.ReportAllocs()
	for b.Loop() {
		smp, _ := s.Next()
		line = s.AppendLine(line[:0], smp)
	}
}

// The whole pull is worked out here; goal: not felt, under 20 ms.
func BenchmarkNew(b *testing.B) {
	r := exampleRig(b)
	for b.Loop() {
		mustNew(b, Options{Rig: r, Seed: 1})
	}
}
