package strength

import (
	"math"

	"draghand/internal/budget"
	"draghand/internal/pull"
	"draghand/internal/si"
)

// handMedian is how many readings the drag hand is a median of: draghand.go of the
// engine.
const handMedian = 3

// peakDoubt is what the trace says about the moment the strength is taken from.
func peakDoubt(p Pull) budget.Peak {
	s := &p.State
	out := budget.Peak{Gauge: s.Peak.Gauge, Median: 1}
	per := 0.0
	if p.Config.Rig != nil {
		per = perPascal(p.Config.Rig)
	}
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
	out.ZeroU, out.Noise, out.Median, out.Bias = zeroU(&s.Zero), s.Noise, handMedian, toPa(s.PeakBias)
	return out
}

// zeroU is the standard uncertainty of the zero: of the mean of its readings, and
// of how far it had moved by the end. When it moved nobody knows; anywhere within
// ± that is as likely (GUM 4.3.7). Readings that hang together, such as hum, have a
// surer mean than this says.
func zeroU(z *pull.Zero) si.Pressure {
	if !z.Set {
		return 0 // by the sensor's own line: its accuracy stands for it
	}
	mean, moved := 0.0, 0.0
	if z.Readings > 0 {
		mean = float64(z.SD) / math.Sqrt(float64(z.Readings))
	}
	if z.HasReturn {
		moved = float64(z.Return) / math.Sqrt(3)
	}
	return si.Pressure(math.Hypot(mean, moved))
}

// doubt fills in the uncertainty of the strength, or of what the bar bore at least.
func (r *Results) doubt(p Pull) {
	if r.StrengthPa == nil && r.StrengthAtLeastPa == nil || p.Config.Rig == nil {
		return
	}
	b := budgetFor(p)
	if b == nil || !(b.UPa > 0) || math.IsInf(b.UPa, 0) {
		return
	}
	r.Budget = b
	r.StrengthUPa, r.StrengthExpandedPa, r.CoverageK = known(b.UPa), known(b.ExpandedPa), known(b.CoverageK)
}
