package plan

import (
	"math"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// The window of stress rate while a bar is still elastic, ASTM E8/E8M: 10,000 to
// 100,000 psi a minute (from memory of the standard).
const (
	rateLow  = 10_000 * si.PSI * si.PerMinute
	rateHigh = 100_000 * si.PSI * si.PerMinute
)

// Pace is how fast to pump while the bar is elastic, and how often. The strokes
// are none where the rig file says nothing of the drive.
type Pace struct {
	StressLow  si.StressRate   `json:"stress_low_pa_per_s"`
	StressHigh si.StressRate   `json:"stress_high_pa_per_s"`
	Low        si.PressureRate `json:"gauge_low_pa_per_s"` // the same at the gauge
	High       si.PressureRate `json:"gauge_high_pa_per_s"`
	StrokesLow float64         `json:"strokes_low_per_min,omitempty"`
	// StrokesHigh a minute keep below the window's upper end.
	StrokesHigh float64 `json:"strokes_high_per_min,omitempty"`
	// Strokes to the high end of the break as if nothing but the rig gave way: the
	// bar stretches too, so it takes more.
	Strokes float64 `json:"strokes,omitempty"`
	// Advance of the ram that goes into the rig's own springing by then.
	Advance si.Length `json:"advance_m,omitempty"`
	// Stretch is the advance that the bar takes as it stretches, by the elongation of
	// the table on its gauge length; 0: not known.
	Stretch si.Length `json:"stretch_m,omitempty"`
}

// pace is how fast to go with a bar of a section that breaks at a ram force at
// the most.
func pace(r *rig.Rig, area si.Area, broken si.Force) Pace {
	c := r.Chain()
	gaugePerStress := float64(area) / c.SpecimenPer()
	ramPerStress := float64(area) / r.Path.BarShare()
	out := Pace{
		StressLow: rateLow, StressHigh: rateHigh,
		Low:  si.PressureRate(rateLow * gaugePerStress),
		High: si.PressureRate(rateHigh * gaugePerStress),
	}
	d := r.Drive
	if d == nil || !(d.Stiffness > 0) {
		return out
	}
	out.Advance = si.Length(float64(broken) / d.Stiffness)
	if stroke := float64(d.PerStroke) * d.Stiffness; stroke > 0 {
		out.StrokesLow = rateLow * ramPerStress / stroke / si.PerMinute
		out.StrokesHigh = rateHigh * ramPerStress / stroke / si.PerMinute
		out.Strokes = math.Ceil(float64(broken) / stroke)
	}
	return out
}
