// Package budget makes the table of what a strength's doubt is made of: every
// source that the rig file, the calibration, the micrometer and the trace
// state, once and never twice.
package budget

import (
	"math"

	"draghand/internal/gum"
	"draghand/internal/si"
)

// Peak is what the trace says about the moment the strength is taken from.
type Peak struct {
	Gauge si.Pressure // above the zero
	// ZeroU is the standard uncertainty of the zero: of its readings' mean, and of
	// how far it had moved by the end of the pull.
	ZeroU si.Pressure
	// Noise is the SD of one reading; the drag hand is a median of Median of them,
	// 1 or 0 where it is none. Bias is how far the drag hand is expected to lie over
	// the force without the noise; it is not taken off.
	Noise  si.Pressure
	Median int
	Bias   si.Pressure
	// ApartLag and ApartMost are what the drag hand has missed between the readings
	// before a break, at the least and at the most; it is not added.
	ApartLag, ApartMost si.Pressure
	// Step is the limit of error, ±, of reading a dial by eye; 0: none was. With it no
	// count of a converter is in the budget.
	Step si.Pressure
}

// Budget is the doubt of one strength, in SI, as it stands in results and
// reports.
type Budget struct {
	ValuePa    float64  `json:"value_pa"`
	UPa        float64  `json:"u_pa"`
	DoF        *float64 `json:"dof"` // nil: without end
	CoverageK  float64  `json:"coverage_k"`
	Coverage   float64  `json:"coverage"`
	ExpandedPa float64  `json:"expanded_pa"`
	CommonPa   float64  `json:"common_pa"` // the same in every pull of this rig and calibration
	RandomPa   float64  `json:"random_pa"` // this pull's own
	Lines      []Line   `json:"lines"`     // largest first
	MonteCarlo *Trial   `json:"monte_carlo"`
	Notes      []string `json:"notes"` // what is not in it, where the two ways part
}

// Line is one source of doubt.
type Line struct {
	Of       string   `json:"of"`
	Value    float64  `json:"value"` // in Unit
	U        float64  `json:"u"`     // standard, in Unit
	Unit     string   `json:"unit"`  // SI: "Pa", "m2", "m", "N", "1"
	Dist     gum.Dist `json:"distribution"`
	DoF      *float64 `json:"dof"` // nil: known for sure
	UPa      float64  `json:"u_pa"`
	Fraction float64  `json:"fraction"` // of the variance
	Common   bool     `json:"common"`
	Source   string   `json:"source"`
}

// EffectiveDoF is DoF, +Inf where it is without end.
func (b *Budget) EffectiveDoF() float64 {
	if b.DoF == nil {
		return math.Inf(1)
	}
	return *b.DoF
}

// Trial is the Monte Carlo beside it.
type Trial struct {
	Draws  int      `json:"draws"`
	Seed   uint64   `json:"seed"`
	MeanPa float64  `json:"mean_pa"`
	SDPa   *float64 `json:"sd_pa"`  // nil: there is none, a source has fewer than 3 degrees of freedom
	LowPa  float64  `json:"low_pa"` // ends of the interval
	HighPa float64  `json:"high_pa"`
	Agrees bool     `json:"agrees"` // with the first order, by JCGM 101, clause 8
}
