package strength

import (
	"math"
	"math/big"
	"testing"

	"draghand/internal/si"
	"pgregory.net/rapid"
)

// Rounding to a step, a half to the even multiple. Source of the rows: the project's
// list of check values, section 4, computed with Python's decimal, ROUND_HALF_EVEN;
// the steps and the rule (ASTM E29, ISO 6892-1, ASTM E8/E8M choice (a)) are from
// memory. in is the unit that the value came through as SI, 0: none.
func TestRounding(t *testing.T) {
	for _, c := range []struct {
		value float64
		in    float64
		step  step
		want  string
	}{
		{44_949, si.PSI, strengthStepPSI(44_949), "44,900"},
		{44_950, si.PSI, strengthStepPSI(44_950), "45,000"},
		{45_050, si.PSI, strengthStepPSI(45_050), "45,000"},
		{45_150, si.PSI, strengthStepPSI(45_150), "45,200"},
		{62_250, si.PSI, strengthStepPSI(62_250), "62,000"},
		{101_500, si.PSI, strengthStepPSI(101_500), "102,000"},
		{102_500, si.PSI, strengthStepPSI(102_500), "102,000"},
		{310.5, si.Megapascal, strengthStepMPa(310.5), "310"},
		{311.5, si.Megapascal, strengthStepMPa(311.5), "312"},
		{310.5, si.Megapascal, isoStrength(), "310"},
		{311.5, si.Megapascal, isoStrength(), "312"},
		{6.25, 0.01, isoElongation(), "6.0"},
		{6.75, 0.01, isoElongation(), "7.0"},
		{12.5, 0.01, reduction(), "12"},
		{13.5, 0.01, reduction(), "14"},
		{27.45, 0, step{1, 10, 1}, "27.4"},
		{27.55, 0, step{1, 10, 1}, "27.6"},
		// Choices (b) and (c) of ASTM E8/E8M for all strengths, and the yield-point
		// extension of ISO 6892-1: the program offers neither, so that the rounding step
		// alone is used.
		{44_950, si.PSI, step{100, 1, 0}, "45,000"},
		{62_250, si.PSI, step{100, 1, 0}, "62,200"},
		{101_550, si.PSI, step{100, 1, 0}, "101,600"},
		{1005.5, si.Megapascal, step{1, 1, 0}, "1,006"},
		{44_750, si.PSI, step{500, 1, 0}, "45,000"},
		{62_250, si.PSI, step{500, 1, 0}, "62,000"},
		{101_250, si.PSI, step{500, 1, 0}, "101,000"},
		{312.5, si.Megapascal, step{5, 1, 0}, "310"},
		{1007.5, si.Megapascal, step{5, 1, 0}, "1,010"},
		{1.25, 0.01, step{1, 10, 1}, "1.2"},
		{1.35, 0.01, step{1, 10, 1}, "1.4"},
		// By hand, the same rules: the steps at their edges and the small elongations.
		{499.5, si.Megapascal, strengthStepMPa(499.5), "500"},
		{502.5, si.Megapascal, strengthStepMPa(502.5), "500"},
		{507.5, si.Megapascal, strengthStepMPa(507.5), "510"},
		{1005, si.Megapascal, strengthStepMPa(1005), "1,000"},
		{49_950, si.PSI, strengthStepPSI(49_950), "50,000"},
		{50_250, si.PSI, strengthStepPSI(50_250), "50,000"},
		{1.1, 0.01, e8Elongation(1.1), "1.2"},
		{1.3, 0.01, e8Elongation(1.3), "1.2"},
		{3.25, 0.01, e8Elongation(3.25), "3.0"},
	} {
		v := c.value
		if c.in > 0 {
			v = v * c.in / c.in // the way through SI leaves dust in the last digits
		}
		if got := c.step.nearest(v); got != c.want {
			t.Errorf("%v by %d/%d = %s, want %s", c.value, c.step.num, c.step.den, got, c.want)
		}
	}
	for _, c := range []struct {
		value float64
		step  step
		want  string
	}{{300, step{100, 1, 0}, "300"}, {300.000001, step{100, 1, 0}, "400"}, {5.000000000000001, step{1, 1, 0}, "5"}, {0.2, step{1, 1, 0}, "1"}, {0, step{1, 1, 0}, "0"}} {
		if got := c.step.up(c.value); got != c.want {
			t.Errorf("%v up by %d/%d = %s, want %s", c.value, c.step.num, c.step.den, got, c.want)
		}
	}
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got := isoStrength().nearest(v); got != "" {
			t.Errorf("%v rounds to %q", v, got)
		}
	}
}

// For any value and step: the result is a multiple, within half a step of the
// value, even where it lies half way, and rounded again is itself.
func TestRoundingHolds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom([]step{{1, 10, 1}, {1, 5, 1}, {1, 2, 1}, {1, 1, 0}, {5, 1, 0}, {10, 1, 0}, {100, 1, 0}, {500, 1, 0}, {1000, 1, 0}}).Draw(t, "step")
		unit := big.NewRat(s.num, s.den)
		var v float64
		if rapid.Bool().Draw(t, "half way") {
			v = float64(2*rapid.Int64Range(-1e5, 1e5).Draw(t, "n")+1) * float64(s.num) / float64(2*s.den)
		} else {
			v = rapid.Float64Range(-1e7, 1e7).Draw(t, "v")
		}
		exact := decimal(v)
		got := parsed(t, s.nearest(v))
		times := new(big.Rat).Quo(got, unit)
		if !times.IsInt() {
			t.Fatalf("%v by %v gives %v, no multiple", v, unit, got)
		}
		off := new(big.Rat).Sub(got, exact)
		off.Abs(off)
		switch half := new(big.Rat).Mul(unit, big.NewRat(1, 2)); off.Cmp(half) {
		case 1:
			t.Fatalf("%v by %v gives %v, more than half a step away", v, unit, got)
		case 0:
			if times.Num().Bit(0) == 1 {
				t.Fatalf("%v by %v gives %v, an odd multiple of a half", v, unit, got)
			}
		}
		f, _ := got.Float64()
		if again := parsed(t, s.nearest(f)); again.Cmp(got) != 0 {
			t.Fatalf("%v by %v gives %v, and that %v", v, unit, got, again)
		}
		up := parsed(t, s.up(v))
		if d := new(big.Rat).Sub(up, exact); d.Sign() < 0 || d.Cmp(unit) >= 0 {
			t.Fatalf("%v up by %v gives %v", v, unit, up)
		}
	})
}

func parsed(t *rapid.T, text string) *big.Rat {
	clean := ""
	for _, r := range text {
		if r != ',' {
			clean += string(r)
		}
	}
	r, ok := new(big.Rat).SetString(clean)
	if !ok {
		t.Fatalf("%q is no number", text)
	}
	return r
}

// A value with its uncertainty: two digits of it, upwards. By hand.
func TestFigure(t *testing.T) {
	for _, c := range []struct {
		pa, u float64
		sys   si.System
		want  string
	}{
		{314.16e6, 5.02e6, si.Metric, "314.2 MPa ± 5.1 MPa (95 %)"},
		{314.16e6, 5.1e6, si.Metric, "314.2 MPa ± 5.1 MPa (95 %)"},
		{314.16e6, 12.1e6, si.Metric, "314 MPa ± 13 MPa (95 %)"},
		{314.16e6, 0.512e6, si.Metric, "314.16 MPa ± 0.52 MPa (95 %)"},
		{314.16e6, 123e6, si.Metric, "314 MPa ± 123 MPa (95 %)"},
		{45_000 * si.PSI, 730 * si.PSI, si.US, "45.00 ksi ± 0.73 ksi (95 %)"},
		{45_000 * si.PSI, 731 * si.PSI, si.US, "45.00 ksi ± 0.74 ksi (95 %)"},
	} {
		if got := figure(c.pa, c.u, 0.95, c.sys); got != c.want {
			t.Errorf("%v ± %v: %q, want %q", c.pa, c.u, got, c.want)
		}
	}
}
