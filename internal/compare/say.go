package compare

import "draghand/internal/si"

// The sentences of Lines one by one, for who sets them elsewhere. Each is empty where
// there is nothing to say.

// Apart says whether a bar lies apart from the others, by Grubbs.
func (g *Group) Apart(sys si.System) string { return g.outlierLine(sys) }

// Scatter says whether the scatter looks normal, at the level of the tests.
func (g *Group) Scatter(level float64) string { return g.normalLine(level) }

// Cautions are the Notes without what Apart and Scatter say with figures.
func (g *Group) Cautions() (out []string) {
	for _, n := range g.Notes {
		if n != notNormal && n != g.apartNote() {
			out = append(out, n)
		}
	}
	return out
}

// CoverageSays says why what the rig itself may be off was multiplied by more than 2;
// empty where it was not.
func (c *CountOn) CoverageSays(g *Group) string { return c.coverageLine(g) }

// MinimumText holds a group against the minimum.
func (g *Group) MinimumText(minimum si.Stress, sys si.System) string {
	return g.minimumLine(minimum, sys)
}

// OneMelt is the melt that all pulls of the group are of; empty where they are of
// several or none.
func (g *Group) OneMelt() string {
	all := each(func(p *Pull) string { return p.Melt }, g.Pulls, g.Censored, g.Left)
	if len(all) != 1 {
		return ""
	}
	return all[0]
}

// Under is how many bars that count lie under a minimum.
func (g *Group) Under(minimum si.Stress) int {
	return counted(g.Pulls, func(p *Pull) bool { return !reaches(p.Strength, minimum) })
}

// NoBound says why there is no strength to count on, where there is none, and what the
// bound is where there is one.
func (g *Group) NoBound(sys si.System) string {
	if g.CountOn != nil || len(g.Pulls) == 0 {
		return ""
	}
	return g.noBound(sys)
}

// Differs is how the groups compare with each other, a paragraph each.
func (c *Comparison) Differs(sys si.System) []string { return c.differs(sys) }

// SpreadText is a scatter or a difference with its unit: with more decimals than a
// strength where the usual ones would leave nothing of it.
func SpreadText(v si.Stress, sys si.System) string { return spread(float64(v), sys) }

// StatedText is a minimum as a person stated it, in the units it was stated in; rounded
// up where it was in others than ksi and MPa.
func StatedText(v si.Stress) string { return fine(v) }

// DigitsText is a number with three digits, such as a modulus.
func DigitsText(v float64) string { return digits3(v) }

// ProbabilityText is a probability with two digits that say something.
func ProbabilityText(p float64) string { return short(p) }
