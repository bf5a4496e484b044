package strength

import (
	"fmt"
	"math"
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// measured fills in what was measured and seen on the bar after the pull.
func (r *Results) measured(p Pull) {
	r.Looks = []string{}
	a := p.After
	if a == nil {
		return
	}
	if a.Where != specimen.NotLookedAt {
		w := string(a.Where)
		r.Where = &w
	}
	for _, l := range a.Looks {
		r.Looks = append(r.Looks, string(l))
	}
	if !broke(p.State.Outcome) || p.State.Kind != pull.Tension || specimen.BoundOnly(a.Where, a.Failed) {
		return // a bar that is whole has not stretched to its end, nor one that broke elsewhere
	}
	if e := specimen.Elongation(p.Bar.GaugeLength, a.GaugeLength); a.GaugeLength > 0 && e >= 0 {
		r.Elongation = &e
	}
	if z, ok := reductionOf(p.Bar, a); ok {
		r.ReductionOfArea = &z
	}
}

// broke says that a pull ended with the bar in two.
func broke(outcome pull.Phase) bool { return outcome == pull.Broken || outcome == pull.Faded }

// reductionOf is the reduction of area, a fraction. Of a round bar the final
// diameters are those across the one least section, and their mean counts; of
// another shape the least of the final sections.
func reductionOf(bar specimen.Specimen, a *specimen.After) (float64, bool) {
	var z float64
	switch {
	case bar.Shape == specimen.Round && len(a.Diameters) > 0:
		var sum si.Length
		for _, d := range a.Diameters {
			sum += d
		}
		z = specimen.ReductionOfArea(bar.Diameter(), sum/si.Length(len(a.Diameters)))
	case bar.Shape != specimen.Round && len(a.Sections) > 0:
		after := specimen.Specimen{Shape: bar.Shape, Sections: a.Sections}
		if !(after.Area() > 0) || !(bar.Area() > 0) {
			return 0, false
		}
		z = 1 - float64(after.Area()/bar.Area())
	default:
		return 0, false
	}
	return z, z >= 0 && z < 1
}

// offMiddle is where a break leaves the strength and takes the elongation's worth,
// as a phrase; empty where it does not.
func offMiddle(w specimen.Where) string {
	switch w {
	case specimen.OffMiddle:
		return "it broke outside the middle half of the gauge length"
	case specimen.OffMarks:
		return "it broke outside the gauge marks"
	case specimen.AtShoulder:
		return "it broke at the shoulder"
	}
	return ""
}

// defect is a look of the fracture that tells of a poor casting, as a phrase;
// empty for the others.
func defect(l specimen.Look) string {
	switch l {
	case specimen.Porous:
		return "the fracture is porous"
	case specimen.Dross:
		return "there is dross in the fracture"
	case specimen.ColdLap:
		return "there is a cold lap in the fracture"
	}
	return ""
}

// calibrated says which calibration the force was reckoned by.
func (r *Results) calibrated(p Pull) {
	if p.Config.Rig == nil || p.Config.Rig.Calibration == nil || r.Peak == nil {
		return
	}
	c, chain := p.Config.Rig.Calibration, p.Config.Rig.Chain()
	if !c.Speaks(p.Config.Rig.Path.BarFar) {
		return // a remark says so
	}
	r.Calibration = &Calibrated{
		ID: c.ID, At: string(c.At), InRange: c.Line.Covers(p.State.Peak.Gauge),
		LowN: float64(chain.Specimen(c.Line.Low)), HighN: float64(chain.Specimen(c.Line.High)),
	}
}

// lateCalibration is the calibration that the force was reckoned by, where the pull
// came after the date it was good to; nil: it is in time, or there is none.
func lateCalibration(p *Pull, r *Results) *rig.Calibration {
	if r.Calibration == nil || p.Started.IsZero() {
		return nil
	}
	if c := p.Config.Rig.Calibration; !c.Due.IsZero() && p.Started.After(c.Due) {
		return c
	}
	return nil
}

// disagrees holds the calibration that the force was reckoned by against the file.
func disagrees(p *Pull, r *Results) (rig.Disagreement, bool) {
	if r.Calibration == nil || p.Config.Rig == nil {
		return rig.Disagreement{}, false
	}
	return p.Config.Rig.Disagrees()
}

// unstatedDial is the limit of error taken for a dial where none is stated, as a
// fraction of what it reads: what ASTM E4 allows a force to be off in all.
const unstatedDial = 0.01

// dialed holds the dial beside the transducer against the drag hand.
func (r *Results) dialed(p Pull) {
	// The peak of what is intact is not the one that the dial saw.
	cut := p.Damaged || p.State.Outcome == pull.Ended && p.After != nil && p.After.Where != specimen.NotLookedAt
	if cut || p.Dial == nil || r.Peak == nil || r.eye || !(r.Peak.SpecimenN > 0) {
		return
	}
	d := &DialCheck{PeakN: float64(*p.Dial), Difference: float64(*p.Dial)/r.Peak.SpecimenN - 1}
	if p.DialError != nil {
		d.ErrorN = known(float64(*p.DialError))
	}
	r.Dial = d
	r.dialLimit = sensorLimit(p.Config.Rig, p.State.Peak)
	if d.ErrorN != nil {
		r.dialLimit += *d.ErrorN
	} else {
		r.dialLimit += unstatedDial * d.PeakN
	}
}

// sensorLimit is the limit of error of the transducer at the peak, as force on the
// specimen, N. Area, friction and share are left out: the dial shares them. Where
// the calibration is by a reference gauge its line stands for the transducer, with
// two standard uncertainties.
func sensorLimit(r *rig.Rig, peak pull.Point) float64 {
	if r == nil || !(peak.Gauge > 0) {
		return 0
	}
	limit := r.Sensor.Accuracy * float64(r.Sensor.High-r.Sensor.Low)
	if r.Sensor.AccuracyOfReading {
		limit = r.Sensor.Accuracy * float64(peak.Gauge)
	}
	if c := r.Calibration; c != nil && c.At == rig.AtGauge {
		limit = 2 * math.Hypot(c.Line.LineU(peak.Gauge), c.ReferenceU*float64(peak.Gauge))
	}
	return limit * perPascal(r, peak.Gauge)
}

// perPascal is the force on the specimen that one more pascal makes at a gauge
// pressure, m².
func perPascal(r *rig.Rig, at si.Pressure) float64 {
	const probe = 1e7 // Pa: from any peak on, forces are straight lines of it
	c := r.Chain()
	return float64(c.Specimen(at+probe)-c.Specimen(at)) / probe
}

// dialOff says that dial and drag hand differ by more than both their limits of
// error together.
func (r *Results) dialOff() bool {
	return r.Dial != nil && math.Abs(r.Dial.PeakN-r.Peak.SpecimenN) > r.dialLimit
}

// afterRemarks says in words what the reader of the finished result must know.
func (r *Results) afterRemarks(p Pull, sys si.System) []string {
	var out []string
	add := func(t string) {
		if t != "" {
			out = append(out, t)
		}
	}
	out = append(out, r.paceRemarks(sys)...)
	if why := accuracyUnknown(p); why != "" && (r.StrengthPa != nil || r.StrengthAtLeastPa != nil) {
		add("the uncertainty is not stated: " + why)
	}
	if r.noRam && r.Budget != nil && p.Config.Rig.Calibration == nil {
		add(fmt.Sprintf("the uncertainty takes the forces of the table to be right to %.2g %%: the table does not say", 100*p.Config.Rig.Sensor.Accuracy))
	}
	if p.foundBroken {
		add("nobody saw the bar break, and it was found broken: its peak stands for its strength, which is larger if it broke later at more")
	}
	if p.State.PeakUnseen > 0 {
		add("the force was out of sight at the peak: it may have been larger than the drag hand says")
	}
	if p.State.OverRange {
		add("the sensor was over its range: the force was larger than it can tell")
	}
	if c := r.Calibration; c != nil && !c.InRange {
		add(fmt.Sprintf("the peak lies outside the points of the calibration %s (%s to %s): there it is less sure", c.ID, si.Force(c.LowN).Text(sys), si.Force(c.HighN).Text(sys)))
	}
	if d, bad := disagrees(&p, r); bad {
		add(fmt.Sprintf("the calibration %s and the rig file do not agree: %s: was it the same ram, were the arms as stated?", r.Calibration.ID, d.Words()))
	}
	if late := lateCalibration(&p, r); late != nil {
		add(fmt.Sprintf("the calibration %s was due on %s: calibrate again", late.ID, late.Due.Format(time.DateOnly)))
	}
	if r.dialOff() {
		add(fmt.Sprintf("the dial says %s, %+.1f %% of the drag hand: more than both limits of error (%s): look at the transducer and the dial",
			si.Force(r.Dial.PeakN).Text(sys), 100*r.Dial.Difference, si.Force(r.dialLimit).Text(sys)))
	}
	a := p.After
	if a == nil {
		return out
	}
	if where := offMiddle(a.Where); where != "" {
		if r.Elongation != nil {
			where += ": by ASTM E8/E8M its elongation may be too low"
		}
		add(where)
	}
	if a.Where == specimen.InGrip {
		add("it broke in the grip: the bar bore at least this, its strength is not known")
	}
	if a.Failed != "" {
		add("part of the rig gave way in place of the bar: " + a.Failed)
	}
	for _, l := range a.Looks {
		if t := defect(l); t != "" {
			add(t + ": the strength is of this casting, not of the metal")
		}
	}
	if a.GaugeLength > 0 && r.Elongation == nil && !(p.Bar.GaugeLength > 0) {
		add("no elongation: the gauge length before the pull is not in the record")
	}
	return out
}
