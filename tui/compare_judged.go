package tui

import (
	"fmt"
	"strings"

	"draghand/internal/batch"
	"draghand/internal/compare"
)

// chance is a p in words.
func chance(p float64) string {
	if !finite(p) {
		return "p –"
	}
	return "p " + compare.ProbabilityText(p)
}

// underText is how many bars lie under the minimum, whatever may be counted on; and what
// it was held against in its own units, where the facts have no room for that.
func (m *CompareScreen) underText(g *compare.Group) string {
	low := m.c.Options.Minimum
	if low <= 0 || len(g.Pulls) == 0 {
		return ""
	}
	asked, under, as := compare.StatedText(low), g.Under(low), ""
	if c := g.CountOn; c != nil && c.Promised > 0 && c.AsStated(low, m.units) != "" && !m.saysWhole(g) {
		as = "; the strength to count on is " + c.AsStated(low, m.units)
	}
	switch {
	case under == 0 && len(g.Pulls) == 1:
		return "the one bar is not under " + asked + as
	case under == 0:
		return fmt.Sprintf("none of the %d bars is under %s", len(g.Pulls), asked) + as
	case under == 1:
		return fmt.Sprintf("1 of %d lies under %s: %s", len(g.Pulls), asked, m.toldApart(&g.Pulls[0])) + as
	}
	return fmt.Sprintf("%d of %d bars lie under %s", under, len(g.Pulls), asked) + as
}

// differenceText is how two groups differ, in the words of the verb.
func (m *CompareScreen) differenceText() string {
	if m.c.Difference == nil {
		return ""
	}
	return clean(strings.Join(m.c.Differs(m.units), " "))
}

// analysisText is how more than two groups do.
func (m *CompareScreen) analysisText() string {
	if m.c.Analysis == nil {
		return ""
	}
	return clean(strings.Join(m.c.Differs(m.units), " "))
}

// apartText is the bar farthest from the others.
func (m *CompareScreen) apartText(g *compare.Group) string {
	o := g.Outlier
	if o == nil || o.Index < 0 || o.Index >= len(g.Pulls) || !finite(o.G) {
		return ""
	}
	b := &g.Pulls[o.Index]
	side := map[batch.Side]string{batch.Low: "the low side", batch.High: "the high side"}[o.Side]
	if side == "" {
		side = "either side"
	}
	at := fmt.Sprintf("%s, at %s", m.toldApart(b), b.Strength.Text(m.units))
	off, limit := compare.ApartTexts(o, 2)
	hardly := ""
	if len(g.Pulls) <= 3 {
		hardly = "; three bars can hardly tell, since nearly any two that are alike flag the third"
	}
	test := fmt.Sprintf("%s SD off where %s is the line, %s on %s", off, limit, fractionText(o.Level), side)
	if o.Flagged {
		seen := ""
		if len(b.Seen) > 0 {
			seen = "its record says of the break " + clean(strings.Join(b.Seen, ", ")) + ", "
		}
		return "◆ " + at + ", LIES APART (" + test + "): " + seen + "look at its fracture and trace. It is not dropped. " + compare.ApartByChance(o.Level) + hardly
	}
	if hardly != "" {
		hardly = "; three bars can hardly tell"
	}
	return "none; the farthest is " + at + " (" + test + ")" + hardly
}

// bellText is whether the bars spread as the bound takes it.
func (m *CompareScreen) bellText(g *compare.Group) string {
	n := g.Normality
	switch {
	case n == nil || !finite(n.P):
		if len(g.Pulls) < 2 || g.Alike {
			return ""
		}
		return "not tested: that needs 8 bars"
	case n.P < m.c.Options.Level:
		return "NOT ONE, " + chance(n.P) + ": do not trust the bound"
	}
	return "nothing speaks against one, " + chance(n.P)
}

// weibullText is how alike the weakest spots are.
func (m *CompareScreen) weibullText(g *compare.Group) string {
	f := g.Weibull
	if f == nil || !finite(f.Shape) {
		return ""
	}
	t := "Weibull m " + compare.DigitsText(f.Shape)
	if finite(f.ShapeLow) && finite(f.ShapeHigh) {
		t += fmt.Sprintf(", from %s to %s (%s)", compare.DigitsText(f.ShapeLow), compare.DigitsText(f.ShapeHigh), g.WeibullSure())
	}
	if finite(f.Unbiased) && f.Unbiased > 0 {
		t += "; unbiased " + compare.DigitsText(f.Unbiased)
	} else if why := g.NotUnbiased(); why != "" {
		t += "; no unbiased one: " + why
	}
	t += "; scale " + stress(f.Scale, m.units)
	if off := f.N - f.Failures; off > 0 {
		t += fmt.Sprintf("; of %d bars and %d that bore at least so much", f.Failures, off)
	}
	return t
}
