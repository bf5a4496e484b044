package compare

import (
	"fmt"
	"math"

	"draghand/internal/si"
)

// weibullLine is the Weibull distribution in one line.
func (g *Group) weibullLine(sys si.System) string {
	w := g.Weibull
	if w == nil {
		return ""
	}
	t := fmt.Sprintf("Weibull: modulus m %s", digits3(w.Shape))
	if finite(w.Unbiased) {
		t += fmt.Sprintf(" (unbiased %s)", digits3(w.Unbiased))
	} else if why := g.NotUnbiased(); why != "" {
		t += " (no unbiased one: " + why + ")"
	}
	if finite(w.ShapeLow) && finite(w.ShapeHigh) {
		t += fmt.Sprintf(", between %s and %s (%s)", digits3(w.ShapeLow), digits3(w.ShapeHigh), g.WeibullSure())
	}
	t += fmt.Sprintf(", scale %s; of %s", text(w.Scale, sys), plural(w.Failures, "bar"))
	if n := w.N - w.Failures; n > 0 {
		t += fmt.Sprintf(" and %d more that bore at least so much", n)
	}
	return t + ". The larger m, the more alike the bars."
}

// Of fewer than fewToFit bars the interval of Weibull's modulus is plainly held less often
// than it says: of five 89.6 of 100 at 95 %, of ten 92.6 (docs/statistics.md). Where the
// line is drawn is our own rule.
const fewToFit = 10

// WeibullSure is how often the interval of Weibull's modulus holds the true one: about as
// often as it says, and of few bars less. How much less was simulated at 95 % alone.
func (g *Group) WeibullSure() string {
	w := g.Weibull
	if w == nil {
		return ""
	}
	about := "about " + whole(w.Level)
	switch {
	case w.Failures >= fewToFit:
		return about
	case math.Abs(w.Level-0.95) < 1e-9:
		return about + ", of five bars some 90 %"
	}
	return about + ", of so few bars less"
}
