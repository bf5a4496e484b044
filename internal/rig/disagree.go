package rig

import (
	"fmt"
	"math"

	"draghand/internal/si"
)

// unstatedAccuracy is taken for a sensor of which none is stated: what ASTM E4
// allows a force to be off in all.
const unstatedAccuracy = 0.01

// Disagreement is how far what a calibration says lies off what the rig file says,
// as fractions of the latter.
type Disagreement struct {
	At      si.Pressure // where it is largest against what is allowed
	Off     float64     // of the calibration, signed
	Allowed float64     // ±: every limit of error of the file, and the line's own doubt
}

// Disagrees says whether the calibration and the rig file cannot both be right: over
// the points of its line they differ by more than all that is stated of both
// together. Another ram does that, and so does a slipped unit or a wrong arm. It is
// false without a calibration, and for one that says nothing of where the bar
// stands.
func (r *Rig) Disagrees() (Disagreement, bool) {
	c := r.Calibration
	if c == nil || !c.Speaks(r.Path.BarFar) {
		return Disagreement{}, false
	}
	var worst Disagreement
	over := 0.0
	for _, p := range []si.Pressure{c.Line.Low, c.Line.Mean, c.Line.High} {
		file, allowed := r.byFile(c, p)
		if !(file > 0) {
			continue
		}
		d := Disagreement{At: p, Off: c.Line.Value(p)/file - 1, Allowed: allowed + c.doubt(p, c.cover())}
		if more := math.Abs(d.Off) - d.Allowed; more > over {
			worst, over = d, more
		}
	}
	return worst, over > 0
}

// Words are the disagreement in a phrase: "it says 39.1 % more than the rig file,
// which allows ± 2.5 %".
func (d Disagreement) Words() string {
	way := "more"
	if d.Off < 0 {
		way = "less"
	}
	return fmt.Sprintf("it says %.1f %% %s than the rig file, and both together allow ± %.1f %%", 100*math.Abs(d.Off), way, 100*d.Allowed)
}

// byFile is what the file alone says at the calibration's place at a pressure, N or
// Pa, and by how much of it that may be off: the limits of error one on the other,
// since each may be at its end.
func (r *Rig) byFile(c *Calibration, p si.Pressure) (value, allowed float64) {
	s := &r.Sensor
	allowed = s.Accuracy
	if allowed == 0 {
		allowed = unstatedAccuracy
	}
	if !s.AccuracyOfReading && p > 0 {
		allowed *= float64((s.High - s.Low) / p)
	}
	if c.At == AtGauge {
		return float64(p), allowed
	}
	if r.Ram.Area > 0 {
		allowed += float64(r.Ram.AreaTol / r.Ram.Area)
	}
	allowed += r.Ram.FrictionBand / r.Ram.rising()
	plain := *r
	plain.Calibration = nil
	ch := plain.Chain()
	if c.At == AtRam {
		return float64(ch.Ram(p)), allowed
	}
	if share := r.Path.BarShare(); share > 0 {
		tol := r.Path.ShareTol
		if !r.Path.ShareFound {
			tol = max(tol, r.Path.Walk())
		}
		allowed += tol / share
	}
	return float64(ch.Specimen(p)), allowed
}

// otherArea says that the ram's area is not what it was when the calibration was
// made, by more than both limits of error together; empty where it may be the same
// ram, where nothing is known, and where the line does not go through the ram.
func (c *Calibration) otherArea(r *Rig) string {
	if c.At == AtGauge || !(c.RamArea > 0) {
		return ""
	}
	if d := math.Abs(float64(c.RamArea - r.Ram.Area)); d <= float64(c.RamAreaTol+r.Ram.AreaTol)*(1+shareSlack) {
		return ""
	}
	return fmt.Sprintf("its ram had %s, this one has %s: another ram, or a corrected area", areaText(c.RamArea), areaText(r.Ram.Area))
}

// cautionCalibration says that the calibration and the file cannot both be right.
func (r *Rig) cautionCalibration(add func(string, ...any)) {
	if d, bad := r.Disagrees(); bad {
		add("the calibration %s and the rig file do not agree: %s: see that the ram, the arms and the sensor are those it was made with, and calibrate again", r.Calibration.ID, d.Words())
	}
}
