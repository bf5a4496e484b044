package rig

import (
	"errors"
	"math"

	"draghand/internal/si"
)

// foundFar is how far a share found by bars pulled on both sides may lie from
// what the arms make: beyond it a figure slipped, no ruler was misread.
const foundFar = 0.1

// BarOn is the rig with the bar on one of its sides: in the specimen's own
// place, or with far in the place of the far side's link. It is r itself where
// the bar stands there already, and where there is but one place.
func (r *Rig) BarOn(far bool) *Rig {
	if r == nil || r.Path.BarFar == far || far && r.Path.Kind != TwoSided {
		return r
	}
	out := *r
	out.Path.BarFar = far
	return &out
}

// TakesSides says why a bar has but one place to stand in; nil where it may
// stand on either side.
func (r *Rig) TakesSides() error {
	switch r.Path.Kind {
	case TwoSided:
		return nil
	case Fixed:
		return errors.New(`the path of this rig is "fixed": what its other side carries is not stated`)
	}
	return errors.New("the path of this rig has one side only")
}

// BarShare is the part of the ram's force that the bar carries where it
// stands. It is known as well as Share is.
func (p Path) BarShare() float64 {
	if p.BarFar {
		return 1 - p.Share
	}
	return p.Share
}

// Walk is the most by which the contact under a flat ram face can shift the
// share as the bar tilts: half the face over the sum of the arms. It is 0 on a
// ball or a roller. It is no scatter but goes one way, away from the side that
// stretches, so that the bar carries less than reckoned and the other side more.
func (p Path) Walk() float64 {
	if sum := float64(p.SpecimenArm + p.FarArm); sum > 0 && p.BearingWide > 0 {
		return float64(p.BearingWide) / 2 / sum
	}
	return 0
}

// Ruler is the share as the measured arms make it, with its limit of error,
// whatever bars pulled on both sides have shown; ok is false for a path
// without arms.
func (p Path) Ruler() (share, tol float64, ok bool) {
	if p.Kind != TwoSided || !(p.SpecimenArm > 0 && p.FarArm > 0) {
		return 0, 0, false
	}
	if !p.ShareFound {
		return p.Share, p.ShareTol, true
	}
	share, tol = shareOf(p.SpecimenArm, p.ArmTol, p.FarArm, p.ArmTol, p.BearingWide)
	return share, tol, true
}

// found puts a share found by bars pulled on both sides in the place of what
// the arms make. A flat bearing's walk stays on top: it changes sides with the
// bar, so that no swap shows it.
func (p *Path) found(share, tol float64) {
	p.Share, p.ShareTol, p.ShareFound = share, tol+p.Walk(), true
}

// checkFound looks at a share found: a share, not beyond the arms, and with the
// walk of a flat bearing in its limit of error.
func (c *checker) checkFound(p Path) {
	const key = "path.share_found"
	ruler, tol, _ := p.Ruler()
	switch {
	case !(p.Share > 0 && p.Share < 1 && p.ShareTol > 0 && p.ShareTol < min(p.Share, 1-p.Share)):
		c.fault(key, trim(p.Share)+" ± "+trim(p.ShareTol)+" is no share of two sides", wantFound)
	case p.ShareTol < p.Walk()-shareSlack:
		c.fault(key, "its limit of error "+trim(p.ShareTol)+" is less than what a flat bearing can shift", wantFound)
	case math.Abs(p.Share-ruler) > foundFar+tol:
		c.fault(key, trim(p.Share)+" is far from what the arms make, "+trim(ruler), "the share that draghand share gave, and the arms as measured")
	}
}

// shareOf is the specimen's share of the ram force under a bar that bears on
// the ram, and the worst it can be off: both arms at the ends of their limits
// of error, and under a flat contact the force up to half its width off the
// centre line, which lengthens one arm by what it takes off the other.
func shareOf(specimen, specimenTol, far, farTol, flat si.Length) (share, tol float64) {
	at := func(s, f si.Length) float64 { return float64(f) / float64(s+f) }
	share = at(specimen, far)
	most := at(specimen-specimenTol, far+farTol)
	least := at(specimen+specimenTol, far-farTol)
	tol = max(most-share, share-least)
	return share, tol + float64(flat)/2/float64(specimen+far)
}
