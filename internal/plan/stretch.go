package plan

import (
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// elongation is the largest elongation at the break that the table states for an
// alloy, as a fraction; 0 where it states none. A minimum is often all it has, so
// a bar may stretch further.
func elongation(t specimen.Table, name string) float64 {
	e, ok := t.Strength(name)
	if !ok {
		return 0
	}
	most := 0.0
	for _, a := range e.Rows {
		most = max(most, a.ElongationLow, a.ElongationHigh)
	}
	return most / 100
}

// stretch is the ram's advance that a bar takes as it stretches by an elongation
// of its gauge length. Under a bar over the ram of which the far side stays where
// it is (what that side gives is the rig's own springing) the ram moves by the
// share of what the specimen does, as the work of both is the same. Of a fixed
// path the arms are not known: there all of it is taken.
func stretch(r *rig.Rig, elong float64, gauge si.Length) si.Length {
	share := 1.0
	if r.Path.Kind == rig.TwoSided {
		share = r.Path.BarShare()
	}
	return si.Length(elong*share) * gauge
}
