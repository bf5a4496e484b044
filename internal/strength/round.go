package strength

import (
	"math"
	"math/big"
	"strconv"

	"draghand/internal/si"
)

// step is what a reported value is a whole multiple of: num/den, with so many
// decimals.
type step struct {
	num, den int64
	decimals int
}

// decimalDigits are the significant digits a value is taken to before it is
// rounded: what is beyond them is dust of the binary arithmetic between psi and Pa.
const decimalDigits = 12

// decimal is a value to decimalDigits significant digits; nil where it is no
// finite number.
func decimal(v float64) *big.Rat {
	r, ok := new(big.Rat).SetString(strconv.FormatFloat(v, 'e', decimalDigits-1, 64))
	if !ok {
		return nil
	}
	return r
}

// nearest is the value to the nearest multiple, a half to the even one (ASTM E29),
// in decimal; empty where it is no finite number.
func (s step) nearest(v float64) string {
	return s.rounded(v, func(_ *big.Int, twice int, odd bool) bool { return twice > 0 || twice == 0 && odd })
}

// up is the value to the next multiple above it, itself where it is one.
func (s step) up(v float64) string {
	return s.rounded(v, func(rest *big.Int, _ int, _ bool) bool { return rest.Sign() > 0 })
}

// down is the greatest multiple that is not above the value; not ok where it is no
// finite number.
func (s step) down(v float64) (multiple float64, ok bool) {
	return s.multiple(v, func(*big.Int, int, bool) bool { return false })
}

// rounded is a multiple as it is written; empty where there is none.
func (s step) rounded(v float64, goUp func(rest *big.Int, twice int, odd bool) bool) string {
	f, ok := s.multiple(v, goUp)
	if !ok {
		return ""
	}
	return si.Number(f, s.decimals)
}

// multiple divides by the step and asks whether to go up from the whole part: rest
// is what is left over, twice how the double of it compares with a whole.
func (s step) multiple(v float64, goUp func(rest *big.Int, twice int, odd bool) bool) (float64, bool) {
	r := decimal(v)
	if r == nil {
		return 0, false
	}
	r.Quo(r, big.NewRat(s.num, s.den))
	whole, rest := new(big.Int).DivMod(r.Num(), r.Denom(), new(big.Int)) // rest ≥ 0
	twice := new(big.Int).Lsh(rest, 1).Cmp(r.Denom())
	if goUp(rest, twice, whole.Bit(0) == 1) {
		whole.Add(whole, big.NewInt(1))
	}
	out := new(big.Rat).SetInt(whole)
	out.Mul(out, big.NewRat(s.num, s.den))
	f, _ := out.Float64()
	return f, true
}

// Down is a strength as a promise of it is written: in ksi or MPa, to the step of
// ASTM E8/E8M, choice (a), and never above the value.
func Down(s si.Stress, sys si.System) si.Shown {
	if sys == si.Metric {
		mpa, ok := strengthStepMPa(float64(s) / si.Megapascal).down(float64(s) / si.Megapascal)
		return orNaN(mpa, ok, 0, "MPa")
	}
	at := strengthStepPSI(float64(s) / si.PSI)
	psi, ok := at.down(float64(s) / si.PSI)
	decimals := 1
	if at.num%1000 == 0 {
		decimals = 0
	}
	return orNaN(psi/1000, ok, decimals, "ksi")
}

func orNaN(v float64, ok bool, decimals int, unit string) si.Shown {
	if !ok {
		v = math.NaN()
	}
	return si.Shown{Value: v, Decimals: decimals, Unit: unit}
}

// The steps of the standards, all from memory (checks.md 4 of the project; see
// docs/results.md). Those of E8/E8M are choice (a).
func strengthStepPSI(psi float64) step {
	switch v := trimmed(psi); {
	case v < 50_000:
		return step{100, 1, 0}
	case v < 100_000:
		return step{500, 1, 0}
	}
	return step{1000, 1, 0}
}

func strengthStepMPa(mpa float64) step {
	switch v := trimmed(mpa); {
	case v < 500:
		return step{1, 1, 0}
	case v < 1000:
		return step{5, 1, 0}
	}
	return step{10, 1, 0}
}

// isoStrength is a whole MPa, whatever the strength.
func isoStrength() step { return step{1, 1, 0} }

// isoElongation is half a percent.
func isoElongation() step { return step{1, 2, 1} }

// e8Elongation is half a percent, a fifth where it is 3 % or less.
func e8Elongation(percent float64) step {
	if trimmed(percent) <= 3 {
		return step{1, 5, 1}
	}
	return step{1, 2, 1}
}

// reduction is one percent in both standards.
func reduction() step { return step{1, 1, 0} }

// trimmed is a value to decimalDigits.
func trimmed(v float64) float64 {
	r := decimal(v)
	if r == nil {
		return v
	}
	f, _ := r.Float64()
	return f
}

// round gives the results as the standards write them; nil where there is nothing
// to write.
func (r *Results) round(sys si.System) *Rounded {
	var out Rounded
	if r.StrengthPa != nil {
		psi, mpa := *r.StrengthPa/si.PSI, *r.StrengthPa/si.Megapascal
		at, v, unit, in := strengthStepPSI(psi), psi, " psi", float64(si.PSI)
		if sys == si.Metric {
			at, v, unit, in = strengthStepMPa(mpa), mpa, " MPa", si.Megapascal
		}
		out.StrengthE8 = at.nearest(v) + unit
		out.StrengthISO = isoStrength().nearest(mpa) + " MPa"
		if r.StrengthExpandedPa != nil {
			out.ExpandedE8 = at.up(*r.StrengthExpandedPa/in) + unit
		}
	}
	if r.Elongation != nil {
		p := 100 * *r.Elongation
		out.ElongationE8, out.ElongationISO = e8Elongation(p).nearest(p)+" %", isoElongation().nearest(p)+" %"
	}
	if r.ReductionOfArea != nil {
		p := 100 * *r.ReductionOfArea
		out.ReductionE8 = reduction().nearest(p) + " %"
		out.ReductionISO = out.ReductionE8
	}
	if out == (Rounded{}) {
		return nil
	}
	return &out
}

// figure is a stress with its expanded uncertainty, upwards to two significant
// digits (GUM 7.2.6), and the stress to the same decimal: "314.2 MPa ± 5.1 MPa
// (95 %)".
func figure(pa, expanded, coverage float64, sys si.System) string {
	v, unit, u := figureParts(pa, expanded, coverage, sys)
	return v + " " + unit + " " + u
}

func figureParts(pa, expanded, coverage float64, sys si.System) (value, unit, plusMinus string) {
	value, doubt, unit := Doubted(si.Stress(pa), si.Stress(expanded), sys)
	return value, unit, "± " + doubt + " " + unit + " (" + strconv.FormatFloat(trimmed(100*coverage), 'g', 3, 64) + " %)"
}

// Doubted is a stress and its expanded uncertainty as all results write them, without
// the coverage: "43.42", "0.91", "ksi".
func Doubted(v, expanded si.Stress, sys si.System) (number, doubt, unit string) {
	in := float64(si.KSI)
	unit = "ksi"
	if sys == si.Metric {
		in, unit = si.Megapascal, "MPa"
	}
	s := twoDigits(float64(expanded) / in)
	return s.nearest(float64(v) / in), s.up(float64(expanded) / in), unit
}

// twoDigits is the step of a value's second significant digit, never finer than
// a thousandth and never coarser than one.
func twoDigits(u float64) step {
	s := step{1, 1, 0}
	for t := trimmed(u); t < 10 && s.decimals < 3; t *= 10 {
		s.den *= 10
		s.decimals++
	}
	return s
}
