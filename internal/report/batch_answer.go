package report

import (
	"fmt"
	"math"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// minimum is the verdict against the minimum. Nothing is green that should not be
// trusted, or was simulated.
func (f *batchFacts) minimum(g *compare.Group) (text, kind string) {
	text = tidy(g.MinimumText(f.c.Options.Minimum, f.opt.Units))
	kind = "open"
	switch sim, _ := g.Simulated(); g.Verdict(f.c.Options.Minimum) {
	case compare.DoesNotHold, compare.UnderWithout:
		kind = "fail"
	case compare.Holds:
		if g.CountOn.Doubtful == "" && sim == 0 {
			kind = "pass"
		}
	}
	return text, kind
}

// boundRows are the bound and the common part apart.
func (f *batchFacts) boundRows(k *compare.CountOn) []pair {
	var r rows
	b := &k.Bound
	r.add("bound", "%s: mean less k times SD", k.BoundText(f.opt.Units))
	r.add("content, confidence, bars", "%s, %s, n = %d", share(b.Content), share(b.Confidence), b.N)
	r.add("factor k", "%s", si.Number(b.K, 3))
	if b.Step > 0 {
		r.add("SD in the bound", "%s: √(SD² + step²/12), since a step of the readings, %s, is larger than the SD", finer(float64(b.SD), f.opt.Units), finer(float64(b.Step), f.opt.Units))
	}
	switch {
	case k.Unknown == b.N:
		r.add("off for the rig", "nothing: what the rig itself may be off is not known")
	case k.Unknown > 0:
		r.add("off for the rig", "%s (%s), of %d of %d bars not known", k.CommonText(f.opt.Units), k.CoverageText(), k.Unknown, b.N)
	default:
		r.add("off for the rig", "%s: what the rig itself may be off, expanded (%s)", k.CommonText(f.opt.Units), k.CoverageText())
	}
	return r
}

// weibullRows are the Weibull distribution of a group.
func (f *batchFacts) weibullRows(g *compare.Group) []pair {
	w := g.Weibull
	if w == nil {
		return nil
	}
	sys := f.opt.Units
	var r rows
	r.add("modulus m", "%s%s", compare.DigitsText(w.Shape), between(compare.DigitsText(w.ShapeLow), compare.DigitsText(w.ShapeHigh), w.ShapeLow, w.ShapeHigh, g.WeibullSure()))
	if !math.IsNaN(w.Unbiased) {
		r.add("m, unbiased", "%s: times %s for %d bars", compare.DigitsText(w.Unbiased), si.Number(w.UnbiasedFactor, 4), w.N)
	}
	r.add("scale", "%s%s", si.Stress(w.Scale).Text(sys), between(si.Stress(w.ScaleLow).In(sys).Number(), si.Stress(w.ScaleHigh).Text(sys), w.ScaleLow, w.ScaleHigh, g.WeibullSure()))
	of := fmt.Sprintf("%d that broke", w.Failures)
	if n := w.N - w.Failures; n > 0 {
		of += fmt.Sprintf(", %d that bore at least so much", n)
	}
	r.add("fitted to", "%s", of)
	return r
}

func between(low, high string, a, b float64, sure string) string {
	if math.IsNaN(a) || math.IsNaN(b) || math.IsInf(a, 0) || math.IsInf(b, 0) {
		return ""
	}
	return fmt.Sprintf(", between %s and %s (%s)", low, high, sure)
}
