package tui

import (
	"fmt"
	"slices"

	"draghand/internal/calib"
	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// standTime is how long a reading must stand still to make a point, in seconds.
const standTime = 2.0

// alarm is the worst there is now, in ever fewer words; nil: nothing is.
func (m *CalibrateScreen) alarm() ([]string, ink) {
	v := m.view
	fault := clean(v.Fault)
	switch {
	case v.Fault != "" && m.left:
		return []string{"■ CANNOT SEE THE FORCE: stop pressing: " + fault, "■ CANNOT SEE THE FORCE: stop pressing"}, stopBar
	case v.Fault != "" && !m.seen: // at the start
		return []string{fault}, noteBar
	case v.Fault != "":
		return []string{"■ NO READING: " + fault}, warningBar
	case v.Signal == rig.AboveBand:
		return []string{"■ OVER RANGE: the sensor tells no more: stop pressing, let the pressure down", "■ OVER RANGE: stop pressing"}, stopBar
	case !v.Signal.Valid():
		return []string{"■ CANNOT SEE THE FORCE: " + v.Signal.String() + ": stop pressing"}, stopBar
	}
	if texts, k := alarmNow(m.engine(), v.Units); texts != nil {
		if m.quieted() {
			for i := range texts {
				texts[i] += ", acknowledged"
			}
		}
		return texts, k
	}
	l := &m.limit
	if l.Level == pull.Quiet {
		return nil, plain
	}
	name, pc := clean(l.Name), percent(l.Ratio)
	at := name + " at " + pc + " of its limit: " + LoadText(l.Load, l.Allowable, l.At, v.Units)
	switch l.Level {
	case pull.Stop:
		return []string{"■ STOP   release the pressure: " + at, "■ STOP  " + name + " at " + pc + ": release the pressure"}, stopBar
	case pull.Warning:
		return []string{"▲ WARNING   press no further: " + at, "▲ WARNING  " + name + " at " + pc + ": press no further"}, warningBar
	}
	return []string{"△ CAUTION   " + at, "△ CAUTION  " + name + " at " + pc}, cautionBar
}

// engine is what the words of an alarm are made of on the other screens.
func (m *CalibrateScreen) engine() *watch.Snapshot {
	v := m.view
	if len(v.Alarms) == 0 || v.Rig == nil {
		return nil
	}
	s := pull.State{Alarms: v.Alarms, Seen: m.readable(), Nearest: -1, Signal: v.Signal}
	for i := range m.bounds {
		b := &m.bounds[i]
		l := pull.Limit{Name: b.Limit.Name, At: b.Limit.At, Load: b.Load(v.Live, v.Live+v.Zero), Allowable: b.Allowable, PeakRatio: m.most[i]}
		l.Ratio = b.Ratio(v.Live, v.Live+v.Zero)
		s.Limits = append(s.Limits, l)
	}
	return &watch.Snapshot{State: s, Levels: v.Rig.Alarm}
}

// quieted says that nothing is on that nobody has acknowledged.
func (m *CalibrateScreen) quieted() bool {
	return !slices.ContainsFunc(m.view.Alarms, func(a pull.Alarm) bool { return !a.Returned && !a.Acked })
}

// drawStands says whether the reading stands still, as a bar and in words, and what
// it is above.
func (m *CalibrateScreen) drawStands(p *plate, y int) int {
	v := m.view
	p.text(2, y, calibrateWide, "stands", faint)
	x := 2 + calibrateWide
	if !m.readable() {
		p.text(x, y, p.w-2-x, "–", faint)
		return y + 1
	}
	if !v.HaveZero {
		why := clean(v.ZeroNote)
		if why == "" {
			why = "keep everything off the rig for 2 quiet seconds"
		}
		for _, l := range wrap("no zero yet: "+why, p.w-2-x, 2) {
			p.text(x, y, p.w-2-x, l, warning)
			y++
		}
		return y
	}
	wide := min(40, p.w/4)
	part, text, k := v.Progress, "", plain
	switch {
	case v.Steady != nil:
		part, k = 1, good
		if m.danger() { // no invitation
			k = plain
		}
		text = "steady at " + fineText(v.Steady.Gauge, v.Units) + ", scatter ± " + fineText(v.Steady.SD, v.Units)
	case v.Progress >= 1:
		text = "still, with no load on the rig"
	case v.Progress > 0:
		text = fmt.Sprintf("stand still: %.1f of %.0f s", standTime*min(1, v.Progress), standTime)
	case v.Moving != "":
		text = "moving: " + clean(v.Moving)
	default:
		text = "moving"
		if v.Going == calib.Rising || v.Going == calib.Falling {
			text += ", " + string(v.Going)
		}
	}
	drawShare(p, x, y, wide, part, k)
	p.text(x+wide+2, y, p.w-2-(x+wide+2), text, k)
	return y + 1
}

// drawShare is a bar w cells wide, filled by a share of it, not to be taken for a rail.
func drawShare(p *plate, x, y, w int, share float64, k ink) {
	n := int(max(0, min(1, share)) * float64(w))
	for i := range w {
		if i < n {
			p.set(x+i, y, '═', k)
		} else {
			p.set(x+i, y, '┈', faint)
		}
	}
}

// drawLimit is the rail of the part that is nearest to its limit, as in a pull.
func (m *CalibrateScreen) drawLimit(p *plate, y int, roomy bool) int {
	if m.view.Rig == nil || len(m.bounds) == 0 {
		p.text(2, y, p.w-4, "no part of this rig has a known limit: nothing can warn you", caution)
		return y + 1
	}
	if m.limit.Allowable <= 0 { // not seen yet
		if roomy {
			return y + 3
		}
		return y + 1
	}
	s := pull.State{Seen: m.readable(), Limits: []pull.Limit{m.limit}}
	r := layRails(p.w, &s, m.view.Rig.Alarm, m.view.Units, false)
	r.x0, r.w = 2+calibrateWide, r.w+r.x0-2-calibrateWide
	r.nameW = calibrateWide - 1
	l := &s.Limits[0]
	if roomy {
		r.header(p, y, &s, l)
		y++
	}
	r.rail(p, y, &s, l)
	if !roomy {
		return y + 1
	}
	text, passed := m.stopAt()
	k := faint
	if passed {
		k = stop
	}
	p.text(r.x0, y+1, r.w, text, k)
	return y + 2
}

// stopAt says in the reference's place where the nearest limit stops the load, and
// whether the load is past it.
func (m *CalibrateScreen) stopAt() (text string, passed bool) {
	u, r := m.view.Units, m.view.Rig.BarOn(m.view.Run.Far)
	var at si.Pressure
	for i := range m.bounds {
		if q := m.bounds[i].PressureAt(r.Alarm.Stop); i == 0 || q < at {
			at = q
		}
	}
	passed = m.readable() && (m.view.Live >= at || m.limit.Level == pull.Stop)
	t := "the first stop comes at "
	if passed {
		t = "the first stop was passed: "
	}
	t += at.Text(u) + " at the gauge"
	chain := r.Chain()
	switch {
	case m.view.Run.At == rig.AtRam:
		t += ", " + chain.Ram(at).Text(u) + " on the ram"
	case m.view.Run.At == rig.AtSpecimen && m.view.Run.Far:
		t += ", " + chain.Specimen(at).Text(u) + " on the far side"
	case m.view.Run.At == rig.AtSpecimen:
		t += ", " + chain.Specimen(at).Text(u) + " on the specimen"
	}
	return t, passed
}
