package calib

import (
	"math"
	"strconv"
	"strings"
	"unicode"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// mostTyped is how long a value that a person wrote may be, in bytes.
const mostTyped = 40

// Typed is a reference's value as a person wrote it: the number, and its unit.
type Typed struct {
	Number, Unit string
	value        float64
	per          float64 // one of the unit, Pa or N
}

// Typed is what a person wrote for a point; false where nothing is known of that, or
// it is not what the point has: then its value speaks alone.
func (p Point) Typed(at rig.Place) (Typed, bool) {
	if p.Text == "" || len(p.Text) > mostTyped {
		return Typed{}, false
	}
	i := strings.LastIndexFunc(p.Text, unicode.IsDigit)
	t := Typed{Number: strings.TrimSpace(p.Text[:i+1]), Unit: strings.Trim(p.Text[i+1:], " .,")}
	v, err := strconv.ParseFloat(strings.ReplaceAll(t.Number, ",", ""), 64)
	if err != nil || strings.ContainsAny(t.Number, "xXpP_eE") {
		return Typed{}, false
	}
	parse := func(s string) (float64, error) {
		if at == rig.AtGauge {
			p, err := si.ParsePressure(s)
			return float64(p), err
		}
		f, err := si.ParseForce(s)
		return float64(f), err
	}
	if t.per, err = parse("1 " + t.Unit); err != nil || !(math.Abs(v*t.per-p.Reference) <= 1e-9*p.Reference) {
		return Typed{}, false
	}
	t.value = v
	return t, true
}

// ReferenceText is what the reference said, as it was written, else in the units of
// display.
func (p Point) ReferenceText(at rig.Place, sys si.System) string {
	if t, ok := p.Typed(at); ok {
		return t.Number + " " + t.Unit
	}
	return ValueText(at, p.Reference, sys)
}

// text is a value of the reference in the unit of a point, with one figure more than
// that was written with.
func (t Typed) text(v float64) string {
	_, fraction, _ := strings.Cut(t.Number, ".")
	return si.Number(v/t.per, min(6, len(fraction)+1)) + " " + t.Unit
}

// asTyped gives values in the unit a point was written in, else in that of display.
func (k *reckoner) asTyped(p Point) func(float64) string {
	if t, ok := p.Typed(k.run.At); ok {
		return t.text
	}
	return k.value
}

// swap is a value with two neighbouring digits swapped, and how it would have been
// written.
type swap struct {
	value float64
	text  string
}

// swaps are the values that a point's reference would have with two neighbouring
// digits swapped, of the digits as they were written; where that is not known, of
// those in the units of display, if they are few enough to have been written.
func (k *reckoner) swaps(p Point) (out []swap) {
	if t, ok := p.Typed(k.run.At); ok {
		for _, w := range swapped(t.value) {
			out = append(out, swap{w * t.per, strconv.FormatFloat(w, 'f', -1, 64) + " " + t.Unit})
		}
		return out
	}
	per := 1 / k.shown(1).Value
	for _, w := range swapped(p.Reference / per) {
		out = append(out, swap{w * per, k.value(w * per)})
	}
	return out
}

func (k *reckoner) shown(v float64) si.Shown {
	if k.run.At == rig.AtGauge {
		return si.Pressure(v).In(k.sys)
	}
	return si.Force(v).In(k.sys)
}
