package strength

import (
	"draghand/internal/pull"
	"draghand/internal/si"
)

// holdNoise is how many SD of the noise, besides a count, a held force may lie under
// the one asked for before that is said of it: the lowest of many readings does.
const holdNoise = 5

// heldUnder says that a proof went under the force asked for while it was held, by
// more than a reading can tell.
func (r *Results) heldUnder(p *Pull) bool {
	h := r.Hold
	if h == nil || !(p.Config.Target > 0) {
		return false
	}
	return h.LowestN < h.TargetN-readingN(p)
}

// readingN is what a reading can be off by noise and counts, N on the specimen.
func readingN(p *Pull) float64 {
	g := p.Config.Rig
	if g == nil {
		return 0
	}
	return (holdNoise*float64(p.State.Noise) + float64(g.Chain().Step())) * perPascal(g, p.State.Peak.Gauge)
}

// more fills in what the engine saw beside peak and break.
func (r *Results) more(p Pull) {
	s, area := &p.State, p.Bar.Area()
	stress := func(f si.Force) *float64 {
		if area <= 0 {
			return nil
		}
		return known(float64(si.StressOn(f, area)))
	}
	if y := s.Yield; y != nil {
		r.YieldDrop = &YieldDrop{
			TS: y.Upper.T.Seconds(), UpperN: float64(y.Upper.Specimen), UpperPa: stress(y.Upper.Specimen),
			LowerN: float64(y.Lower.Specimen), LowerPa: stress(y.Lower.Specimen),
		}
	}
	if h := s.Hold; h != nil && s.Kind == pull.Proof {
		r.Hold = &Hold{TargetN: float64(h.Force), HeldS: h.For.Seconds(), LowestN: float64(h.Lowest), Lost: h.Lost, Met: h.Met}
		if p.Config.Hold > 0 {
			r.Hold.AskedS = known(p.Config.Hold.Seconds())
		}
	}
	if y := s.FirstYield; y != nil {
		r.FirstYield = &FirstYield{TS: y.T.Seconds(), SpecimenN: float64(y.Specimen), StressPa: stress(y.Specimen), Method: y.Method}
	}
	r.Strokes.Count = s.Strokes.Count
	if s.Strokes.Gain > 0 {
		r.Strokes.GainN = known(float64(s.Strokes.Gain))
	}
	if s.Strokes.Best > 0 {
		r.Strokes.BestN = known(float64(s.Strokes.Best))
	}
	if s.PeakBias > 0 {
		r.PeakBiasN = known(float64(s.PeakBias))
	}
}
