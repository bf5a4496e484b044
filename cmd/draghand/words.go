package main

import (
	"fmt"
	"strings"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/watch"
	"draghand/tui"
)

// yieldWords is a yield drop in one sentence.
func yieldWords(e watch.Event, sys si.System) string {
	if e.Upper == nil || e.Lower == nil || e.Upper.Specimen == nil || e.Lower.Specimen == nil {
		return e.Text
	}
	both := func(p *record.Point) string {
		if p.Stress == nil {
			return p.Specimen.Text(sys)
		}
		return p.Stress.Text(sys) + " (" + p.Specimen.Text(sys) + ")"
	}
	return fmt.Sprintf("upper yield at %.2f s: %s, lowest after it %s", float64(e.Upper.T), both(e.Upper), both(e.Lower))
}

// stateWords is the pull at this moment in one line for the ear or a log.
func stateWords(s *watch.Snapshot, sys si.System) string {
	return fmt.Sprintf("%8.2f s  ", s.Now.Seconds()) + standing(s, sys)
}

// standing is stateWords without the time.
func standing(s *watch.Snapshot, sys si.System) string {
	parts := []string{string(s.State.Phase)}
	switch {
	case s.Source.Status != "live":
		parts = append(parts, "source "+s.Source.Status)
	case !s.State.Seen && s.State.Signal.Valid():
		why := "force not seen"
		for _, a := range s.State.Alarms {
			if a.Blind && !a.Returned {
				why = blindCause(a.Text)
				break
			}
		}
		parts = append(parts, why)
	case !s.State.Seen:
		parts = append(parts, "force not seen: "+s.State.Signal.String())
	default:
		parts = append(parts, "force "+s.State.Live.Specimen.Text(sys))
	}
	if s.State.Phase != pull.Slack {
		parts = append(parts, "drag hand "+s.State.Peak.Specimen.Text(sys))
		if s.State.Peak.Stress != 0 {
			parts = append(parts, "that is "+s.State.Peak.Stress.Text(sys))
		}
	}
	if n := s.State.Nearest; n >= 0 && n < len(s.State.Limits) && s.State.Seen {
		l := s.State.Limits[n]
		parts = append(parts, l.Name+" at "+si.Number(100*l.Ratio, 0)+" %")
	}
	if h := s.State.Hold; h != nil && s.State.Phase == pull.Holding {
		parts = append(parts, tui.HoldText(h, s.Proof.Hold, sys))
	}
	if k := s.State.Strokes; k.Count > 0 && watch.Loaded(s.State.Phase) {
		t := counted(k.Count, "stroke")
		if k.Gain > 0 {
			t += ", the newest gained " + k.Gain.Text(sys)
		}
		if k.Giving {
			t += ", far less than the best"
		}
		parts = append(parts, t)
	}
	if s.State.Lead > 0 {
		parts = append(parts, fmt.Sprintf("limit in %.0f s", s.State.Lead.Seconds()))
	}
	if s.Trip != "" && s.Trip != "held" && !s.Closed {
		parts = append(parts, "trip line "+s.Trip)
	}
	if s.Record.Failed != "" {
		parts = append(parts, "NOT SAVED: "+s.Record.Failed)
	}
	return strings.Join(parts, ", ")
}

// alarmName names an alarm without what it orders: a person who hears an order
// takes it for one that holds.
func alarmName(level, limit string, blind, ahead bool) string {
	if level == pull.Stop.String() {
		level = "STOP"
	}
	switch {
	case blind:
		return `"cannot see the force"`
	case ahead:
		return level + " of " + limit + " near in time"
	}
	return level + " of " + limit
}

func eventAlarmName(a *watch.AlarmEvent) string { return alarmName(a.Level, a.Limit, a.Blind, a.Ahead) }

// blindCause is why the force cannot be seen, without the orders around it.
func blindCause(text string) string {
	_, after, ok := strings.Cut(text, "(")
	if end := strings.LastIndex(after, ")"); ok && end >= 0 {
		return "the force cannot be seen: " + after[:end]
	}
	return "the force cannot be seen"
}

// eventWords is an event in one sentence; empty for those a person need not
// hear of.
func eventWords(e watch.Event, sys si.System) string {
	switch pull.EventKind(e.Kind) {
	case pull.EvPeak:
		return ""
	case pull.EvPhase:
		if strings.HasPrefix(e.Text, string(e.Phase)) { // the same and more
			return "phase: " + e.Text
		}
		return "phase: " + string(e.Phase)
	case pull.EvYield:
		return yieldWords(e, sys)
	case pull.EvAlarm:
		switch {
		case e.Alarm == nil:
			return e.Text
		case e.Alarm.Returned && e.Alarm.Acknowledged:
			return "over and acknowledged: " + eventAlarmName(e.Alarm)
		case e.Alarm.Returned:
			return "over: " + eventAlarmName(e.Alarm)
		case e.Alarm.Acknowledged:
			return "acknowledged: " + eventAlarmName(e.Alarm)
		}
		if after, ok := strings.CutPrefix(e.Text, e.Alarm.Level); ok {
			return strings.ToUpper(e.Alarm.Level) + after
		}
		if e.Alarm.Blind {
			return strings.ToUpper(e.Text[:1]) + e.Text[1:]
		}
		return e.Text
	case pull.EvBreak:
		words := "BREAK"
		if e.From != nil {
			words += " at " + e.From.Text(sys)
		}
		if e.Provisional {
			words += " (not certain yet)"
		}
		return words
	case pull.EvZero:
		return e.Text
	case pull.EvWithdrawn, pull.EvSlip:
		return e.Text
	case pull.EvRemark:
		return "remark: " + e.Text
	case pull.EvLost:
		return "force out of sight: " + e.Text
	case pull.EvBack:
		return "force in sight again"
	}
	switch e.Kind {
	case watch.Armed:
		words := "recording to " + e.Record
		if e.Simulated {
			words += " (simulated: no metal is pulled)"
		}
		return words
	case watch.Saved:
		return "saved"
	case watch.Ended:
		return "pull over: " + e.Text
	case watch.Failed:
		return e.Text
	}
	if e.Text != "" {
		return string(e.Kind) + ": " + e.Text
	}
	return string(e.Kind)
}

// pastWords is an event of a saved pull: what was, and no order, since nobody is
// to follow one now.
func pastWords(e watch.Event, sys si.System) string {
	a := e.Alarm
	if pull.EventKind(e.Kind) != pull.EvAlarm || a == nil || a.Returned || a.Acknowledged {
		text := eventWords(e, sys)
		for _, order := range []string{"; look at", ": look at", ": leave the rig", ": keep the rig", ": take all load", ": let off slowly", ": ask again"} {
			text, _, _ = strings.Cut(text, order)
		}
		return text
	}
	if a.Blind {
		return "ALARM: " + strings.Replace(blindCause(e.Text), "cannot be seen", "could not be seen", 1)
	}
	verb, load, allow := "carried", si.Force(a.LoadN).Text(sys), si.Force(a.AllowableN).Text(sys)
	if a.AllowablePa != 0 {
		verb, load, allow = "saw", si.Pressure(a.LoadPa).Text(sys), si.Pressure(a.AllowablePa).Text(sys)
	}
	level := strings.ToUpper(a.Level)
	if a.Single {
		level += " on a single reading"
	}
	text := fmt.Sprintf("%s: %s %s %s of %s allowed", level, a.Limit, verb, load, allow)
	if a.Ahead {
		text += ", and was near that in time"
	}
	return text
}

// unrecorded is what is said on the bench of an event before arming: always with
// the words that nothing of it is kept. Phases are told as load that comes and
// goes, a zero by its age.
func unrecorded(e watch.Event, sys si.System) string {
	switch pull.EventKind(e.Kind) {
	case pull.EvPhase:
		return ""
	case pull.EvZero:
		if e.Text == "" || strings.HasPrefix(e.Text, "zero taken") {
			return ""
		}
		return e.Text
	case pull.EvRemark:
		return ""
	}
	words := eventWords(e, sys)
	if words == "" {
		return ""
	}
	return words + ". NOTHING IS RECORDED"
}

// loadedNow says that there is load on the rig, by a watch or a look.
func loadedNow(s *watch.Snapshot) bool { return s != nil && watch.Loaded(s.State.Phase) }

// The share of the nearest limit that counts as load left on the rig: over what
// the engine takes for a load, and over the noise; more where the sensor's own zero
// is all there is.
const leftShare, leftShareUnzeroed = 0.02, 0.05

// forceLeft says that the newest force is load.
func forceLeft(s *pull.State, zeroed bool) bool {
	share := leftShareUnzeroed
	if zeroed {
		share = leftShare
	}
	most := 0.0
	if n := s.Nearest; n >= 0 && n < len(s.Limits) {
		most = float64(s.Limits[n].AtForce)
	}
	if s.Phase == pull.Broken || s.Phase == pull.Faded || s.Phase == pull.LetOff {
		return float64(s.Live.Specimen) > 0.1*float64(s.Peak.Specimen) && float64(s.Live.Specimen) > share*most
	}
	if most == 0 {
		most = float64(s.Peak.Specimen)
		share = 0.1
	}
	return s.Readings > 0 && float64(s.Live.Specimen) > share*most && float64(s.Live.Specimen) > 0
}

// The words for load that is left.
const (
	letOffFirst = "release the pressure before anybody reaches in"
	leftLoaded  = "LOAD ON THE RIG: " + letOffFirst
	leftUnseen  = "THE RIG MAY STILL BE LOADED, its force was last not seen: " + letOffFirst
)

// leftAfter says what a pull that is over left on the rig; empty: no sign of load.
func leftAfter(s *pull.State) string {
	blind := s.Signal != rig.OK
	for _, a := range s.Alarms {
		blind = blind || a.Blind && !a.Returned
	}
	under := watch.Loaded(s.Phase) || s.Phase == pull.Ended && s.LoadedAt > 0
	switch {
	case under && blind:
		return leftUnseen
	case watch.Loaded(s.Phase) || s.LoadedAt > 0 && forceLeft(s, s.Zero.Set):
		return leftLoaded
	}
	return ""
}
