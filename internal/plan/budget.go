package plan

import (
	"math"

	"draghand/internal/rig"
	"draghand/internal/si"
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

// even is the standard uncertainty of a limit of error within which every value
// is as likely (GUM 4.3.7).
func even(limit float64) float64 { return limit / math.Sqrt(3) }

// budget is how sure the strength of a bar of diameter d is that breaks at a
// gauge pressure p. With S = c (p A φ − W) / (π d²/4) and w = p A φ / (p A φ − W),
// which is 1 where no weight is in the path,
//
//	(u_S/S)² = (w u_p/p)² + (w u_A/A)² + (w u_f/φ)² + (u_c/c)² + (2 u_d/d)²
//
// where u_p has the gauge's accuracy and one count of its converter in it.
func budget(r *rig.Rig, p si.Pressure, d, sizeU si.Length) Budget {
	c := r.Chain()
	ram, bar := float64(c.Ram(p)), float64(c.Specimen(p))
	out := Budget{Coverage: cover, Shares: []Share{}}
	if !(p > 0) || !(ram > 0) || !(bar > 0) || !(d > 0) {
		return out
	}
	w := ram * r.Path.BarShare() / bar
	accuracy := r.Sensor.Accuracy
	if !r.Sensor.AccuracyOfReading {
		accuracy *= float64(c.Range() / p)
	}
	rising := ram / float64(p) / float64(r.Ram.Area)
	for _, s := range []Share{
		{Of: "gauge accuracy", Relative: w * even(accuracy)},
		{Of: "one count", Relative: w * even(float64(c.Step()/p)/2)},
		{Of: "ram area", Relative: w * even(float64(r.Ram.AreaTol/r.Ram.Area))},
		{Of: "seal friction", Relative: w * even(r.Ram.FrictionBand/rising)},
		{Of: "share", Relative: even(r.Path.ShareTol / r.Path.BarShare())},
		{Of: "diameter", Relative: 2 * even(float64(sizeU/d))},
	} {
		out.add(s)
	}
	return out
}

// add puts a share in its place and reckons all anew.
func (b *Budget) add(s Share) {
	if !(s.Relative > 0) {
		return
	}
	at := 0
	for at < len(b.Shares) && b.Shares[at].Relative >= s.Relative {
		at++
	}
	b.Shares = append(b.Shares[:at], append([]Share{s}, b.Shares[at:]...)...)
	var sum float64
	for _, s := range b.Shares {
		sum += s.Relative * s.Relative
	}
	for i := range b.Shares {
		b.Shares[i].Fraction = b.Shares[i].Relative * b.Shares[i].Relative / sum
	}
	b.Relative = math.Sqrt(sum)
	b.Expanded = b.Coverage * b.Relative
}
