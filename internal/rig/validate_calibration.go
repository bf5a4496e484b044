package rig

import (
	"fmt"
	"math"
	"time"
	"unicode/utf8"

	"draghand/internal/si"
)

// What a calibration can be. The ends are wide, as those of a rig are.
const (
	minPoints, maxPoints     = 3, 100_000
	maxReferenceU            = 0.2
	maxTexts, maxText        = 64, 600
	oldestDay, newestDay     = 1950, 2200 // years; the package knows no clock
	leastGain, mostGain      = 0.2, 5.0   // of a gauge against a reference one
	maxMeasured              = 0.5        // a friction that noise has shown, either way
	wantNewCalibration       = "a calibration as draghand calibrate saves it"
	minSpecimenPer           = 1e-3 * float64(minArea)
	minRamPer                = 0.2 * float64(minArea)
	maxPer                   = 5 * float64(maxArea)
	mostBend                 = 100.0 // of the slope below the points against that of the line
	maxDoF                   = 1e6
	meanSlack, squaresSlack  = 1e-6, 1e-6
	maxID, maxReferenceWords = 120, 200
)

// Validate checks a Calibration that came out of a file: every number finite and
// possible, and a line that rises. The error is a *FileError without lines.
func (c *Calibration) Validate() error {
	if faults := c.check(); len(faults) > 0 {
		return &FileError{Faults: faults}
	}
	return nil
}

// ValidateFigures is Validate of all that forces are reckoned with, and of no word
// and no date: what a record of before says of itself stays readable.
func (c *Calibration) ValidateFigures() error {
	k := &checker{}
	c.figures(k)
	if faults := c.named(k); len(faults) > 0 {
		return &FileError{Faults: faults}
	}
	return nil
}

func (c *Calibration) check() []Fault {
	k := &checker{}
	k.label("id", c.ID, maxID, "the name of its file")
	k.label("rig", c.Rig, maxTitle, wantName)
	k.label("reference", c.Reference, maxReferenceWords, "what the rig was held against")
	if c.Certificate != "" {
		k.label("certificate", c.Certificate, maxReferenceWords, "number and date")
	}
	k.sensor(&c.Sensor)
	if c.Role != SensorRam && c.Role != ActuatorRam {
		k.fault("role", "not known", `"sensor" or "actuator"`)
	}
	k.path(c.Path)
	if c.Sensor.Kind == ForceOut && c.RamArea == 0 {
		within(k, "ram_area_m2", c.RamArea, minArea, maxArea, areaText, wantArea)
	}
	if c.Far && c.Path.Kind != TwoSided {
		k.fault("far", "only a two-sided rig has a far side", "none")
	}
	k.days(c.Made, c.Due)
	k.texts("claims", c.Claims)
	k.texts("remarks", c.Remarks)
	c.figures(k)
	return c.named(k)
}

// figures are the numbers, and the place that says what they are.
func (c *Calibration) figures(k *checker) {
	if c.RamArea != 0 {
		within(k, "ram_area_m2", c.RamArea, minArea, maxArea, areaText, wantArea)
	}
	if !(c.RamAreaTol >= 0 && c.RamAreaTol <= maxTolerance*c.RamArea) {
		k.fault("ram_area_tol_m2", fmt.Sprintf("%v is no limit of error of its area", c.RamAreaTol), wantNewCalibration)
	}
	if c.Far && c.At != AtSpecimen {
		k.fault("far", "only the specimen's place has a far side", "none")
	}
	if !(c.ReferenceU >= 0 && c.ReferenceU <= maxReferenceU) {
		k.fault("reference_u", fmt.Sprintf("%v is not between 0 and %v", c.ReferenceU, maxReferenceU), "a standard uncertainty as a fraction")
	}
	k.calibrationLine(c)
	k.rubbing(c.Rubbing)
}

// named are the faults with the calibration in front of their keys.
func (c *Calibration) named(k *checker) []Fault {
	for i := range k.faults {
		k.faults[i].Key = "calibration." + k.faults[i].Key
	}
	return k.faults
}

func (c *checker) days(made, due time.Time) {
	if y := made.Year(); y < oldestDay || y > newestDay {
		c.fault("made", fmt.Sprintf("the year %d is none of a calibration", y), wantNewCalibration)
	}
	if y := due.Year(); due.Before(made) || y > newestDay {
		c.fault("due", "before it was made, or never", wantNewCalibration)
	}
}

func (c *checker) texts(key string, all []string) {
	if len(all) > maxTexts {
		c.fault(key, fmt.Sprintf("more than %d", maxTexts), wantNewCalibration)
		return
	}
	for _, s := range all {
		if utf8.RuneCountInString(s) > maxText || !printable(s) {
			c.fault(key, "one is too long or holds a character that cannot be shown", "plain text")
			return
		}
	}
}

func (c *checker) calibrationLine(k *Calibration) {
	l := k.Line
	least, most := 0.0, 0.0
	switch k.At {
	case AtGauge:
		least, most = leastGain, mostGain
	case AtRam:
		least, most = minRamPer, maxPer
	case AtSpecimen:
		least, most = minSpecimenPer, maxPer
	default:
		c.fault("at", fmt.Sprintf("%+q is no place of a reference", string(k.At)), `"gauge", "ram" or "specimen"`)
		return
	}
	fault := func(key, format string, a ...any) {
		c.fault("line."+key, fmt.Sprintf(format, a...), wantNewCalibration)
	}
	if !(l.Slope >= least && l.Slope <= most) {
		fault("slope", "%v is not between %v and %v", l.Slope, least, most)
		return
	}
	if !(l.Low >= minPressure && l.High > l.Low && l.High <= maxPressure) {
		fault("low_pa", "%v to %v is no range of gauge pressures", l.Low, l.High)
		return
	}
	if l.ThroughZero && l.Offset != 0 {
		fault("offset", "a line through zero has none")
	}
	foot := l.Value(l.Low) / float64(l.Low)
	if !(math.Abs(l.Offset) <= l.Slope*float64(l.High)) || !(foot >= l.Slope/mostBend && foot <= l.Slope*mostBend) {
		fault("offset", "%v is too large for its slope: the line does not rise from nothing", l.Offset)
	}
	if l.Points < minPoints || l.Points > maxPoints {
		fault("points", "%d is not between %d and %d", l.Points, minPoints, maxPoints)
	}
	if !(l.SD >= 0 && l.SD <= l.Slope*float64(l.High)) {
		fault("residual_sd", "%v is no scatter of these points", l.SD)
	}
	if !(l.ZeroU >= 0 && l.ZeroU <= l.High) {
		fault("zero_u_pa", "%v is no uncertainty of their zero", l.ZeroU)
	}
	if slack := si.Pressure(meanSlack) * l.High; !(l.Mean >= l.Low-slack && l.Mean <= l.High+slack) {
		fault("mean_pa", "%v lies outside of the points", l.Mean)
	}
	if most := float64(l.Points) * float64(l.High) * float64(l.High) * (1 + squaresSlack); !(l.SumSquares > most*1e-18 && l.SumSquares <= most) {
		fault("sum_squares_pa2", "%v is no sum of squares of these points", l.SumSquares)
	}
}

func (c *checker) rubbing(m *MeasuredRubbing) {
	if m == nil {
		return
	}
	if !(math.Abs(m.Friction) <= maxMeasured && m.FrictionU >= 0 && m.FrictionU <= maxMeasured) {
		c.fault("friction", fmt.Sprintf("%v ± %v is no friction", m.Friction, m.FrictionU), wantNewCalibration)
	}
	if !(m.Area >= 0 && m.Area <= 5*maxArea && m.AreaU >= 0 && m.AreaU <= 5*maxArea) {
		c.fault("friction.area_m2", "no area of a ram", wantNewCalibration)
	}
	if !(m.DoF > 0 && m.DoF <= maxDoF) {
		c.fault("friction.dof", fmt.Sprintf("%v are no degrees of freedom", m.DoF), wantNewCalibration)
	}
}

// calibration checks the one a rig is reckoned by, and that it is of this rig.
func (c *checker) calibration(r *Rig) {
	k := r.Calibration
	if k == nil {
		return
	}
	faults := k.check()
	c.faults = append(c.faults, faults...)
	if len(faults) > 0 {
		return
	}
	for _, why := range k.misfits(r) {
		c.fault("calibration", "was made on another rig: "+why, "the calibration of this rig, or none")
	}
}
