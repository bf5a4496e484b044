package calib

import (
	"math"
	"slices"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// levelGap parts the values of the reference into levels: weights on a hook come
// back to the bit, a cell that is pumped to does so within a few per cent.
const levelGap = 0.02

// Indicated is what a rig tells at a gauge pressure above the zero where the
// reference stands, as found: with the calibration in force then, if any.
func Indicated(r *rig.Rig, at rig.Place, far bool, p si.Pressure) float64 {
	r = r.BarOn(far)
	c := r.Chain()
	switch at {
	case rig.AtGauge:
		if k := r.Calibration; k != nil && k.At == rig.AtGauge {
			return k.Line.Value(p)
		}
		return float64(p)
	case rig.AtRam:
		return float64(c.Ram(p))
	}
	return float64(c.Specimen(p))
}

// pair is an indication with what the reference said.
type pair struct{ said, true float64 }

// levels are the figures of the rig as found, a verified value each.
func (k *reckoner) levels(a *Answer) {
	var up []int
	up = append(up, k.rising...)
	slices.SortFunc(up, func(i, j int) int {
		return compare(k.run.Points[i].Reference, k.run.Points[j].Reference)
	})
	step, _ := k.resolution()
	var all [][]pair
	for len(up) > 0 {
		first := k.run.Points[up[0]].Reference
		n := 1
		for n < len(up) && k.run.Points[up[n]].Reference-first <= levelGap*first {
			n++
		}
		l, pairs := k.level(up[:n], step)
		a.Levels, all = append(a.Levels, l), append(all, pairs)
		up = up[n:]
	}
	k.reversibility(a.Levels)
	for i := range a.Levels {
		l := &a.Levels[i]
		l.Class, l.E4 = classOf(*l, k.zeroReturn()), withinE4(all[i], *l)
	}
}

func compare(a, b float64) int {
	switch {
	case a < b:
		return -1
	case a > b:
		return 1
	}
	return 0
}

// level makes the figures of the rising points of one level.
func (k *reckoner) level(up []int, step float64) (Level, []pair) {
	pairs := make([]pair, len(up))
	fluctuates := 0.0
	for n, i := range up {
		p := k.run.Points[i]
		pairs[n] = pair{Indicated(k.run.Rig, k.run.At, k.run.Far, p.Gauge), p.Reference}
		fluctuates = max(fluctuates, float64(p.SD)*k.per())
	}
	if fluctuates > step && step > 0 {
		step += 2 * fluctuates
	}
	return figures(pairs, step), pairs
}

// errorOf is the mean indication less the mean reference, as a fraction of the
// latter.
func errorOf(pairs []pair) float64 {
	var said, is float64
	for _, p := range pairs {
		said, is = said+p.said, is+p.true
	}
	return (said - is) / is
}

// figures are q, b and a of ISO 7500-1 (from memory of the standard; checks.md
// 5.2), as fractions: with the true force held constant, q = (F̄i − F)/F and
// b = (Fi,max − Fi,min)/F; with the indicated one, q = (Fi − F̄)/F̄ and
// b = (Fmax − Fmin)/F̄. Both are the mean and the spread of indication less
// reference over the mean reference.
func figures(pairs []pair, step float64) Level {
	var is float64
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range pairs {
		is += p.true / float64(len(pairs))
		low, high = min(low, p.said-p.true), max(high, p.said-p.true)
	}
	return Level{
		Reference: is, Error: errorOf(pairs), Repeatability: (high - low) / is,
		Resolution: step / is, Readings: len(pairs),
	}
}

// per is what the rig tells more for each Pa, at the reference's place.
func (k *reckoner) per() float64 {
	const p = 1e7
	return (Indicated(k.run.Rig, k.run.At, k.run.Far, 2*p) - Indicated(k.run.Rig, k.run.At, k.run.Far, p)) / p
}

// resolution is one count of the converter at the reference's place, Pa or N; ok is
// false where the number is no count and its resolution is not known.
func (k *reckoner) resolution() (step float64, ok bool) {
	step = float64(k.rig.Chain().Step()) * k.per()
	return step, step > 0
}

// zeroReturn is how far the zero had moved by the end, as a fraction of the highest
// rising reference; nil where it was not taken.
func (k *reckoner) zeroReturn() *float64 {
	if k.run.ZeroAfter == nil {
		return nil
	}
	c := k.rig.Chain()
	before, _ := c.Pressure(k.run.Zero)
	after, _ := c.Pressure(*k.run.ZeroAfter)
	v := float64(after-before) * k.per() / slices.Max(k.y)
	return &v
}
