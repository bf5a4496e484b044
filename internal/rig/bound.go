package rig

import "draghand/internal/si"

// Bound is a known limit as a linear function of the gauge pressure.
type Bound struct {
	Limit     Limit
	Allowable float64
}

// Bounds are the known limits.
func (r *Rig) Bounds() []Bound { return nil }

// Load is the load on the part.
func (b Bound) Load(p, abs si.Pressure) float64 { return 0 }

// Ratio is Load / Allowable.
func (b Bound) Ratio(p, abs si.Pressure) float64 { return 0 }

// PressureAt inverts Ratio.
func (b Bound) PressureAt(ratio float64) si.Pressure { return 0 }

// UnknownParts names the parts without a known limit.
func (r *Rig) UnknownParts() []string { return nil }
