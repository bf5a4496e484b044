package compare

import (
	"fmt"

	"draghand/internal/si"
)

// minimumLine holds a group against the minimum.
func (g *Group) minimumLine(minimum si.Stress, sys si.System) string {
	if !(minimum > 0) || len(g.Pulls) == 0 {
		return ""
	}
	under := g.under(minimum)
	bars := fmt.Sprintf("none of the %d bars is under it", len(g.Pulls))
	if under > 0 {
		bars = isUnder(under, len(g.Pulls)) + " under it"
	} else if len(g.Pulls) == 1 {
		bars = "the one bar is not under it"
	}
	asked := "Minimum " + fine(minimum, sys) + ": "
	switch c := g.CountOn; {
	case c == nil && under > 0:
		return asked + "NOT SHOWN, without a strength to count on: " + isUnder(under, len(g.Pulls)) + " under it."
	case c == nil:
		return asked + "cannot be told without a strength to count on; " + bars + "."
	case c.Holds == nil:
		return asked + "cannot be told, since what " + g.itself() + " may be off is not known; " + bars + "."
	case *c.Holds:
		switch c.Grade() {
		case NotTrusted:
			return asked + "the strength to count on would hold it, and " + NotTrusted + "; " + bars + "."
		case WithCaution:
			return asked + "the strength to count on holds it, " + WithCaution + "; " + bars + "."
		}
		return asked + "the strength to count on holds it; " + bars + "."
	}
	return asked + "NOT HELD by the strength to count on" + g.CountOn.ShortIn(minimum, sys) + "; " + bars + "."
}

// isUnder is "2 of 3 bars are".
func isUnder(n, all int) string {
	if all == 1 {
		return "the one bar is"
	}
	return fmt.Sprintf("%d of %d bars %s", n, all, map[bool]string{true: "is", false: "are"}[n == 1])
}
