package rig

import (
	"fmt"
	"strings"
)

// A MisfitError says why a calibration says nothing of a rig.
type MisfitError struct {
	What string // what differs
	Do   string // what to do next
}

func (e *MisfitError) Error() string { return e.What }

// Next is what to do about it.
func (e *MisfitError) Next() string { return e.Do }

// Calibrated is the rig with its forces reckoned by a calibration, nil for none.
// The rig itself stays as it is. The error is a *MisfitError where the calibration
// was made on another rig or with another ram, a *FileError where it does not hold
// together.
func (r *Rig) Calibrated(c *Calibration) (*Rig, error) {
	if c != nil {
		if why := c.otherArea(r); why != "" && c.Validate() == nil && len(c.misfits(r)) == 0 {
			return nil, &MisfitError{
				What: fmt.Sprintf("the calibration %s is not of this ram: %s", c.ID, why),
				Do:   "take new points on this rig with draghand calibrate, or use the rig file by itself with --calibration none",
			}
		}
	}
	return r.SameRam(c)
}

// SameRam is Calibrated where the ram is known to be the one the calibration was made
// with, whatever area it was said to have then: a pull of before, reckoned anew by a
// corrected rig file. Its line comes from the pressure and does not hang on the
// area. Disagrees still tells where both cannot be right.
func (r *Rig) SameRam(c *Calibration) (*Rig, error) {
	if c != nil {
		if err := c.Validate(); err != nil {
			return nil, err
		}
		if why := c.misfits(r); len(why) > 0 {
			return nil, &MisfitError{
				What: fmt.Sprintf("the calibration %s was made on another rig: %s", c.ID, strings.Join(why, "; ")),
				Do:   "take new points on this rig with draghand calibrate, or use the rig file by itself with --calibration none",
			}
		}
	}
	out := *r
	out.Calibration = c
	return &out, nil
}

// misfits is what of a rig is not as it was when the calibration was made.
func (c *Calibration) misfits(r *Rig) []string {
	var out []string
	add := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	if c.Rig != r.Name {
		add("its rig is %q, this one %q", c.Rig, r.Name)
	}
	if c.Sensor.number() != r.Sensor.number() {
		add("its sensor is another, or is read in another way")
	}
	if r.Sensor.Kind == ForceOut && !same(float64(c.RamArea), float64(r.Ram.Area)) {
		add("the sensor tells a force, and the ram area its pressure is reckoned with was %s, not %s", areaText(c.RamArea), areaText(r.Ram.Area))
	}
	if c.Role != r.Ram.Role {
		add("its ram served as %s, this one as %s", c.Role, r.Ram.Role)
	}
	if c.At == AtSpecimen {
		out = append(out, c.Path.misfits(r.Path)...)
		if c.Far && r.Path.Kind != TwoSided {
			add("it was made in the far side's place, and this rig has none")
		}
	}
	return out
}

// number is what of a sensor makes a pressure out of its number: not what is
// stated of its accuracy and of what it stands.
func (s Sensor) number() Sensor {
	s.Accuracy, s.AccuracyOfReading, s.Proof = 0, false, 0
	return s
}

// misfits is what of a load path makes another force of the same ram's force. What
// is stated of how well it is known does not.
func (p Path) misfits(q Path) []string {
	var out []string
	add := func(format string, a ...any) { out = append(out, fmt.Sprintf(format, a...)) }
	switch {
	case p.Kind != q.Kind:
		add("its path was %q, this one is %q", p.Kind, q.Kind)
	case p.Kind == Fixed && !same(p.Share, q.Share):
		add("its share was %s, this one's is %s", trim(p.Share), trim(q.Share))
	case p.Kind == TwoSided && (!same(float64(p.SpecimenArm), float64(q.SpecimenArm)) || !same(float64(p.FarArm), float64(q.FarArm))):
		add("its arms were %s and %s, these are %s and %s", lengthText(p.SpecimenArm), lengthText(p.FarArm), lengthText(q.SpecimenArm), lengthText(q.FarArm))
	case p.Bearing != q.Bearing || !same(float64(p.BearingWide), float64(q.BearingWide)):
		add("the bar bore on another bearing")
	}
	if !same(float64(p.lost()), float64(q.lost())) {
		add("the moving parts took %s off, now %s", forceText(p.lost()), forceText(q.lost()))
	}
	return out
}
