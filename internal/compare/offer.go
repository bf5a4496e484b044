package compare

import (
	"fmt"
	"math"

	"draghand/internal/batch"
	"draghand/internal/si"
)

// StatedMinimum is the one minimum that stands in the records of bars that count, of all
// that have one; 0 where none does, or several do.
func (c *Comparison) StatedMinimum() (one si.Stress) {
	for i := range c.Groups {
		for j := range c.Groups[i].Pulls {
			switch m := c.Groups[i].Pulls[j].Minimum; {
			case !(m > 0): // not looked at yet, or pulled without
			case one > 0 && m != one:
				return 0
			default:
				one = m
			}
		}
	}
	return one
}

// exactly is how near a figure comes to what was stated where only the last digit of the
// machine's arithmetic is between them.
const exactly = 1e-12

// OfferedText is a minimum from the records as it can be typed, never below what stands
// there: in the units of sys where three decimals have it exactly, else in the other
// ones where they have, else in those of sys, rounded up.
func OfferedText(v si.Stress, sys si.System) string {
	for _, u := range []si.System{sys, other(sys)} {
		s := v.In(u)
		for ; s.Decimals <= 3; s.Decimals++ {
			if back, err := si.ParseStress(s.String()); err == nil && math.Abs(float64(back-v)) <= exactly*math.Abs(float64(v)) {
				return s.String()
			}
		}
	}
	s := v.In(sys)
	s.Decimals = 3
	s.Value = math.Ceil(s.Value*1e3) / 1e3
	return s.String()
}

// other is the other system of units.
func other(sys si.System) si.System {
	if sys == si.Metric {
		return si.US
	}
	return si.Metric
}

// offer says that no minimum was given though one stands in the records; empty where it
// does not.
func (c *Comparison) offer(sys si.System) string {
	m := c.StatedMinimum()
	if c.Options.Minimum > 0 || !(m > 0) {
		return ""
	}
	n, have := 0, 0
	for i := range c.Groups {
		n += len(c.Groups[i].Pulls)
		have += counted(c.Groups[i].Pulls, func(p *Pull) bool { return p.Minimum > 0 })
	}
	where := fmt.Sprintf("the records of all %d bars that count", n)
	switch {
	case have < n:
		where = fmt.Sprintf("the records of %d of %d bars that count", have, n)
	case n == 1:
		where = "the record of the bar that counts"
	case n == 2:
		where = "the records of both bars that count"
	}
	at := OfferedText(m, sys)
	return "Minimum: none given; " + at + " stands in " + where + ": --minimum \"" + at + "\" takes it."
}

// ApartTexts are Grubbs' statistic and its limit to so many decimals, with one more where
// they would look alike, and another.
func ApartTexts(o *batch.Outlier, decimals int) (at, limit string) {
	for more := range 3 {
		if at, limit = si.Number(o.G, decimals+more), si.Number(o.Critical, decimals+more); at != limit {
			break
		}
	}
	return at, limit
}

// NotUnbiased says why Weibull's modulus has no unbiased one beside it; empty where it has.
func (g *Group) NotUnbiased() string {
	switch w := g.Weibull; {
	case w == nil || finite(w.Unbiased):
		return ""
	case w.N > w.Failures:
		return "that takes bars that all broke"
	case w.N < 4:
		return "that takes 4 bars"
	}
	return ""
}
