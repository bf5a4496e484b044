package compare

import (
	"draghand/internal/batch"
	"draghand/internal/si"
)

// StatedMinimum is the one minimum that stands in the records of all bars that count; 0
// where none does, or several do.
func (c *Comparison) StatedMinimum() (one si.Stress) {
	for i := range c.Groups {
		for j := range c.Groups[i].Pulls {
			switch m := c.Groups[i].Pulls[j].Minimum; {
			case !(m > 0) || one > 0 && m != one:
				return 0
			default:
				one = m
			}
		}
	}
	return one
}

// offer says that no minimum was given though one stands in the records; empty where it
// does not.
func (c *Comparison) offer(sys si.System) string {
	m := c.StatedMinimum()
	if c.Options.Minimum > 0 || !(m > 0) {
		return ""
	}
	n := 0
	for i := range c.Groups {
		n += len(c.Groups[i].Pulls)
	}
	where := "all " + plural(n, "record")
	switch n {
	case 1:
		where = "the record"
	case 2:
		where = "both records"
	}
	return "Minimum: none given; " + fine(m, sys) + " stands in " + where + ": --minimum \"" + fine(m, sys) + "\" takes it."
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
