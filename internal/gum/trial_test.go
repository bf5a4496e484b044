package gum

import (
	"math"
	"strings"
	"testing"
)

// checks.md 10.2: 2,000,000 draws of another generator, psi, within the
// tolerances stated there.
func TestMonteCarloOfTheRamRig(t *testing.T) {
	const draws = 2_000_000
	for _, c := range []struct {
		of                  string
		seed                uint64
		mean, sd, low, high float64
		meanTol, endTol     float64
	}{
		{u1, 20260101, 44069.4, 726.5, 42658, 45506, 2, 10},
		{u2, 20260103, 48141.1, 2130.9, 44115, 52467, 6, 30},
	} {
		tr, err := MonteCarlo(inputs(c.of), rammed(-1), draws, c.seed, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range []struct {
			what           string
			got, want, tol float64
		}{
			{"mean", tr.Mean, c.mean, c.meanTol},
			{"SD", tr.SD, c.sd, 0.003 * c.sd},
			{"low", tr.Low, c.low, c.endTol},
			{"high", tr.High, c.high, c.endTol},
		} {
			if !(math.Abs(f.got-f.want) <= f.tol) {
				t.Errorf("%s: %s %.1f, want %.1f ± %g", c.of, f.what, f.got, f.want, f.tol)
			}
		}
		t.Logf("%s: mean %.1f, SD %.1f, %.0f to %.0f", c.of, tr.Mean, tr.SD, tr.Low, tr.High)
		if tr.Draws != draws || tr.Seed != c.seed {
			t.Errorf("%+v", tr)
		}
	}
}

// The other role of the ram has no published draws: its first order has, and the
// draws must have its U and a mean that lies as far off as by hand. Of a product
// the mean is that of the factors, and that of 1/d² is (1 + 3 u²/d²)/d² to the
// second order.
func TestMonteCarloOfTheOtherRole(t *testing.T) {
	for of, want := range map[string][3]float64{u1: {45868.201, 0.016398824, 0.0005 / 0.250}, u2: {51070.955, 0.044100316, 0.002 / 0.113}} {
		tr, err := MonteCarlo(inputs(of), rammed(+1), 500_000, 7, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		mean := want[0] * (1 + 3*want[2]*want[2])
		near(t, of+" SD", tr.SD, want[0]*want[1], 0.006)
		if sd := want[0] * want[1] / math.Sqrt(500_000); math.Abs(tr.Mean-mean) > 5*sd {
			t.Errorf("%s: mean %.1f, want %.1f ± %.1f", of, tr.Mean, mean, 5*sd)
		}
	}
}

// Each distribution against its own ends, by closed form. Five standard errors of
// a sample quantile are √(p(1−p)/n)/density.
func TestDistributions(t *testing.T) {
	const n = 400_000
	for _, c := range []struct {
		in       Input
		sd, high float64
		tol      float64
	}{
		{Input{Value: 10, U: 2, Dist: Normal}, 2, 10 + 2*1.959964, 0.03},
		{Input{Value: 10, U: 2, Dist: Uniform}, 2, 10 + 2*math.Sqrt(3)*0.95, 0.01},
		{Input{Value: 10, U: 2, Dist: Student, DoF: 4}, 2 * math.Sqrt2, 10 + 2*2.776445, 0.08}, // t of checks.md 7.2
		{Input{Value: 10, U: 2, Dist: Student}, 2, 10 + 2*1.959964, 0.03},                      // known for sure
	} {
		c.in.Name = "x"
		tr, err := MonteCarlo([]Input{c.in}, sum, n, 3, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(tr.High-c.high) > c.tol || math.Abs(tr.Low-(20-c.high)) > c.tol || math.Abs(tr.Mean-10) > 0.03 {
			t.Errorf("%s, %g degrees: %.3f to %.3f about %.3f, want the high end at %.3f", c.in.Dist, c.in.DoF, tr.Low, tr.High, tr.Mean, c.high)
		}
		near(t, "SD of "+string(c.in.Dist), tr.SD, c.sd, 0.03)
	}
}

// Two of one scatter are as one Student of their root sum of squares; apart they
// are not. By closed form 5 · t(2) = 5 · 4.302653 (checks.md 7.2).
func TestDrawsOfOneScatter(t *testing.T) {
	of := func(scatter string) float64 {
		in := []Input{
			{Name: "a", U: 3, DoF: 2, Dist: Student, Scatter: scatter},
			{Name: "b", U: 4, DoF: 2, Dist: Student, Scatter: scatter},
		}
		tr, err := MonteCarlo(in, sum, 400_000, 5, 0.95)
		if err != nil {
			t.Fatal(err)
		}
		return tr.High
	}
	// Density of t(2) at 4.30 is 0.0107: 5 · 5 · √(0.025·0.975/400000)/0.0107 = 0.58.
	if got := of("s"); math.Abs(got-5*4.302653) > 0.58 {
		t.Errorf("of one scatter the interval ends at %.2f, want %.2f", got, 5*4.302653)
	}
	if apart := of(""); math.Abs(apart-5*4.302653) < 2*0.58 {
		t.Errorf("apart it ends at %.2f, as of one scatter", apart)
	}
}

// The ends as JCGM 101, 7.7.2 counts them, by hand on 1 to 1000: q = 950, r =
// 25, so the 25th and the 975th; of 1 to 1001 q = 951 (950.95 + ½), r = 25.
func TestEnds(t *testing.T) {
	for n, want := range map[int][2]float64{1000: {25, 975}, 1001: {25, 976}} {
		y := make([]float64, n)
		for i := range y {
			y[i] = float64(i + 1)
		}
		if low, high := ends(y, 0.95); low != want[0] || high != want[1] {
			t.Errorf("of %d: %g to %g, want %v", n, low, high, want)
		}
	}
}

func TestMonteCarloIsTheSameAgain(t *testing.T) {
	a, err := MonteCarlo(inputs(u2), rammed(-1), 5000, 9, 0.95)
	b, err2 := MonteCarlo(inputs(u2), rammed(-1), 5000, 9, 0.95)
	c, err3 := MonteCarlo(inputs(u2), rammed(-1), 5000, 10, 0.95)
	if err != nil || err2 != nil || err3 != nil || a != b || a == c {
		t.Errorf("%v %v %v: %v, %v, other seed %v", err, err2, err3, a, b, c)
	}
}

// A draw without a result is an error that says what was drawn.
func TestDrawWithoutResult(t *testing.T) {
	in := []Input{{Name: "d", Value: 1, U: 1, Dist: Normal}}
	_, err := MonteCarlo(in, func(x []float64) float64 { return math.Sqrt(x[0]) }, 1000, 1, 0.95)
	if err == nil || !strings.Contains(err.Error(), "of 1000 has no finite result: d = -") {
		t.Errorf("%v", err)
	}
	for _, n := range []int{0, 999, 20_000_000} {
		if _, err := MonteCarlo(inputs(u1), rammed(-1), n, 1, 0.95); err == nil || !strings.Contains(err.Error(), "draws") {
			t.Errorf("%d draws: %v", n, err)
		}
	}
}

// JCGM 101, 8.1 (from memory), worked by hand: u = 2127.6 is 2.1e3, so half of
// 100; u = 0.0999 is 0.10, so half of 0.01.
func TestAgrees(t *testing.T) {
	for u, want := range map[float64]float64{2127.6: 50, 31.671: 0.5, 0.0999: 0.005, 1: 0.05, 9.94: 0.05, 99.7: 5, 0: 0} {
		if got := tolerance(u); math.Abs(got-want) > 1e-12*want {
			t.Errorf("of u %g: %g, want %g", u, got, want)
		}
	}
	r := Result{Value: 100, U: 2, Expanded: 4} // tolerance 0.05
	for _, c := range []struct {
		low, high float64
		want      bool
	}{{96.04, 103.96, true}, {96.06, 104, false}, {96, 104.06, false}, {95.94, 104, false}} {
		if got := Agrees(r, Trial{Low: c.low, High: c.high}); got != c.want {
			t.Errorf("%g to %g: %v", c.low, c.high, got)
		}
	}
	// A lopsided one, checks.md 10.2: U2 ends 4115 → 44115 and 52467 where the first
	// order has 43926 to 52266.
	first, err := FirstOrder(inputs(u2), rammed(-1), 0.95)
	if err != nil || Agrees(first, Trial{Low: 44115, High: 52467}) {
		t.Errorf("U2 agrees, %v", err)
	}
}

// One slice, the values and the urns: no allocation a draw.
func TestMonteCarloAllocations(t *testing.T) {
	in, m := inputs(u1), rammed(-1)
	if n := testing.AllocsPerRun(3, func() { _, _ = MonteCarlo(in, m, 5000, 1, 0.95) }); n > 10 {
		t.Errorf("%g allocations of 5000 draws", n)
	}
}

func BenchmarkMonteCarlo(b *testing.B) {
	in, m := inputs(u1), rammed(-1)
	for b.Loop() {
		if _, err := MonteCarlo(in, m, 100_000, 1, 0.95); err != nil {
			b.Fatal(err)
		}
	}
}
