package strength

import (
	"math"

	"draghand/internal/budget"
	"draghand/internal/si"
)

// handMedian is how many readings the drag hand is a median of: draghand.go of the
// engine.
const handMedian = 3

// peakDoubt is what the trace says about the moment the strength is taken from. The
// rig must be known.
func peakDoubt(p Pull) budget.Peak {
	s := &p.State
	out := budget.Peak{Gauge: s.Peak.Gauge, Median: 1}
	per := perPascal(p.Config.Rig, s.Peak.Gauge)
	toPa := func(f si.Force) si.Pressure {
		if !(per > 0) {
			return 0
		}
		return si.Pressure(float64(f) / per)
	}
	if s.Eye != nil {
		out.Step = toPa(s.Eye.Error)
		return out
	}
	out.Noise, out.Median, out.Bias = s.Noise, handMedian, toPa(s.PeakBias)
	out.ApartLag, out.ApartMost = toPa(s.Apart.Lag), toPa(s.Apart.Most)
	// Without a zero it is by the sensor's own line, whose accuracy stands for it.
	if z := &s.Zero; z.Set {
		moved := si.Pressure(0)
		if z.HasReturn {
			moved = z.Return
		}
		out.ZeroU = budget.ZeroU(z.SD, p.Config.Rig.Chain().Step(), z.Readings, moved)
	}
	return out
}

// accuracyUnknown says why nothing tells how far the force itself may be off: a ±
// of the rest alone would promise too much. Empty: something does.
func accuracyUnknown(p Pull) string {
	r := p.Config.Rig
	switch {
	case r == nil:
		return ""
	case p.State.Eye != nil && !(p.State.Eye.Error > 0):
		return "nobody stated how closely the dial can be read: give its peak as \"300 bar ± 5 bar\""
	case r.Calibration != nil && r.Calibration.Speaks(r.Path.BarFar):
		if !(r.Calibration.ReferenceU > 0) {
			return "the reference of the calibration " + r.Calibration.ID + " states no uncertainty of its own: calibrate with --reference-u"
		}
	case !(r.Sensor.Accuracy > 0):
		return "nothing says how accurate the force is, neither an accuracy in the rig file nor a calibration"
	}
	return ""
}

// doubt fills in the uncertainty of the strength, or of what the bar bore at least.
func (r *Results) doubt(p Pull) {
	if r.StrengthPa == nil && r.StrengthAtLeastPa == nil || p.Config.Rig == nil || accuracyUnknown(p) != "" {
		return
	}
	b := budget.For(p.Config.Rig, p.Bar, peakDoubt(p), p.Draws, p.Seed)
	if b == nil || !(b.UPa > 0) || math.IsInf(b.UPa, 0) {
		return
	}
	r.Budget = b
	r.StrengthUPa, r.StrengthExpandedPa, r.CoverageK = known(b.UPa), known(b.ExpandedPa), known(b.CoverageK)
}
