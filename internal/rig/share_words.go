package rig

import "draghand/internal/si"

// shareFrom says where a share of two sides comes from, and what of its limit
// of error is due to what.
func (w *page) shareFrom(p Path) {
	if p.BarFar {
		w.item("", "the bar stands on the far side: %s of the ram force on it", si.Number(p.BarShare(), 4))
	}
	if p.Kind != TwoSided {
		return
	}
	ruler, tol, _ := p.Ruler()
	walk := p.Walk()
	if p.ShareFound {
		w.item("", "found by bars pulled on both sides, ± %s; the arms alone make %s ± %s", si.Number(p.ShareTol-walk, 4), si.Number(ruler, 4), si.Number(tol-walk, 4))
	} else {
		w.item("", "from the arms; bars pulled on both sides tell it better: draghand share")
	}
	if walk > 0 {
		w.item("", "of it ± %s: the flat face of %s on arms of %s and %s can walk it so far,", si.Number(walk, 4), p.BearingWide.Text(w.sys), p.SpecimenArm.Text(w.sys), p.FarArm.Text(w.sys))
		w.item("", "to the unsafe side; a half-round or ball seat leaves ± %s", si.Number(p.ShareTol-walk, 4))
	}
}
