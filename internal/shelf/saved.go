package shelf

import (
	"math"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/strength"
)

// agree is how far, as a fraction, two ways of reckoning the same strength may lie
// apart: both are the same force on the same section, in floating point.
const agree = 1e-9

// saved fills in what only the results that stand in the head know: the doubt, what
// was measured after the break, and whether it counts.
//
// The strength itself stays that of the closing state and the bar, which every closed
// record has, finished or not, so that one list tells all of them alike. The results
// of a finished record say the same. Where they do not, somebody edited the head
// since, and their uncertainty is of another strength: it is left out.
func (e *Entry) saved(r *record.BriefResults) {
	if r == nil {
		return
	}
	if u := r.Expanded; u != nil && *u > 0 && (same(e.Strength, r.Strength) || same(e.AtLeast, r.AtLeast)) {
		e.Expanded = *u
	}
	e.Elongation = r.Elongation
	switch r.Counts {
	case strength.Counts, strength.CountsWithRemarks, strength.CountsNot:
		e.Counts, e.Because = r.Counts, short(r.Because)
	}
}

// settle says that a pull does not count where nobody has finished it and no one need:
// how it was closed rules it out already, as in its results.
func (e *Entry) settle(b record.Brief) {
	says, because := strength.Settled(strength.Pull{
		State: pull.State{Kind: e.Kind, Outcome: e.Outcome}, Bar: e.Specimen,
		After: &specimen.After{Where: b.Where, Failed: b.Failed}, Imported: e.Imported,
	}, !b.Closing.NeverLoaded)
	e.Counts, e.Because = says, short(because)
}

// same says whether a stress that is known, not 0, is the one of the results.
func same(v si.Stress, told *si.Stress) bool {
	return v != 0 && told != nil && math.Abs(float64(v-*told)) <= agree*math.Abs(float64(v))
}
