package sim

import (
	"bytes"
	"math"
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
		if got := mustNew(t, Options{Seed: 3, Rate: rate}).Truth(); got != want {
			t.Errorf("at %g Hz the pull is %+v, at 10 Hz %+v", rate, got, want)
		}
	}
}

// Strengths of the standards: checks of design, ASTM B584 (C90500 as sand
// cast, at least 40 ksi, 18 ksi yield, 20 %), ASTM A48 (class 30, at least
// 30 ksi). The spread above them is the simulator's own.
func TestRangesOverSeeds(t *testing.T) {
	rows := []struct {
		alloy              string
		seeds              uint64
		lowest, highest    si.Stress
		yieldLow           si.Stress
		elongLow, elongTop float64
	}{
		{"C90500", 200, 40 * 1.03 * si.KSI, 40 * 1.12 * si.KSI, 18 * si.KSI, 0.20, 0.30},
		{"grey iron class 30", 200, 30 * si.KSI, 34.6 * si.KSI, 0, 0.002, 0.01},
		{"1018", 40, 60 * si.KSI, 68 * si.KSI, 48 * si.KSI, 0.08, 0.22},
		{"356.0-T6", 40, 30 * si.KSI, 36 * si.KSI, 20 * si.KSI, 0.02, 0.05},
	}
	r := exampleRig(t)
	for _, row := range rows {
		for seed := uint64(1); seed <= row.seeds; seed++ {
			tr := mustNew(t, Options{Rig: r, Alloy: row.alloy, Seed: seed}).Truth()
			if tr.Strength < row.lowest*0.999 || tr.Strength > row.highest*1.001 {
				t.Errorf("%s seed %d: strength %s", row.alloy, seed, tr.Strength.Text(si.US))
			}
			if tr.Yield < row.yieldLow || tr.Yield >= tr.Strength {
				t.Errorf("%s seed %d: yield %s of %s", row.alloy, seed, tr.Yield.Text(si.US), tr.Strength.Text(si.US))
			}
			if tr.Elongation < row.elongLow || tr.Elongation > row.elongTop {
				t.Errorf("%s seed %d: elongation %.3f", row.alloy, seed, tr.Elongation)
			}
			if tr.BreakAt < 14*time.Second || tr.BreakAt > 22*time.Second {
				t.Errorf("%s seed %d: broke at %s", row.alloy, seed, tr.BreakAt)
			}
			if tr.Fall < time.Millisecond || tr.Fall > 3*time.Millisecond {
				t.Errorf("%s seed %d: fell within %s", row.alloy, seed, tr.Fall)
			}
			if tr.BreakForce > tr.PeakSpecimen || tr.BreakForce < tr.PeakSpecimen*75/100 {
				t.Errorf("%s seed %d: broke at %s after a peak of %s", row.alloy, seed, tr.BreakForce.Text(si.Metric), tr.PeakSpecimen.Text(si.Metric))
			}
		}
	}
}

// The example's bar passes the caution of the link bar, by the measured force
// alone and by its unsafe edge, and stays under the warning.
func TestExampleBarMeetsCautionOnly(t *testing.T) {
	r := exampleRig(t)
	bounds := r.Bounds()
	for seed := uint64(1); seed <= 200; seed++ {
		tr := mustNew(t, Options{Rig: r, Seed: seed}).Truth()
		if plain := tr.PeakSpecimen / (48 * si.Kilonewton); plain < 0.75 || plain >= 0.90 {
			t.Errorf("seed %d: peak %s is %.3f of 48 kN", seed, tr.PeakSpecimen.Text(si.Metric), plain)
		}
		var most float64
		for _, b := range bounds {
			most = max(most, b.Ratio(tr.PeakGauge, tr.PeakGauge))
		}
		if most < 0.75 || most >= 0.90 {
			t.Errorf("seed %d: nearest limit at %.3f of its allowable", seed, most)
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

func TestFrictionByDirection(t *testing.T) {
	const f = 0.05
	for _, role := range []rig.Role{rig.SensorRam, rig.ActuatorRam} {
		r := exampleRig(t)
		r.Ram.Friction, r.Ram.Role = f, role
		s := mustNew(t, Options{Rig: r, Seed: 2, Rate: 1000})
		var low, high, rising, falling int
		var last Sample
		for _, smp := range run(s, s.Truth().BreakAt) {
			if smp.TrueRam > 30e3 && last.TrueRam > 0 {
				ratio := float64(smp.TruePressure) * float64(r.Ram.Area) / float64(smp.TrueRam)
				if ratio < 1/(1+f)-1e-6 || ratio > 1/(1-f)+1e-6 {
					t.Fatalf("%s at %s: oil carries %.4f of the force, outside its friction band", role, smp.T, ratio)
				}
				// Well into a stroke, and well into the pause after one.
				switch rate := float64(smp.TrueRam-last.TrueRam) / 1e-3; {
				case rate > 20e3:
					rising++
					if ratio < 1 {
						low++
					}
				case rate < -500:
					falling++
					if ratio > 1 {
						high++
					}
				}
			}
			last = smp
		}
		if rising < 100 || falling < 100 {
			t.Fatalf("%s: only %d rising and %d falling steps", role, rising, falling)
		}
		wantLow := role == rig.SensorRam
		if got := float64(low) / float64(rising); (got > 0.9) != wantLow || (got < 0.1) == wantLow {
			t.Errorf("%s: while rising the oil reads low in %.0f %% of the steps", role, 100*got)
		}
		// A sensor ram holds its pressure through a small fall (the play), so
		// only the actuator's falling side is sure to change over.
		if role == rig.ActuatorRam && float64(high)/float64(falling) > 0.5 {
			t.Errorf("%s: while falling the oil reads high in %d of %d steps", role, high, falling)
		}
	}
}

// A fall larger than twice the friction takes a sensor ram to its other side.
func TestSensorRamReadsHighWhileFalling(t *testing.T) {
	m := rigModel{area: 42e-4, friction: 0.05, role: rig.SensorRam}
	rows := []struct{ force, want float64 }{
		{100e3, 100e3 / 1.05}, // pushed in: reads low
		{98e3, 100e3 / 1.05},  // falls a little: the seal holds it
		{92e3, 100e3 / 1.05},
		{80e3, 80e3 / 0.95}, // falls on: reads high
		{82e3, 80e3 / 0.95}, // turns: held again
		{90e3, 90e3 / 1.05},
	}
	var gauge, side, last float64
	for _, row := range rows {
		gauge, side = m.oil(gauge, side, row.force, row.force-last)
		last = row.force
		if got := gauge * m.area; math.Abs(got-row.want) > 1e-6*row.want {
			t.Errorf("at %.0f N the oil carries %.1f N, want %.1f", row.force, got, row.want)
		}
	}
}

func TestStrokesAndLeak(t *testing.T) {
	s := mustNew(t, Options{Seed: 1})
	var ups, downs int
	var last si.Force
	rising := true
	turn := si.Force(0)
	for _, smp := range run(s, s.Truth().BreakAt) {
		// A turn counts once the force has come back by 100 N.
		switch {
		case rising && smp.TrueSpecimen > turn, !rising && smp.TrueSpecimen < turn:
			turn = smp.TrueSpecimen
		case rising && smp.TrueSpecimen < turn-100:
			rising, turn = false, smp.TrueSpecimen
			ups++
		case !rising && smp.TrueSpecimen > turn+100:
			rising, turn = true, smp.TrueSpecimen
			downs++
		}
		last = smp.TrueSpecimen
	}
	if last <= 0 {
		t.Fatal("no force at the break")
	}
	if n := s.Truth().Strokes; n < 10 || n > 25 || ups < n-4 || downs < n-5 {
		t.Errorf("%d strokes, %d crests and %d troughs of the force", n, ups, downs)
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
