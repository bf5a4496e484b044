package strength

import "fmt"

// outOfCalibration says that the force at the peak lies outside of what the
// calibration it is reckoned by has points for; empty where it does not, or none is
// used.
func outOfCalibration(p Pull) string {
	r, peak := p.Config.Rig, p.State.Peak.Gauge
	c := r.Calibration
	if c == nil || !(peak > 0) {
		return ""
	}
	if !c.Speaks(r.Path.BarFar) {
		return "the calibration " + c.ID + " was made on the other side and says nothing of this bar: forces are by the rig file alone"
	}
	if l := c.Line; !l.Covers(peak) {
		return fmt.Sprintf("the peak, %s at the gauge, is outside of the calibrated range, %s to %s: the line is carried on, and less sure there",
			peak.Text(r.Units), l.Low.Text(r.Units), l.High.Text(r.Units))
	}
	return ""
}
