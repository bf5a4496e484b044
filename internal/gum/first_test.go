package gum

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

func sum(x []float64) float64 {
	y := 0.0
	for _, v := range x {
		y += v
	}
	return y
}

func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s: %.10g, want %.10g within %g", what, got, want, rel)
	}
}

// checks.md 10.1: the end gauge of the GUM, H.1 (from memory; computed), nm.
func TestEndGauge(t *testing.T) {
	var in []Input
	for _, c := range [][2]float64{{25, 18}, {9.7, 25.6}, {2.9, 50}, {16.6, 2}} {
		in = append(in, Input{Name: "a contribution", Value: 1000, U: c[0], DoF: c[1], Dist: Student})
	}
	r, err := FirstOrder(in, sum, 0.99)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "u", r.U, 31.671, 1e-4)
	near(t, "degrees of freedom", r.DoF, 16.7646, 1e-4)
	near(t, "K, of 16", r.K, 2.92078, 1e-5)
	if r.Expanded < 92.45 || r.Expanded > 93 {
		t.Errorf("U99 is %g nm, 92.5 to 93 are published", r.Expanded)
	}
}

// rammed is checks.md 10.2: strength of a bar in the ram rig, of p, A, f, s, d.
func rammed(sign float64) Model {
	return func(x []float64) float64 {
		return x[0] * x[1] * (1 + sign*x[2]) * x[3] / (math.Pi / 4 * x[4] * x[4])
	}
}

const u1, u2 = "U1", "U2"

func inputs(of string) []Input {
	v := map[string][5][2]float64{
		u1: {{1021, 10}, {4.324, 0.0216}, {0.02, 0.01 / math.Sqrt(3)}, {0.5, 0.005}, {0.250, 0.0005}},
		u2: {{230, 5}, {4.324, 0.0216}, {0.03, 0.01}, {0.5, 0.005}, {0.113, 0.002}},
	}[of]
	var in []Input
	for i, name := range []string{"p", "A", "f", "s", "d"} {
		in = append(in, Input{Name: name, Value: v[i][0], U: v[i][1], Dist: Normal, Common: i > 0})
	}
	return in
}

// checks.md 10.2, first order; computed there, psi.
func TestRamRig(t *testing.T) {
	for _, c := range []struct {
		of          string
		sign        float64
		value, rel  float64
		parts       [5]float64 // % of the variance; 0: not listed
		expandedTwo float64
	}{
		{u1, -1, 44069.448, 0.016479995, [5]float64{35.32, 9.19, 12.78, 36.82, 5.89}, 1452.529},
		{u2, -1, 48095.948, 0.044236404, [5]float64{24.15, 1.28, 5.43, 5.11, 64.03}, 4255.184},
		{u1, +1, 45868.201, 0.016398824, [5]float64{}, 0},
		{u2, +1, 51070.955, 0.044100316, [5]float64{}, 0},
	} {
		r, err := FirstOrder(inputs(c.of), rammed(c.sign), 0.95)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.of+" strength", r.Value, c.value, 1e-6)
		near(t, c.of+" relative", r.U/r.Value, c.rel, 1e-6)
		near(t, c.of+" K", r.K, 1.959963985, 1e-8) // the normal distribution's, from memory
		if !math.IsInf(r.DoF, 1) {
			t.Errorf("%s: %g degrees of freedom", c.of, r.DoF)
		}
		if c.expandedTwo == 0 {
			continue
		}
		near(t, c.of+" U of k 2", 2*r.U, c.expandedTwo, 1e-6)
		for i, want := range c.parts {
			if got := 100 * r.Parts[i].Fraction; math.Abs(got-want) > 0.0051 {
				t.Errorf("%s: %s has %.3f %%, want %.2f", c.of, r.Parts[i].Name, got, want)
			}
		}
		// Common is A, f, s and d: what the shares of variance leave to p, by hand.
		near(t, c.of+" random", r.Random/r.U, math.Sqrt(c.parts[0]/100), 1e-3)
		near(t, c.of+" common", r.Common/r.U, math.Sqrt(1-c.parts[0]/100), 1e-3)
	}
}

// checks.md 10.3, computed there: force and area within ± 1 % each.
func TestTwoLimits(t *testing.T) {
	in := []Input{
		{Name: "force", Value: 20e3, U: 200 / math.Sqrt(3), Dist: Uniform},
		{Name: "area", Value: 80, U: 0.8 / math.Sqrt(3), Dist: Uniform},
	}
	r, err := FirstOrder(in, func(x []float64) float64 { return x[0] / x[1] }, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "u", r.U/r.Value, 0.00816497, 1e-6)
	near(t, "U of k 2", 2*r.U/r.Value, 0.01632993, 1e-6)
}

// What comes from one estimate of a scatter has its degrees of freedom once. By
// hand: 3 and 4 of one SD known to 6 are 5 known to 6; apart they are
// 5⁴/(3⁴/6 + 4⁴/6) = 11.1276.
func TestOneScatter(t *testing.T) {
	for scatter, want := range map[string]float64{"line": 6, "": 11.127596} {
		in := []Input{
			{Name: "line", U: 3, DoF: 6, Dist: Student, Scatter: scatter},
			{Name: "sure", U: 0, Dist: Normal},
			{Name: "new reading", U: 4, DoF: 6, Dist: Student, Scatter: scatter},
		}
		r, err := FirstOrder(in, sum, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "degrees of freedom", r.DoF, want, 1e-7)
		near(t, "u", r.U, 5, 1e-12)
	}
}

// What cannot be reckoned with is refused, by name.
func TestRefused(t *testing.T) {
	good := func(change func(*Input)) []Input {
		in := inputs(u1)
		change(&in[1])
		return in
	}
	nan := math.NaN()
	m := rammed(-1)
	for name, c := range map[string]struct {
		in   []Input
		m    Model
		p    float64
		want string
	}{
		"negative U":      {good(func(i *Input) { i.U = -1 }), m, 0.95, `"A": a standard uncertainty`},
		"U no number":     {good(func(i *Input) { i.U = nan }), m, 0.95, `"A": a standard uncertainty`},
		"U endless":       {good(func(i *Input) { i.U = math.Inf(1) }), m, 0.95, `"A": a standard uncertainty`},
		"value no number": {good(func(i *Input) { i.Value = nan }), m, 0.95, `"A": the best estimate`},
		"DoF no number":   {good(func(i *Input) { i.DoF = nan }), m, 0.95, `"A": degrees of freedom`},
		"DoF negative":    {good(func(i *Input) { i.DoF = -2 }), m, 0.95, `"A": degrees of freedom`},
		"distribution":    {good(func(i *Input) { i.Dist = "arcsine" }), m, 0.95, `"arcsine"`},
		"coverage":        {inputs(u1), m, 1, "a coverage of 1"},
		"coverage NaN":    {inputs(u1), m, nan, "a coverage of NaN"},
		"no inputs":       {nil, m, 0.95, "no inputs"},
		"no model":        {inputs(u1), nil, 0.95, "no model"},
		"no value":        {good(func(i *Input) { i.Value = 0 }), func(x []float64) float64 { return 1 / x[1] }, 0.95, "no finite"},
		"one scatter, two degrees": {
			[]Input{{Name: "a", U: 1, DoF: 3, Dist: Student, Scatter: "s"}, {Name: "b", U: 1, DoF: 4, Dist: Student, Scatter: "s"}},
			sum, 0.95, `"b": other degrees`,
		},
	} {
		if _, err := FirstOrder(c.in, c.m, c.p); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
		if name == "no value" { // draws beside it have one
			continue
		}
		if _, err := MonteCarlo(c.in, c.m, 1000, 1, c.p); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s, drawn: %v, want %q", name, err, c.want)
		}
	}
}

// An input that is known for sure takes no part, even where the model has no
// value beside it.
func TestKnownForSure(t *testing.T) {
	in := []Input{{Name: "a", Value: 4, U: 0, Dist: Uniform}, {Name: "b", Value: 1, U: 0.5, Dist: Normal}}
	r, err := FirstOrder(in, func(x []float64) float64 { return x[1] * math.Sqrt(4-x[0]) }, 0.95)
	if err != nil || r.Parts[0].U != 0 || r.Parts[0].Fraction != 0 || r.Parts[0].Sensitivity != 0 {
		t.Errorf("%+v, %v", r, err)
	}
	in[1].U = 0
	if r, err = FirstOrder(in, sum, 0.95); err != nil || r.U != 0 || r.Expanded != 0 || !math.IsInf(r.DoF, 1) {
		t.Errorf("all known for sure: %+v, %v", r, err)
	}
}

// Of any product of powers: fractions sum to 1, no part is negative, the doubt
// grows with the unit, and common and random make up the whole.
func TestFirstOrderProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "n")
		in, pow := make([]Input, n), make([]float64, n)
		for i := range in {
			v := rapid.Float64Range(0.01, 1e6).Draw(t, "value")
			in[i] = Input{
				Value: v, U: v * rapid.Float64Range(1e-9, 0.2).Draw(t, "relative"), Dist: Normal,
				DoF: float64(rapid.IntRange(0, 40).Draw(t, "dof")), Common: rapid.Bool().Draw(t, "common"),
			}
			pow[i] = rapid.SampledFrom([]float64{-2, -1, 1, 2}).Draw(t, "power")
		}
		scale := rapid.Float64Range(1e-6, 1e6).Draw(t, "scale")
		product := func(by float64) Model {
			return func(x []float64) float64 {
				y := by
				for i, v := range x {
					y *= math.Pow(v, pow[i])
				}
				return y
			}
		}
		a, err := FirstOrder(in, product(1), 0.95)
		if err != nil {
			t.Fatal(err)
		}
		b, err := FirstOrder(in, product(scale), 0.95)
		if err != nil {
			t.Fatal(err)
		}
		same := func(what string, got, want, rel float64) {
			if !(math.Abs(got-want) <= rel*math.Abs(want)) {
				t.Fatalf("%s: %g, want %g", what, got, want)
			}
		}
		total, least, byHand := 0.0, math.Inf(1), 0.0
		for i, p := range a.Parts {
			total += p.Fraction
			byHand = math.Hypot(byHand, pow[i]*p.Input.U/p.Value)
			if p.U < 0 || p.Fraction < 0 || p.Fraction > 1 {
				t.Fatalf("a part of %g, %g of the variance", p.U, p.Fraction)
			}
			if !sure(p.DoF) {
				least = min(least, p.DoF)
			}
		}
		same("fractions", total, 1, 1e-9)
		same("relative u, by hand", a.U/a.Value, byHand, 1e-5)
		same("U of a multiple", b.U, scale*a.U, 1e-6)
		same("common and random", math.Hypot(a.Common, a.Random), a.U, 1e-12)
		if !(a.U >= 0) || a.DoF < least*(1-1e-9) || a.K < 1.95 {
			t.Fatalf("u %g, %g degrees of freedom (least %g), K %g", a.U, a.DoF, least, a.K)
		}
	})
}
