package rig

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"draghand/internal/si"
)

// The quantities of a rig file that are more than a number and a unit. Each
// reader returns why the text is none; what would be right is the key's own
// example, given with the fault.

// why cuts a quantity's error down to its reason: the key's example already
// says what would be right.
func why(err error) string {
	if ue, ok := errors.AsType[*si.UnitError](err); ok {
		return fmt.Sprintf("%q is no %s: %s", ue.Text, ue.Kind, ue.Why)
	}
	return err.Error()
}

// toleranced reads "42.0 cm² ± 0.2 cm²" or "42.0 cm² ± 0.5 %": a value and its
// limit of error, which must be given.
func toleranced[Q ~float64](s string, parse func(string) (Q, error)) (v, tol Q, err error) {
	first, second := si.SplitTolerance(s)
	if v, err = parse(first); err != nil {
		return 0, 0, err
	}
	if second == "" {
		return 0, 0, fmt.Errorf("%q has no limit of error", s)
	}
	if pct, ok := strings.CutSuffix(second, "%"); ok {
		p, err := number(pct)
		if err != nil {
			return 0, 0, err
		}
		tol = Q(math.Abs(float64(v)) * p / 100)
	} else if tol, err = parse(second); err != nil {
		return 0, 0, err
	}
	if tol < 0 {
		return 0, 0, fmt.Errorf("the limit of error in %q is negative", s)
	}
	return v, tol, nil
}

// span reads "0 bar .. 700 bar": a low end and a high end, each with its unit.
func span[Q ~float64](s string, parse func(string) (Q, error)) (low, high Q, err error) {
	a, b, ok := strings.Cut(s, "..")
	if !ok {
		return 0, 0, fmt.Errorf("%q is no range", s)
	}
	if low, err = parse(a); err != nil {
		return 0, 0, err
	}
	if high, err = parse(strings.TrimPrefix(b, ".")); err != nil {
		return 0, 0, err
	}
	if low >= high {
		return 0, 0, fmt.Errorf("in %q the low end is not below the high end", s)
	}
	return low, high, nil
}

// number reads a bare decimal number, nothing strconv would take beyond it
// (hexadecimal, underscores, "inf").
func number(s string) (float64, error) {
	s = strings.TrimSpace(s)
	if s == "" || strings.Trim(s, "+-.0123456789eE") != "" {
		return 0, fmt.Errorf("%q is no number", s)
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || !finite(v) {
		return 0, fmt.Errorf("%q is no finite number", s)
	}
	return v, nil
}

// fraction reads "0.5" or "50 %".
func fraction(s string) (float64, error) {
	if pct, ok := strings.CutSuffix(strings.TrimSpace(s), "%"); ok {
		v, err := number(pct)
		return v / 100, err
	}
	return number(s)
}

// fractionTol reads "0.5 ± 0.01", "50 % ± 1 %" or a bare fraction, whose limit
// of error is then the given one. A limit in percent means percent of the
// whole, as the value does: "3 % ± 2 %" is 0.03 ± 0.02.
func fractionTol(s string, otherwise float64) (v, tol float64, err error) {
	first, second := si.SplitTolerance(s)
	if v, err = fraction(first); err != nil {
		return 0, 0, err
	}
	if second == "" {
		return v, otherwise, nil
	}
	if strings.HasSuffix(second, "%") && !strings.HasSuffix(first, "%") {
		return 0, 0, fmt.Errorf("%q mixes a fraction and percent", s)
	}
	if tol, err = fraction(second); err != nil {
		return 0, 0, err
	}
	if tol < 0 {
		return 0, 0, fmt.Errorf("the limit of error in %q is negative", s)
	}
	return v, tol, nil
}

// accuracy reads "0.5 % of full scale" or "1 % of reading".
func accuracy(s string) (v float64, ofReading bool, err error) {
	first, of, ok := strings.Cut(s, "% of ")
	if !ok {
		return 0, false, fmt.Errorf("%q does not say of what it is a percentage", s)
	}
	switch strings.TrimSpace(of) {
	case "full scale":
	case "reading", "the reading":
		ofReading = true
	default:
		return 0, false, fmt.Errorf("%q is neither of full scale nor of reading", s)
	}
	v, err = number(strings.Trim(strings.TrimSpace(first), "±"))
	return v / 100, ofReading, err
}

// point reads "820 = 0 bar": a raw number and the pressure it stands for.
func point(s string) (raw float64, p si.Pressure, err error) {
	a, b, ok := strings.Cut(s, "=")
	if !ok {
		return 0, 0, fmt.Errorf("%q is no pair of a number and a pressure", s)
	}
	if raw, err = number(a); err != nil {
		return 0, 0, err
	}
	p, err = si.ParsePressure(b)
	return raw, p, err
}

// seconds reads "5 s", "500 ms" or "1 min".
func seconds(s string) (float64, error) {
	return scaled(s, "time", []scale{{"ms", 1e-3}, {"min", 60}, {"s", 1}})
}

// hertz reads "100 Hz", "1 kHz" or "100 /s".
func hertz(s string) (float64, error) {
	return scaled(s, "rate", []scale{{"kHz", 1e3}, {"Hz", 1}, {"/s", 1}})
}

type scale struct {
	unit   string
	factor float64
}

func scaled(s, kind string, scales []scale) (float64, error) {
	for _, u := range scales {
		if n, ok := strings.CutSuffix(strings.TrimSpace(s), u.unit); ok {
			v, err := number(n)
			if err != nil {
				return 0, fmt.Errorf("%q is no %s: %w", s, kind, err)
			}
			return v * u.factor, nil
		}
	}
	if _, err := number(s); err == nil {
		return 0, fmt.Errorf("%q has no unit", s)
	}
	return 0, fmt.Errorf("%q is no %s", s, kind)
}

// stiffness reads "40 kN/mm": newtons per metre.
func stiffness(s string) (float64, error) {
	a, b, ok := strings.Cut(s, "/")
	if !ok {
		return 0, fmt.Errorf("%q is no force per length", s)
	}
	f, err := si.ParseForce(a)
	if err != nil {
		return 0, err
	}
	l, err := si.ParseLength("1 " + strings.TrimSpace(b))
	if err != nil {
		return 0, err
	}
	return float64(f) / float64(l), nil
}
