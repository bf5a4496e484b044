package compare

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"draghand/internal/si"
	"draghand/internal/strength"
)

// number is a stress without its unit, with the decimals strengths are shown with.
func number(v float64, sys si.System) string { return si.Stress(v).In(sys).Number() }

// text is the same with its unit.
func text(v float64, sys si.System) string { return si.Stress(v).Text(sys) }

// spread is a scatter or a difference: more decimals where the usual ones would leave
// nothing of it.
func spread(v float64, sys si.System) string {
	s := si.Stress(v).In(sys)
	for a := math.Abs(s.Value); a > 0 && a*math.Pow10(s.Decimals) < 1 && s.Decimals < 4; {
		s.Decimals++
	}
	return s.String()
}

// bare is spread without its unit.
func bare(v float64, sys si.System) string {
	t := spread(v, sys)
	for i := range t {
		if t[i] == ' ' {
			return t[:i]
		}
	}
	return t
}

// percent is a fraction in percent to so many decimals.
func percent(v float64, decimals int) string { return si.Number(100*v, decimals) + " %" }

// whole is a fraction in percent as it was asked for: "90 %", "99.9 %".
func whole(v float64) string {
	return strconv.FormatFloat(math.Round(v*1e6)/1e4, 'f', -1, 64) + " %"
}

// finer is a scatter with one decimal more than spread: what hangs on it, k times it
// above all, can then be followed.
func finer(v float64, sys si.System) string {
	s := si.Stress(v).In(sys)
	s.Decimals++
	for a := math.Abs(s.Value); a > 0 && a*math.Pow10(s.Decimals) < 10 && s.Decimals < 5; {
		s.Decimals++
	}
	return s.String()
}

// toward is a stress rounded one way, with so many decimals more than strengths are
// shown with, so that a bound and what is taken off it can be followed.
func toward(v si.Stress, sys si.System, more int, way func(float64) float64) si.Shown {
	s := v.In(sys)
	s.Decimals += more
	p := math.Pow10(s.Decimals)
	s.Value = way(trimmed(s.Value*p)) / p
	return s
}

// trimmed is a value without the dust of binary arithmetic.
func trimmed(v float64) float64 {
	t, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', 11, 64), 64)
	if err != nil {
		return v
	}
	return t
}

// AtText is the bound in words: rounded down, one decimal finer than a strength.
func (b *Bound) AtText(sys si.System) string { return toward(b.At, sys, 1, math.Floor).String() }

// Name is the bound as it is asked for, "90/95".
func (b *Bound) Name() string {
	n := func(v float64) string { return strconv.FormatFloat(math.Round(v*1e6)/1e4, 'f', -1, 64) }
	return n(b.Content) + "/" + n(b.Confidence)
}

// Text is the strength to count on, rounded down to the step of the standards; "none"
// where there is none.
func (c *CountOn) Text(sys si.System) string {
	if s := strength.Down(c.Strength, sys); s.Value > 0 {
		return s.String()
	}
	return "none"
}

// CommonText is what is taken off for what the rig itself may be off: rounded up.
func (c *CountOn) CommonText(sys si.System) string {
	return toward(c.Common, sys, c.finer(sys), math.Ceil).String()
}

// BoundText is the bound that it is taken off, with as many decimals: rounded down.
func (c *CountOn) BoundText(sys si.System) string {
	return toward(c.Bound.At, sys, c.finer(sys), math.Floor).String()
}

// finer is how many decimals more bound and common part need for their difference, as
// they are shown, not to lie under the strength to count on, as that is shown.
func (c *CountOn) finer(sys si.System) int {
	shown := strength.Down(c.Strength, sys).Value
	for more := 1; more < 5; more++ {
		if rest := toward(c.Bound.At, sys, more, math.Floor).Value - toward(c.Common, sys, more, math.Ceil).Value; trimmed(rest) >= shown {
			return more
		}
	}
	return 1
}

// Nothing says that there is no strength to count on yet.
func (c *CountOn) Nothing(sys si.System) bool { return !(strength.Down(c.Strength, sys).Value > 0) }

// chance is a probability in shop words.
func chance(p float64) string {
	switch {
	case math.IsNaN(p):
		return "nobody knows how often"
	case p > 0.5:
		return "more often than not"
	case p >= 0.095:
		return fmt.Sprintf("in %.0f of 100 comparisons", 100*p)
	case p >= 0.0001:
		return "in 1 of " + si.Number(roughly(1/p), 0) + " comparisons"
	}
	return "in fewer than 1 of 10,000 comparisons"
}

// roughly is a count to two digits.
func roughly(v float64) float64 {
	at := math.Pow10(int(math.Floor(math.Log10(v))) - 1)
	if at < 1 {
		at = 1
	}
	return math.Round(v/at) * at
}

// short is a probability with two digits.
func short(p float64) string {
	if p < 0.0001 {
		return "< 0.0001"
	}
	return strconv.FormatFloat(p, 'g', 2, 64)
}

// capital is a text at the begin of a sentence.
func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }
