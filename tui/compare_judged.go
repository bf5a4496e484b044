package tui

import (
	"fmt"
	"math"
	"strings"

	"draghand/internal/batch"
	"draghand/internal/compare"
	"draghand/internal/si"
)

// chance is a p in words.
func chance(p float64) string {
	switch {
	case !finite(p):
		return "p –"
	case p < 0.001:
		return "p below 0.001"
	case p < 0.0995:
		return "p " + si.Number(p, 3)
	}
	return "p " + si.Number(p, 2)
}

// underText is how many bars lie under the minimum, whatever may be counted on.
func (m *CompareScreen) underText(g *compare.Group) string {
	low := m.c.Options.Minimum
	if low <= 0 || len(g.Pulls) == 0 {
		return ""
	}
	under := 0
	for i := range g.Pulls {
		if g.Pulls[i].Strength < low {
			under++
		}
	}
	switch {
	case under == 0 && len(g.Pulls) == 1:
		return "the one bar is not under " + stated(low, m.units)
	case under == 0:
		return fmt.Sprintf("none of the %d bars is under %s", len(g.Pulls), stated(low, m.units))
	case under == 1:
		return fmt.Sprintf("1 of %d lies under %s: %s", len(g.Pulls), stated(low, m.units), pullName(&g.Pulls[0]))
	}
	return fmt.Sprintf("%d of %d bars lie under %s", under, len(g.Pulls), stated(low, m.units))
}

// differenceText is the second group less the first, where there are two.
func (m *CompareScreen) differenceText() string {
	d := m.c.Difference
	if d == nil {
		return ""
	}
	u := m.units
	shown := si.Stress(d.Diff).In(u)
	t := fmt.Sprintf("%s less %s: %s %s", cut(clean(d.To), 24), cut(clean(d.From), 24), signed(shown.Value, shown.Decimals), shown.Unit)
	if finite(d.Low) && finite(d.High) {
		low, high := si.Stress(d.Low).In(u), si.Stress(d.High).In(u)
		t += fmt.Sprintf(", sure to %s from %s to %s", fractionText(d.Level), signed(low.Value, low.Decimals), signed(high.Value, high.Decimals))
	}
	if finite(d.P) {
		if d.P < m.c.Options.Level {
			t += ": THEY DIFFER, "
		} else {
			t += ": no difference can be told from chance, "
		}
		t += chance(d.P)
	}
	switch {
	case d.SameRig:
		if d.Calibrated {
			return t + ". The common part cancels: same rig and calibration"
		}
		return t + ". The common part cancels: same rig, which has no calibration"
	case !d.Known:
		return t + ". The common part does not cancel, and is not known: another rig or calibration"
	}
	return t + ". The common part does not cancel: another rig or calibration, ± " + fineSpread(2*float64(d.Common), u) + " more"
}

// analysisText is the analysis of variance, where there are more than two groups.
func (m *CompareScreen) analysisText() string {
	a := m.c.Analysis
	if a == nil || !finite(a.P) {
		return ""
	}
	t := fmt.Sprintf("the means of %d groups ", a.Groups)
	if a.P < m.c.Options.Level {
		t += "ARE NOT ALL ALIKE, the test does not tell which, "
	} else {
		t += "cannot be told apart from chance, "
	}
	return t + fmt.Sprintf("%s; SD %s within a group, %s among the means", chance(a.P), fineSpread(a.WithinSD, m.units), fineSpread(a.AmongSD, m.units))
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
	at := fmt.Sprintf("%s, at %s", pullName(b), b.Strength.Text(m.units))
	test := fmt.Sprintf("%.2f SD off where %.2f is the line, %s on %s", o.G, o.Critical, fractionText(o.Level), side)
	if o.Flagged {
		return "◆ " + at + ", LIES APART (" + test + "): look at its fracture and trace. It is not dropped. " + compare.ApartByChance(o.Level)
	}
	return "none; the farthest is " + at + " (" + test + ")"
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
	t := "Weibull m " + figuresText(f.Shape)
	if finite(f.ShapeLow) && finite(f.ShapeHigh) {
		t += fmt.Sprintf(", sure to %s from %s to %s", fractionText(f.Level), figuresText(f.ShapeLow), figuresText(f.ShapeHigh))
	}
	if finite(f.Unbiased) && f.Unbiased > 0 {
		t += "; unbiased " + figuresText(f.Unbiased)
	}
	t += "; scale " + stress(f.Scale, m.units)
	if off := f.N - f.Failures; off > 0 {
		t += fmt.Sprintf("; of %d bars and %d that bore at least so much", f.Failures, off)
	}
	return t
}

// figuresText is a number to three figures.
func figuresText(v float64) string {
	d := 2
	if a := math.Abs(v); a >= 1 {
		d = max(0, 2-int(math.Floor(math.Log10(a))))
	}
	return strings.TrimSuffix(si.Number(v, d), ".")
}
