package strength_test

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/strength"
)

// Elongation and reduction of area. Source: the project's list of check values,
// section 2.7, computed (0.250 to 0.200 in is 36.0 %, 12.5 to 9.0 mm 48.16 %), and
// by hand: 50 to 56.125 mm is 12.25 %; 20 x 3 to 18 x 2.5 mm is 45/60, 25 %; a tube
// of 12 x 2 mm has 20π mm², of 11 x 1.5 14.25π, 28.75 %.
func TestDuctility(t *testing.T) {
	in := func(v float64) si.Length { return si.Length(v) * si.Inch }
	mm := func(v float64) si.Length { return si.Length(v) * si.Millimetre }
	for name, c := range map[string]struct {
		bar      specimen.Specimen
		after    specimen.After
		outcome  pull.Phase
		e, z     float64 // −1: none
		e8e, e8z string
	}{
		"inch": {
			specimen.Specimen{Diameters: []si.Length{in(0.250)}},
			specimen.After{Diameters: []si.Length{in(0.200)}, Where: specimen.MidGauge},
			pull.Broken, -1, 0.36, "", "36 %",
		},
		"metric": {
			specimen.Specimen{Diameters: []si.Length{mm(12.5), mm(12.52)}, GaugeLength: mm(50)},
			specimen.After{Diameters: []si.Length{mm(9.1), mm(8.9)}, GaugeLength: mm(56.125), Where: specimen.AtShoulder},
			pull.Broken, 0.1225, 0.4816, "12.0 %", "48 %",
		},
		"rectangular": {
			specimen.Specimen{Shape: specimen.Rectangular, Sections: []specimen.Section{{Width: mm(20), Thickness: mm(3)}}},
			specimen.After{Sections: []specimen.Section{{Width: mm(19), Thickness: mm(2.9)}, {Width: mm(18), Thickness: mm(2.5)}}},
			pull.Faded, -1, 0.25, "", "25 %",
		},
		"tube": {
			specimen.Specimen{Shape: specimen.Tube, Sections: []specimen.Section{{Outer: mm(12), Wall: mm(2)}}, GaugeLength: mm(50)},
			specimen.After{Sections: []specimen.Section{{Outer: mm(11), Wall: mm(1.5)}}, GaugeLength: mm(50.55)},
			pull.Broken, 0.011, 0.2875, "1.2 %", "29 %",
		},
		"in the grip": {
			specimen.Specimen{Diameters: []si.Length{mm(12.5)}, GaugeLength: mm(50)},
			specimen.After{Diameters: []si.Length{mm(9)}, GaugeLength: mm(55), Where: specimen.InGrip},
			pull.Broken, -1, -1, "", "",
		},
		"not broken": {
			specimen.Specimen{Diameters: []si.Length{mm(12.5)}, GaugeLength: mm(50)},
			specimen.After{Diameters: []si.Length{mm(12.4)}, GaugeLength: mm(50.2)},
			pull.LetOff, -1, -1, "", "",
		},
		"shorter and thicker": {
			specimen.Specimen{Diameters: []si.Length{mm(12.5)}, GaugeLength: mm(50)},
			specimen.After{Diameters: []si.Length{mm(12.6)}, GaugeLength: mm(49), Where: specimen.MidGauge},
			pull.Broken, -1, -1, "", "",
		},
	} {
		p := sound(t)
		p.Bar, p.After, p.State.Outcome = c.bar, &c.after, c.outcome
		r := strength.From(p)
		value := func(v *float64) float64 {
			if v == nil {
				return -1
			}
			return *v
		}
		// The diameters of 2.7 are exact to 1e-12, the mean of 9.1 and 8.9 as well.
		if math.Abs(value(r.Elongation)-c.e) > 1e-9 || math.Abs(value(r.ReductionOfArea)-c.z) > 1e-9 {
			t.Errorf("%s: elongation %v, reduction %v, want %v, %v", name, value(r.Elongation), value(r.ReductionOfArea), c.e, c.z)
		}
		var e8e, e8z string
		if r.Rounded != nil {
			e8e, e8z = r.Rounded.ElongationE8, r.Rounded.ReductionE8
		}
		if e8e != c.e8e || e8z != c.e8z {
			t.Errorf("%s: rounded %q and %q, want %q and %q", name, e8e, e8z, c.e8e, c.e8z)
		}
		low := slices.Contains(r.Remarks, "it broke at the shoulder: by ASTM E8/E8M its elongation may be too low")
		if low != (c.after.Where == specimen.AtShoulder) {
			t.Errorf("%s: remarks %q", name, r.Remarks)
		}
	}
}

// A bar that broke in the grip, or beside which the rig gave way, has borne its
// peak at least: no strength, and each says why.
func TestBoundOnly(t *testing.T) {
	for why, after := range map[string]specimen.After{
		"it broke in the grip":                  {Where: specimen.InGrip},
		"part of the rig gave way, not the bar": {Failed: "upper pin"},
	} {
		p := sound(t)
		p.After = &after
		r := strength.From(p)
		if r.StrengthPa != nil || r.StrengthAtLeastPa == nil || r.StrengthUPa == nil || r.AtLeastWhy() != why {
			t.Errorf("%s: strength %v, at least %v, because %q", why, r.StrengthPa, r.StrengthAtLeastPa, r.AtLeastWhy())
			continue
		}
		if !slices.ContainsFunc(r.Lines(si.Metric, p.Bar), func(l string) bool {
			return strings.HasPrefix(l, "strength   at least") && strings.HasSuffix(l, ": "+why)
		}) {
			t.Errorf("%s: %q", why, r.Lines(si.Metric, p.Bar))
		}
	}
	p := sound(t)
	if r := strength.From(p); r.StrengthPa == nil || r.AtLeastWhy() != "" {
		t.Errorf("in the middle: %v, %q", r.StrengthPa, r.AtLeastWhy())
	}
}

// The strength has its uncertainty, what was borne at least has the same, and
// where nothing states how accurate the force is there is none.
func TestDoubt(t *testing.T) {
	p := sound(t)
	broken := strength.From(p)
	if broken.Budget == nil || broken.StrengthUPa == nil || math.Abs(broken.Budget.ValuePa / *broken.StrengthPa - 1) > 1e-9 {
		t.Fatalf("budget %+v of %v", broken.Budget, broken.StrengthPa)
	}
	if *broken.StrengthUPa != broken.Budget.UPa || *broken.StrengthExpandedPa != broken.Budget.ExpandedPa || *broken.CoverageK != broken.Budget.CoverageK {
		t.Error("the results say other than the budget")
	}
	p.State.Outcome = pull.LetOff
	if off := strength.From(p); off.StrengthPa != nil || off.StrengthUPa == nil || *off.StrengthUPa != *broken.StrengthUPa {
		t.Errorf("let off: strength %v, u %v, want %v", off.StrengthPa, off.StrengthUPa, *broken.StrengthUPa)
	}
	p = sound(t)
	p.State.Zero.HasReturn, p.State.Zero.Return = true, 3*si.Bar
	// 3 bar of 119.05 at the peak, over √3: 1.455 % more, in quadrature.
	want := math.Hypot(*broken.StrengthUPa, 250e6*3e5/math.Sqrt(3)/float64(p.State.Peak.Gauge))
	if moved := strength.From(p); math.Abs(*moved.StrengthUPa/want-1) > 1e-3 {
		t.Errorf("with a zero that moved by 3 bar u is %v, want %v", *moved.StrengthUPa, want)
	}
	for name, change := range map[string]func(*strength.Pull){
		"no accuracy": func(p *strength.Pull) { r := *p.Config.Rig; r.Sensor.Accuracy = 0; p.Config.Rig = &r },
		"no section":  func(p *strength.Pull) { p.Bar.Diameters = nil },
	} {
		p := sound(t)
		p.After.Minimum = 100e6
		change(&p)
		r := strength.From(p)
		if r.Budget != nil || r.StrengthUPa != nil || r.Verdict != nil {
			t.Errorf("%s: budget %v, u %v, verdict %v", name, r.Budget, r.StrengthUPa, r.Verdict)
		}
		if !slices.ContainsFunc(r.Remarks, func(s string) bool { return strings.HasPrefix(s, "no verdict against the minimum of 14.5 ksi: ") }) {
			t.Errorf("%s: remarks %q", name, r.Remarks)
		}
	}
}

// A dial read by eye: its ± is in the budget, and nothing of a trace.
func TestDoubtOfAnEye(t *testing.T) {
	p := sound(t)
	p.State = pull.State{Kind: pull.Tension, Phase: pull.Broken, Outcome: pull.Broken, Peak: point(0, 25e3), Eye: &pull.Eye{Error: 500}}
	r := strength.From(p)
	if r.Budget == nil || r.TimeUnderLoadS != nil {
		t.Fatalf("budget %v, time under load %v", r.Budget, r.TimeUnderLoadS)
	}
	for _, l := range r.Budget.Lines {
		// ± 500 N of 25 kN, evenly likely: 2 %/√3 of 250 MPa.
		if l.Of == "dial, read by eye" {
			if want := 250e6 * 0.02 / math.Sqrt(3); math.Abs(l.UPa/want-1) > 1e-3 {
				t.Errorf("the dial has %v, want %v", l.UPa, want)
			}
			return
		}
	}
	t.Errorf("no line of the dial in %+v", r.Budget.Lines)
}

// The verdict of a whole result: by what the bar bore, against a minimum near it.
// The u of the results is taken, so only the side is tested here; the edges are
// in TestJudge.
func TestVerdict(t *testing.T) {
	for name, c := range map[string]struct {
		minimum si.Stress
		change  func(*strength.Pull)
		says    string
		text    string
	}{
		"pass":          {150e6, nil, strength.Passes, "pass: 36.3 ksi less a margin of"},
		"fail":          {350e6, nil, strength.Fails, "fail: 36.3 ksi is under the minimum of 50.8 ksi (the drawing)"},
		"cannot tell":   {250e6, nil, strength.CannotTell, "cannot tell at this uncertainty: 36.3 ksi lies within a margin of"},
		"let off, pass": {150e6, func(p *strength.Pull) { p.State.Outcome = pull.LetOff }, strength.Passes, "pass: it bore at least 36.3 ksi"},
		"let off, low":  {350e6, func(p *strength.Pull) { p.State.Outcome = pull.LetOff }, strength.CannotTell, "cannot tell: it bore 36.3 ksi"},
		"in the grip":   {350e6, func(p *strength.Pull) { p.After.Where = specimen.InGrip }, strength.CannotTell, "cannot tell: it bore 36.3 ksi"},
		"the rig broke": {350e6, func(p *strength.Pull) { p.After.Failed = "pin" }, strength.CannotTell, "cannot tell: it bore 36.3 ksi"},
	} {
		p := sound(t)
		p.After.Minimum, p.After.MinimumFrom = c.minimum, "the drawing"
		if c.change != nil {
			c.change(&p)
		}
		r := strength.From(p)
		if r.Verdict == nil || r.Verdict.Says != c.says || !strings.HasPrefix(r.Verdict.Text, c.text) {
			t.Errorf("%s: %+v, want %s %q", name, r.Verdict, c.says, c.text)
			continue
		}
		if want := 1.645 * *r.StrengthUPa; r.Verdict.GuardPa != want || r.Verdict.From != "the drawing" || r.Verdict.MinimumPa != float64(c.minimum) {
			t.Errorf("%s: %+v, want a margin of %v", name, r.Verdict, want)
		}
	}
	p := sound(t)
	p.After.Failed = "pin"
	if r := strength.From(p); r.StrengthPa != nil || r.StrengthAtLeastPa == nil {
		t.Error("the rig gave way, and the bar has a strength")
	}
}

// The dial is off where it differs by more than its own limit and the sensor's
// together. By hand: a sensor of ± 1 % of the reading at 25 kN allows 250 N.
func TestDialCheck(t *testing.T) {
	for _, c := range []struct {
		dial, limit si.Force
		off         bool
	}{{25_449, 200, false}, {25_451, 200, true}, {24_551, 200, false}, {24_549, 200, true}, {25_500, 0, false}, {25_510, 0, true}} {
		p := sound(t)
		r := *p.Config.Rig
		r.Sensor.Accuracy, r.Sensor.AccuracyOfReading = 0.01, true
		r.Path, r.Ram.Friction = rig.Path{Kind: rig.Fixed, Share: 0.5}, 0
		p.Config.Rig, p.Dial = &r, &c.dial
		if c.limit > 0 {
			p.DialError = &c.limit
		}
		res := strength.From(p)
		off := slices.ContainsFunc(res.Remarks, func(s string) bool { return strings.HasPrefix(s, "the dial says") })
		if off != c.off || res.Dial == nil || math.Abs(res.Dial.Difference-float64(c.dial/25e3-1)) > 1e-12 || (res.Dial.ErrorN != nil) != (c.limit > 0) {
			t.Errorf("a dial of %v ± %v: %+v, off %v", c.dial, c.limit, res.Dial, off)
		}
	}
}

// Where a block gave and what a hold lost are said in words.
func TestWordsOfTheOtherKinds(t *testing.T) {
	p := sound(t)
	p.State.Kind, p.Config.Kind, p.State.Outcome = pull.Crush, pull.Crush, pull.LetOff
	p.State.FirstYield = &pull.FirstYield{T: 20 * time.Second, Specimen: 20e3, Method: pull.ByStroke}
	r := strength.From(p)
	if y := r.FirstYield; y == nil || y.TS != 20 || math.Abs(*y.StressPa/200e6-1) > 1e-9 || y.Method != "gain per stroke" {
		t.Errorf("first yield %+v", y)
	}
	if text := strings.Join(r.Lines(si.Metric, p.Bar), "\n"); !strings.Contains(text, "gave       first at 200 MPa (20.00 kN), by what a stroke of the pump gains") {
		t.Error(text)
	}
	p = sound(t)
	p.State.Kind, p.Config.Kind, p.State.Outcome, p.State.Break = pull.Proof, pull.Proof, pull.LetOff, nil
	p.State.Hold = &pull.Hold{From: 10 * time.Second, For: 30 * time.Second, Force: 20e3, Lowest: 19.6e3, Lost: 0.034}
	r = strength.From(p)
	if text := strings.Join(r.Lines(si.Metric, p.Bar), "\n"); r.Hold.Lost != 0.034 || !strings.Contains(text, "\nlost       at most 3.4 % of the highest force while it was held") {
		t.Error(text)
	}
}

// All that a finished pull says, in the order it is said.
func TestLinesOfAFinishedPull(t *testing.T) {
	p := sound(t)
	p.After = &specimen.After{
		Diameters: []si.Length{9 * si.Millimetre}, GaugeLength: 56.125 * si.Millimetre, Where: specimen.OffMiddle,
		Looks: []specimen.Look{specimen.CupCone}, Minimum: 150e6, MinimumFrom: "the drawing",
	}
	d := si.Force(25.2e3)
	p.Dial = &d
	r := strength.From(p)
	text := "\n" + strings.Join(r.Lines(si.Metric, p.Bar), "\n")
	at := 0
	for _, want := range []string{
		"\nstrength   250 MPa ± ", " MPa (95 %)", "\nrounded    250 MPa ± 11 MPa by ASTM E8/E8M, 250 MPa by ISO 6892-1", "\nverdict    pass: 250 MPa less a margin",
		"\nelongation 12.25 %, rounded 12.0 %", "\nreduction  36.38 %, rounded 36 % of the area", "\nfracture   outer quarter, cup and cone",
		"\ndial       25.20 kN (limit of error not stated), +0.8 % of the drag hand",
		"\ncounts     with remarks: it broke outside the middle half of the gauge length",
		"\npace       5.0 MPa/s, mean over the 50.0 s from the start of the load to the peak",
	} {
		i := strings.Index(text[at:], want)
		if i < 0 {
			t.Fatalf("no %q after the first %d bytes of%s", want, at, text)
		}
		at += i
	}
}
