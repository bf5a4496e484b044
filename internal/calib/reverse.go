package calib

import (
	"math"
	"sort"
)

// beyondEnds is how far outside of the rising levels, as a fraction of the end one,
// a falling point is still held against that: a little more than the largest
// reversibility of any class. The lowest falling point mostly stands under the lowest
// rising one, by what the friction makes.
const beyondEnds = 0.05

// reversibility is how much more the rig tells on the way down than on the way up at
// one force, as a fraction, of each level. A cell comes back to no level by itself,
// and the less the worse the friction is: the rising error is taken where the falling
// point stands, between two levels by the line through theirs. The point counts at the
// nearest level.
func (k *reckoner) reversibility(levels []Level) {
	type sums struct{ said, is, rising float64 }
	all := make([]sums, len(levels))
	for i, d := range k.dir {
		if d != Falling {
			continue
		}
		p := k.run.Points[i]
		near, rising, ok := risingError(levels, p.Reference)
		if !ok {
			continue
		}
		s := &all[near]
		s.said += Indicated(k.run.Rig, k.run.At, k.run.Far, p.Gauge)
		s.is += p.Reference
		s.rising += rising * p.Reference
	}
	for i, s := range all {
		if s.is > 0 {
			v := (s.said-s.is)/s.is - s.rising/s.is
			levels[i].Reversibility = &v
		}
	}
}

// risingError is the error on the way up at a force, and the nearest level; ok is
// false where the force lies outside of the levels.
func risingError(levels []Level, force float64) (near int, rising float64, ok bool) {
	low, high := levels[0], levels[len(levels)-1]
	if force < low.Reference*(1-beyondEnds) || force > high.Reference*(1+beyondEnds) {
		return 0, 0, false
	}
	over := sort.Search(len(levels), func(i int) bool { return levels[i].Reference >= force })
	switch over {
	case 0:
		return 0, low.Error, true
	case len(levels):
		return over - 1, high.Error, true
	}
	a, b := levels[over-1], levels[over]
	part := (force - a.Reference) / (b.Reference - a.Reference)
	near = over
	if math.Abs(force-a.Reference) < math.Abs(force-b.Reference) {
		near = over - 1
	}
	return near, a.Error + part*(b.Error-a.Error), true
}

// forgotten says that falling points were taken and none of them could be compared.
func (k *reckoner) forgotten(levels []Level) bool {
	down := false
	for _, d := range k.dir {
		down = down || d == Falling
	}
	for _, l := range levels {
		down = down && l.Reversibility == nil
	}
	return down
}
