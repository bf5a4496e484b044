package strength

// otherSide says that a calibration made on the other side of the rig says nothing of
// this bar; empty where it does, or none is there.
func otherSide(p Pull) string {
	r := p.Config.Rig
	if c := r.Calibration; c != nil && !c.Speaks(r.Path.BarFar) {
		return "the calibration " + c.ID + " was made on the other side and says nothing of this bar: forces are by the rig file alone"
	}
	return ""
}
