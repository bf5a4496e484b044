package rig

import (
	"slices"

	"draghand/internal/si"
)

// EndsOf is the rig for a bar of a metal that stands at least low: the ends are
// the bar's own, so that where the file gives them a stronger metal they are
// reckoned anew with the bar's. Yield goes down in proportion. The rig itself is
// not changed; it is given back where nothing is to be lowered, and where low is
// not known (0).
func (r *Rig) EndsOf(low si.Stress) *Rig {
	if r == nil || !(low > 0) {
		return r
	}
	out := r
	for i := range r.Limits {
		l := &r.Limits[i]
		if l.Kind != EndLimit || l.Part == nil || l.Part.End == nil || !(l.Part.End.Ultimate > low) {
			continue
		}
		if out == r {
			c := *r
			c.Limits = slices.Clone(r.Limits)
			out = &c
		}
		p, e := *l.Part, *l.Part.End
		e.Yield *= low / e.Ultimate
		e.Ultimate = low
		p.End, p.StrengthFrom = &e, lowEnd
		weaker := out.Limits[i]
		weaker.Part = &p
		weaker.compute()
		out.Limits[i] = weaker
	}
	return out
}

// lowEnd is where the strength of an end is from that EndsOf lowered.
const lowEnd = "minimum: the lower end of what the bar is expected to break at"
