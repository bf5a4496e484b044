package rig

import (
	"math"
	"testing"

	"draghand/internal/si"
)

// worked is the tolerance of figures worked out by hand here: they are exact,
// so only the last bits of the arithmetic may differ.
const worked = 1e-12

func TestFrictionByRole(t *testing.T) {
	// 10 cm² at 100 bar is 10 kN; hand calculation from design 4: a closed-off
	// ram reads low while loading, a pumped one high.
	tests := []struct {
		name, role, friction string
		ram                  float64 // kN at 100 bar, loading
		most                 float64 // kN, the unsafe edge for a limit
	}{
		{"sensor adds", "sensor", "0.03 ± 0.01", 10.3, 10.4},
		{"actuator takes off", "actuator", "0.03 ± 0.01", 9.7, 9.8},
		{"sensor, default band", "sensor", "0 ± 0.02", 10, 10.2},
		{"actuator, default band", "actuator", "0 ± 0.02", 10, 10.2},
		{"percent", "sensor", "3 % ± 1 %", 10.3, 10.4},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			r := mustParse(t, file(tables{
				"ram":    `area = "10 cm² ± 0 %"` + "\nrole = \"" + tt.role + "\"\nrated_force = \"50 kN\"\nfriction = \"" + tt.friction + `"`,
				"limits": "[[limit]]\nname = \"gauge\"\nkind = \"pressure\"\npressure = \"700 bar\"\n",
			}))
			p := si.Pressure(100 * si.Bar)
			if got := float64(r.Chain().Ram(p)) / 1e3; !near(got, tt.ram, worked) {
				t.Errorf("Ram(100 bar) = %v kN, want %v", got, tt.ram)
			}
			for _, b := range r.Bounds() {
				want := tt.most * 1e3
				if b.Limit.At == AtGauge {
					want = 1.03e7 // the transducer feels its own reading, zero and all
				}
				if got := b.Load(p, 1.03e7); !near(got, want, worked) {
					t.Errorf("Load on %s = %v, want %v", b.Limit.Name, got, want)
				}
			}
		})
	}
	file := file(tables{"ram": "area = \"10 cm² ± 0 %\"\nrole = \"sensor\""})
	if r := mustParse(t, file); r.Ram.Friction != 0 || r.Ram.FrictionBand != 0.02 {
		t.Errorf("friction not stated = %v ± %v, want 0 ± 0.02 (design 4)", r.Ram.Friction, r.Ram.FrictionBand)
	}
}

func TestPath(t *testing.T) {
	two := func(s, f, rest string) string {
		return "kind = \"two-sided\"\nspecimen_arm = \"" + s + "\"\nfar_arm = \"" + f + "\"\n" + rest
	}
	// 10 cm² at 100 bar is 10 kN on the ram. Hand calculations from
	// share = far / (specimen + far), and ± (width/2)/(sum) under a flat face.
	tests := []struct {
		name, path     string
		share, tol     float64
		specimen       float64 // kN at 100 bar
		mostS, mostFar float64 // kN, unsafe edges on either side
	}{
		{"direct", `kind = "direct"`, 1, 0, 10, 10, 0},
		{"fixed", "kind = \"fixed\"\nshare = \"0.4 ± 0.05\"", 0.4, 0.05, 4, 4.5, 6.5},
		{"equal arms", two("110 mm ± 0 mm", "110 mm ± 0 mm", `bearing = "roller"`), 0.5, 0, 5, 5, 5},
		{"unequal arms", two("100 mm ± 0 mm", "150 mm ± 0 mm", `bearing = "ball"`), 0.6, 0, 6, 6, 4},
		{
			"arms with limits of error", two("110 mm ± 0.5 mm", "110 mm ± 0.5 mm", `bearing = "roller"`),
			0.5, 110.5/220 - 0.5, 5, 10 * 110.5 / 220, 10 * 110.5 / 220,
		},
		{
			"uneven limits of error", two("100 mm ± 2 mm", "100 mm ± 1 mm", `bearing = "roller"`),
			0.5, 101.0/199 - 0.5, 5, 10 * 101.0 / 199, 10 * 101.0 / 199,
		},
		{
			"flat bearing", two("110 mm ± 0 mm", "110 mm ± 0 mm", "bearing = \"flat\"\nbearing_width = \"22 mm\""),
			0.5, 0.05, 5, 5.5, 5.5,
		},
		{"weight up", "kind = \"fixed\"\nshare = 0.5\nweight = \"400 N\"\nram_pushes = \"up\"", 0.5, 0, 4.8, 4.8, 4.8},
		{"weight down", "kind = \"fixed\"\nshare = 0.5\nweight = \"400 N\"\nram_pushes = \"down\"", 0.5, 0, 5.2, 5.2, 5.2},
		{
			"weight down on unequal arms", two("100 mm ± 0 mm", "150 mm ± 0 mm", "bearing = \"ball\"\nweight = \"500 N\"\nram_pushes = \"down\""),
			0.6, 0, 6.3, 6.3, 4.2,
		},
	}
	limits := "[[limit]]\nname = \"bar\"\nkind = \"rated\"\nat = \"specimen\"\nforce = \"48 kN\"\n"
	far := "[[limit]]\nname = \"far bar\"\nkind = \"rated\"\nat = \"far\"\nforce = \"48 kN\"\n"
	both := "[[limit]]\nname = \"bars\"\nkind = \"rated\"\nat = \"sides\"\nforce = \"48 kN\"\n"
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			over := tables{"path": tt.path, "limits": limits}
			if tt.mostFar > 0 {
				over["limits"] += far + both
			}
			r := mustParse(t, file(over))
			if !near(r.Path.Share, tt.share, worked) || math.Abs(r.Path.ShareTol-tt.tol) > worked {
				t.Errorf("share = %v ± %v, want %v ± %v", r.Path.Share, r.Path.ShareTol, tt.share, tt.tol)
			}
			c, p := r.Chain(), si.Pressure(100*si.Bar)
			if got := float64(c.Specimen(p)) / 1e3; !near(got, tt.specimen, worked) {
				t.Errorf("Specimen(100 bar) = %v kN, want %v", got, tt.specimen)
			}
			if got := c.PressureForSpecimen(si.Force(tt.specimen * 1e3)); !near(float64(got), 1e7, worked) {
				t.Errorf("PressureForSpecimen = %v, want 1e7 Pa", got)
			}
			for _, b := range r.Bounds() {
				want := map[Place]float64{AtSpecimen: tt.mostS, AtFar: tt.mostFar, AtSides: max(tt.mostS, tt.mostFar)}[b.Limit.At]
				if got := b.Load(p, p) / 1e3; !near(got, want, worked) {
					t.Errorf("Load on %s = %v kN, want %v", b.Limit.Name, got, want)
				}
			}
		})
	}
}

func TestAreaAtItsUnsafeEdge(t *testing.T) {
	// A bore of 100 mm ± 1 mm is 78.54 cm² ± 2 %: 2·Δd/d (checks.md 2.1).
	r := mustParse(t, file(tables{"ram": "bore = \"100 mm ± 1 mm\"\nrole = \"sensor\"\nrated_force = \"700 kN\"\nfriction = \"0 ± 0\""}))
	if want := math.Pi / 4 * 0.01; !near(float64(r.Ram.Area), want, worked) || !near(float64(r.Ram.AreaTol), 0.02*want, worked) {
		t.Errorf("area = %v ± %v", r.Ram.Area, r.Ram.AreaTol)
	}
	if got, want := r.Bounds()[0].Load(1e7, 1e7), 1.02e7*math.Pi/4*0.01; !near(got, want, worked) {
		t.Errorf("Load = %v, want %v", got, want)
	}
}

func TestDesignFactor(t *testing.T) {
	r := mustParse(t, file(tables{"limits": "[[limit]]\nname = \"bar\"\nkind = \"rated\"\nat = \"ram\"\nforce = \"48 kN\"\ndesign_factor = 3\n"}))
	b := r.Bounds()[0]
	if b.Allowable != 16e3 {
		t.Errorf("allowable = %v, want 16 kN", b.Allowable)
	}
	if got := b.PressureAt(0.5); !near(float64(got), 8e6, worked) { // 8 kN over 10 cm²
		t.Errorf("PressureAt(0.5) = %v, want 80 bar", got)
	}
}

func TestSignals(t *testing.T) {
	rng := "range = \"0 bar .. 700 bar\"\naccuracy = \"1 % of full scale\"\n"
	sensor := func(kind, more string) string { return "kind = \"" + kind + "\"\n" + rng + more }
	conv := "bits = 12\nreference = \"5 V\"\n"
	tests := []struct {
		name, sensor, converter string
		raw                     float64
		want                    Signal
		bar                     float64
	}{
		// the example's chain: 250 ohm, 12 bits, 5 V; 12 mA is 3 V is code 2457.6
		{"loop over a shunt, middle", sensor("current", `shunt = "250 ohm"`), conv, 2457.6, OK, 350},
		{"loop over a shunt, 4 mA", sensor("current", `shunt = "250 ohm"`), conv, 819.2, OK, 0},
		{"loop at full scale", sensor("current", `shunt = "250 ohm"`), conv, 4095, AboveBand, 699.7863769531},
		{"loop one count below", sensor("current", `shunt = "250 ohm"`), conv, 4094, OK, 699.5727539063},
		{"loop averaged near full", sensor("current", `shunt = "250 ohm"`), conv, 4094.7, AboveBand, 699.7222900391},
		{"loop 3.6 mA in counts", sensor("current", `shunt = "250 ohm"`), conv, 737, Open, -17.55981445},
		{"loop 3.7 mA in counts", sensor("current", `shunt = "250 ohm"`), conv, 758, BelowBand, -13.07373047},
		{"loop unplugged", sensor("current", `shunt = "250 ohm"`), conv, 0, Open, -175},
		{"loop, small shunt, 20.6 mA", sensor("current", `shunt = "200 ohm"`), conv, 3375.104, AboveBand, 726.25},
		{"ratiometric unplugged", sensor("ratiometric", ""), conv, 3, Open, -86.859130859375},
		{"ratiometric 0.25 V", sensor("ratiometric", ""), conv, 204.8, Open, -43.75},
		{"ratiometric 0.3 V", sensor("ratiometric", ""), conv, 245.76, BelowBand, -35},
		{"ratiometric 0.45 V", sensor("ratiometric", ""), conv, 368.64, OK, -8.75},
		{"ratiometric full", sensor("ratiometric", ""), conv, 4095, AboveBand, 787.2863769531},
		{"ratiometric through two resistors", sensor("ratiometric", `supply = "5 V"`), "bits = 12\nreference = \"3.3 V\"\ndivider = 0.6\n", 4096 * 0.6 * 2.5 / 3.3, OK, 350},
		{"voltage from zero cannot be open", sensor("voltage", `signal = "0 V .. 10 V"`), "", 0, OK, 0},
		{"voltage below zero", sensor("voltage", `signal = "0 V .. 10 V"`), "", -0.3, BelowBand, -21},
		{"voltage above", sensor("voltage", `signal = "0 V .. 10 V"`), "", 10.3, AboveBand, 721},
		{"pressure above", sensor("pressure", `unit = "bar"`), "", 736, AboveBand, 736},
		{"pressure just within 5 %", sensor("pressure", `unit = "bar"`), "", 735, OK, 735},
		{"pressure far below", sensor("pressure", `unit = "bar"`), "", -36, BelowBand, -36},
		{"pressure in MPa", sensor("pressure", `unit = "MPa"`), "", 35, OK, 350},
		{"force", "kind = \"force\"\nrange = \"0 kN .. 70 kN\"\naccuracy = \"1 % of reading\"\nunit = \"kN\"", "", 35, OK, 350},
		{"force above", "kind = \"force\"\nrange = \"0 kN .. 70 kN\"\naccuracy = \"1 % of reading\"\nunit = \"kN\"", "", 74, AboveBand, 740},
		{"counts", "kind = \"counts\"\naccuracy = \"1 % of reading\"\npoints = [\"820 = 0 bar\", \"4095 = 700 bar\"]", "", 2457.5, OK, 350},
		{"counts, other way round, wider range", "kind = \"counts\"\naccuracy = \"1 % of reading\"\nrange = \"0 bar .. 700 bar\"\npoints = [\"2000 = 300 bar\", \"1000 = 100 bar\"]", "", 1500, OK, 200},
		{"counts at full scale", "kind = \"counts\"\naccuracy = \"1 % of reading\"\npoints = [\"820 = 0 bar\", \"4095 = 700 bar\"]", "bits = 12\n", 4095, AboveBand, 700},
		{"not a number", sensor("pressure", `unit = "bar"`), "", math.NaN(), NotANumber, 0},
		{"infinite", sensor("pressure", `unit = "bar"`), "", math.Inf(1), NotANumber, 0},
		{"absurd", sensor("pressure", `unit = "bar"`), "", 1e300, AboveBand, 1e15},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			over := tables{"sensor": tt.sensor}
			if tt.converter != "" {
				over["sensor.converter"] = tt.converter
			}
			c := mustParse(t, file(over)).Chain()
			p, sig := c.Pressure(tt.raw)
			if sig != tt.want || sig.Valid() != (tt.want == OK) {
				t.Errorf("Pressure(%v) is %q, want %q", tt.raw, sig, tt.want)
			}
			// 1e-9: the figures with many digits above are rounded to ten.
			if got := float64(p) / si.Bar; !near(got, tt.bar, 1e-9) {
				t.Errorf("Pressure(%v) = %.10f bar, want %v", tt.raw, got, tt.bar)
			}
		})
	}
}

func TestSignalWords(t *testing.T) {
	for s := range Signal(8) {
		if s.String() == "" {
			t.Errorf("Signal(%d) has no words", s)
		}
	}
}

func TestStep(t *testing.T) {
	// 5 V / 4096 over 250 ohm is 4.8828125 µA, times 700 bar / 16 mA.
	r := mustParse(t, Example())
	if got, want := float64(r.Chain().Step())/si.Bar, 700.0/16*4.8828125e-3; !near(got, want, worked) {
		t.Errorf("Step = %v bar, want %v", got, want)
	}
	if got := mustParse(t, file(nil)).Chain().Step(); got != 0 {
		t.Errorf("Step of a board that sends bar = %v, want 0", got)
	}
}

// TestChainOfNoRig: a hostile record decodes to anything; nothing may panic or
// give a number to trust.
func TestChainOfNoRig(t *testing.T) {
	for _, r := range []*Rig{{}, {Sensor: Sensor{Kind: Counts}}, {Sensor: Sensor{Kind: CurrentLoop, Bits: 12}}, {Ram: Ram{Area: -1}, Limits: []Limit{{Kind: Rated, At: AtRam}}}} {
		c := r.Chain()
		if p, s := c.Pressure(1); s != NotANumber || p != 0 {
			t.Errorf("Pressure = %v, %v, want 0, not a number", p, s)
		}
		for _, f := range []float64{float64(c.Ram(1)), float64(c.Specimen(1)), float64(c.PressureForRam(1)), float64(c.PressureForSpecimen(1)), float64(c.Step()), float64(c.Range())} {
			if f != 0 {
				t.Errorf("a chain of no rig gives %v", f)
			}
		}
		for _, b := range r.Bounds() {
			if b.Ratio(1, 1) != 0 || b.PressureAt(1) != 0 {
				t.Errorf("a bound of no rig gives a figure")
			}
		}
		if r.Validate() == nil {
			t.Errorf("Validate accepts %+v", r)
		}
	}
}

func TestConvertAllocatesNothing(t *testing.T) {
	r := mustParse(t, Example())
	c, bounds := r.Chain(), r.Bounds()
	var sum float64
	n := testing.AllocsPerRun(1000, func() {
		p, _ := c.Pressure(2000)
		sum += float64(c.Ram(p)) + float64(c.Specimen(p))
		for _, b := range bounds {
			sum += b.Ratio(p, p)
		}
	})
	if n != 0 || sum == 0 {
		t.Errorf("%v allocations a reading, want 0", n)
	}
}

// BenchmarkConvert is the rig's part of the goal of 150 ns for decode, convert,
// engine and ring: a reading to pressure, both forces and the ratio of each of
// the example's four known limits.
func BenchmarkConvert(b *testing.B) {
	r := mustParse(b, Example())
	c, bounds := r.Chain(), r.Bounds()
	var sum float64
	raw := 820.0
	b.ReportAllocs()
	for b.Loop() {
		p, s := c.Pressure(raw)
		if s.Valid() {
			sum += float64(c.Ram(p)) + float64(c.Specimen(p))
			for i := range bounds {
				sum += bounds[i].Ratio(p, p)
			}
		}
		if raw++; raw > 4000 {
			raw = 820
		}
	}
	if sum == 0 {
		b.Fatal("nothing converted")
	}
}
