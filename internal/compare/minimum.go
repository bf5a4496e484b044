package compare

import (
	"fmt"
	"strings"

	"draghand/internal/si"
)

// minimumLine holds a group against the minimum.
func (g *Group) minimumLine(minimum si.Stress, sys si.System) string {
	if !(minimum > 0) || len(g.Pulls) == 0 {
		return ""
	}
	under := g.Under(minimum)
	bars := fmt.Sprintf("none of the %d bars is under it", len(g.Pulls))
	if under > 0 {
		bars = isUnder(under, len(g.Pulls)) + " under it"
	} else if len(g.Pulls) == 1 {
		bars = "the one bar is not under it"
	}
	asked := "Minimum " + fine(minimum) + ": "
	it := "the strength to count on"
	if c := g.CountOn; c != nil {
		if as := c.AsStated(minimum, sys); as != "" {
			it += ", " + as + ","
		}
	}
	v := g.Verdict(minimum)
	switch v {
	case UnderWithout:
		return asked + "NOT SHOWN, without a strength to count on: " + bars + "."
	case CannotBeTold:
		if c := g.CountOn; c != nil && c.Promised > 0 {
			return asked + "cannot be told, since what " + g.itself() + " may be off is not known; " + bars + "."
		}
		return asked + "cannot be told without a strength to count on; " + bars + "."
	case WouldHold:
		return asked + it + " would hold it, and " + NotTrusted + "; " + bars + "."
	case Holds:
		if g.CountOn.Grade() == WithCaution {
			return asked + it + " holds it, " + WithCaution + "; " + bars + "."
		}
		return asked + it + " holds it; " + bars + "."
	}
	return asked + strings.ToUpper(string(v)) + ": " + it + " is under it; " + bars + "."
}

// isUnder is "2 of 3 bars are".
func isUnder(n, all int) string {
	if all == 1 {
		return "the one bar is"
	}
	return fmt.Sprintf("%d of %d bars %s", n, all, map[bool]string{true: "is", false: "are"}[n == 1])
}
