package live

import (
	"draghand/internal/calib"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// ByRig is what the rig makes of a point at the place of the reference, Pa at the
// gauge and else N, for holding against its reference: with the calibration in
// force, if any.
func (v *View) ByRig(p calib.Point) float64 {
	return calib.Indicated(v.Rig, v.Run.At, v.Run.Far, p.Gauge)
}

// Loaded says whether there is load on the rig, as far as is seen.
func (v *View) Loaded() bool {
	return v.Signal == rig.AboveBand || float64(v.Live) > nearZero*float64(v.Rig.Chain().Range())
}

// View is the run at this moment. It is cheap but for the first time after the
// points have changed, when what they say is reckoned.
func (t *Taking) View() *View {
	snap := t.w.Snapshot()
	t.mu.Lock()
	r := t.o.Run.Rig
	v := &View{
		Rig: r, Units: r.Units, Source: snap.Source.Name, Fault: t.fault(), HaveZero: t.zero.have, ZeroNote: t.zeroNote(), Signal: t.signal,
		Going: t.way.going(), Alarms: snap.State.Alarms, Run: t.copied(), Saved: t.saved,
	}
	if now, ok := t.still.newest(); ok {
		v.Live = si.Pressure(now - t.zero.at)
		v.Force = t.force(v.Live)
	}
	if t.zero.have {
		v.Zero = si.Pressure(t.zero.at)
	}
	if v.Fault == "" && t.signal.Valid() {
		v.Progress, v.Moving = t.still.reached, t.still.moving(t.zero.at, r.Units)
		if p, loaded := t.point(); t.still.steady && t.zero.have && loaded {
			v.Steady, v.Taken = &p, t.taken()
			v.Passed = si.Pressure(t.way.passed(float64(p.Gauge), float64(p.SD)))
		}
	}
	change, known := t.change, t.known
	v.Answer = t.answer
	t.mu.Unlock()
	if known != change {
		v.Answer = nil
		if a, err := t.o.Reckon(v.Run); err == nil {
			v.Answer = a
		}
		t.mu.Lock()
		if t.change == change {
			t.known, t.answer = change, v.Answer
		}
		t.mu.Unlock()
	}
	return v
}

// fault says why no reading comes, and what to do.
func (t *Taking) fault() string {
	s := t.w.Snapshot()
	switch {
	case s.Err != "":
		return s.Err
	case s.Source.Status == "lost":
		return "the source " + s.Source.Name + " went away: plug it in again; it is looked for"
	case s.Source.Status == "silent":
		return "the board sends nothing any more: look at its cable and its power"
	case s.Source.Status == "ended" || s.Closed:
		return "the source has ended: what was taken can be saved; begin again to take more"
	case s.Source.Status == "waiting":
		why := "no reading has come yet"
		for _, told := range s.Story { // of the cable, the baud rate, the columns
			if told.Kind == watch.EventKind(pull.EvFault) && told.Text != "" {
				why = told.Text
			}
		}
		return why
	}
	return ""
}
