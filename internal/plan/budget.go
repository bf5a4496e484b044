package plan

import (
	"draghand/internal/budget"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// Budget is how sure a strength would be, to the first order, from what the rig
// file and the micrometer state. It knows nothing of a bent bar, of a zero that
// wanders or of what nobody stated.
type Budget struct {
	Relative float64 `json:"relative"` // standard, as a fraction of the strength
	Expanded float64 `json:"expanded"` // Relative times CoverageK
	Coverage float64 `json:"coverage_k"`
	Shares   []Share `json:"shares"` // of the variance, largest first
}

// Share is what one source of doubt has of the variance.
type Share struct {
	Of       string  `json:"of"`
	Relative float64 `json:"relative"` // its standard uncertainty, as a fraction of the strength
	Fraction float64 `json:"fraction"` // of the variance
}

// exact is a limit of error that makes no doubt, m: a size that is taken as it is.
const exact = 1e-18

// doubt is how sure the strength of a bar of diameter d is that breaks at a gauge
// pressure p: the budget of a pull (docs/uncertainty.md) before it, without what
// only a trace can tell: zero, noise, drag hand.
func doubt(r *rig.Rig, p si.Pressure, d, sizeU si.Length) Budget {
	out := Budget{Coverage: cover, Shares: []Share{}}
	bar := specimen.Specimen{Diameters: []si.Length{d}, SizeU: max(sizeU, exact)}
	b := budget.For(r, bar, budget.Peak{Gauge: p}, 0, 0)
	if b == nil {
		return out
	}
	for _, l := range b.Lines {
		if l.UPa > 0 {
			out.Shares = append(out.Shares, Share{Of: l.Of, Relative: l.UPa / b.ValuePa, Fraction: l.Fraction})
		}
	}
	out.Relative = b.UPa / b.ValuePa
	out.Expanded = cover * out.Relative
	return out
}
