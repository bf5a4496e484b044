package calib

import (
	"time"

	"draghand/internal/rig"
)

// InForce is the calibration of a shelf by which a rig's forces on a bar, on the far
// side or not, are reckoned by itself; nil where there is none. Of those that fit and
// are not overdue it is the one nearest the specimen, since it knows most of what
// lies between the oil and the bar; of several there the newest. Where all are
// overdue it is the same among these. One that was made on a simulated source speaks
// for simulated pulls alone, and one from a true rig for true ones. What does not
// fit, or cannot be read, is passed over.
func InForce(shelf string, r *rig.Rig, far, simulated bool, now time.Time) (*rig.Calibration, error) {
	all, err := List(shelf)
	if err != nil {
		return nil, err
	}
	return withPassed(all, r, far, inForce(all, r, far, simulated, now)), nil
}

// inForce chooses among a list, the newest first.
func inForce(all []Entry, r *rig.Rig, far, simulated bool, now time.Time) *rig.Calibration {
	var best *rig.Calibration
	for _, e := range all {
		if e.File == nil || e.File.Withdrawn != nil {
			continue
		}
		c := e.File.Calibration
		if c.Simulated != simulated || !c.Speaks(far) {
			continue
		}
		if best != nil && !before(&c, best, now) {
			continue
		}
		if _, err := r.Calibrated(&c); err == nil {
			best = &c
		}
	}
	return best
}

// before says whether one calibration goes before another, a newer one.
func before(a, b *rig.Calibration, now time.Time) bool {
	if x, y := overdue(a, now), overdue(b, now); x != y {
		return y
	}
	return nearness(a.At) > nearness(b.At)
}

func overdue(c *rig.Calibration, now time.Time) bool { return c.Due.Before(now) }

// nearness to the specimen of the place where the reference stood.
func nearness(p rig.Place) int {
	switch p {
	case rig.AtSpecimen:
		return 2
	case rig.AtRam:
		return 1
	}
	return 0
}

// Marks are the sides, "near" and "far", whose bars are reckoned by an entry of a
// list by itself: on the rig given, or, nil, on the rig that the calibration was made
// on, as that was then. A rig of one side has a near one alone.
func Marks(all []Entry, e Entry, r *rig.Rig, now time.Time) []string {
	if e.File == nil {
		return nil
	}
	if r == nil {
		r = e.File.Run.Rig
	}
	if r == nil {
		return nil
	}
	c := &e.File.Calibration
	var out []string
	for i, side := range []string{"near", "far"} {
		far := i == 1
		if far && r.Path.Kind != rig.TwoSided {
			continue
		}
		if k := inForce(all, r, far, c.Simulated, now); k != nil && k.ID == c.ID {
			out = append(out, side)
		}
	}
	return out
}

// OtherRam says why no calibration is used by itself, where the newest one that would
// fit otherwise was made with another ram; empty where none was.
func OtherRam(all []Entry, r *rig.Rig, far bool) string {
	for _, e := range all {
		if e.File == nil || !e.File.Calibration.Speaks(far) {
			continue
		}
		c := e.File.Calibration
		if _, err := r.SameRam(&c); err != nil {
			continue
		}
		if _, err := r.Calibrated(&c); err != nil {
			return err.Error()
		}
	}
	return ""
}
