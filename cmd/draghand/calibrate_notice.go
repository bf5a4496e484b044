package main

import (
	"fmt"
	"slices"
	"time"

	"draghand/internal/calib"
	"draghand/internal/calib/live"
	"draghand/internal/pull"
	"draghand/internal/rig"
)

// notice tells what has changed since it last looked.
func (d *pointTalk) notice(v *live.View) {
	d.noticeAlarms(v)
	if v.Run.ZeroAfter != nil && !d.after {
		c := v.Rig.Chain()
		p, _ := c.Pressure(*v.Run.ZeroAfter)
		d.say("the load is off: the zero after the points lies " + (p - v.Zero).Text(v.Units) + " from the one before")
	}
	d.after = v.Run.ZeroAfter != nil
	phase, text := d.standing(v)
	if phase == d.phase {
		if phase == "no zero" && text != d.note && time.Since(d.phaseAt) > 5*time.Second {
			d.note, d.phaseAt = text, time.Now()
			d.say(text)
		}
		return
	}
	if phase != "steady" && phase != "fault" && phase != "zero" && time.Since(d.phaseAt) < time.Second {
		return
	}
	if d.phase == "no zero" && v.HaveZero {
		d.say("zero taken: " + v.Zero.Text(v.Units) + " by the sensor's own line. Bring the first load on, up to it without passing it, and hold it")
	}
	d.phase, d.phaseAt, d.note = phase, time.Now(), text
	if text != "" {
		d.say(text)
	}
}

// standing is the phase the reading is in, and what is said when it comes into it.
func (d *pointTalk) standing(v *live.View) (phase, text string) {
	at := v.Live.Text(v.Units)
	if v.Run.At != rig.AtGauge {
		at += " (" + v.Force.Text(v.Units) + " by the rig)"
	}
	switch {
	case v.Fault != "":
		return "fault", "NO READING: " + v.Fault
	case v.Signal == rig.AboveBand:
		return "fault", "THE SENSOR IS OVER ITS RANGE: stop pumping, release the pressure"
	case !v.Signal.Valid():
		return "fault", "CANNOT SEE THE FORCE: " + v.Signal.String() + ": stop pumping, look at the sensor and its cable"
	case !v.HaveZero:
		return "no zero", "no zero yet: " + v.ZeroNote
	case v.Taken:
		return "taken", ""
	case v.Steady != nil:
		at = v.Steady.Gauge.Text(v.Units)
		if v.Run.At != rig.AtGauge {
			at += " (" + ownText(v, *v.Steady) + " by the rig)"
		}
		passed := ""
		if v.Passed > 0 {
			passed = " (the load was passed by " + v.Passed.Text(v.Units) + " before: the ram's friction may have turned; better let it off and come to it from one side)"
		}
		if stopped(v) {
			return "stopped", fmt.Sprintf("steady at %s, past a stop: PRESS NO FURTHER, let the load off slowly; the points so far stay", at)
		}
		return "steady", fmt.Sprintf("steady at %s, %s: what does the reference show?%s", at, v.Going, passed)
	case !v.Loaded():
		return "off", "no load"
	case v.Going == calib.Falling:
		return "falling", "moving, falling: " + at
	}
	return "rising", "moving, rising: " + at
}

// stopped says that the load has to come off now: nobody is asked for a value.
func stopped(v *live.View) bool {
	return slices.ContainsFunc(v.Alarms, func(a pull.Alarm) bool { return !a.Returned && (a.Level >= pull.Stop || a.Blind) })
}

func (d *pointTalk) reading(v *live.View) {
	_, text := d.standing(v)
	if v.Taken {
		text = "the point of this standstill is taken: go on to the next load"
	}
	if v.Moving != "" {
		text += "; " + v.Moving
	}
	d.say(text)
	for _, a := range v.Alarms {
		d.say(alarmWords(&a))
	}
}

// noticeAlarms tells each alarm when it changes, and a stop again until it is
// acknowledged.
func (d *pointTalk) noticeAlarms(v *live.View) {
	now := map[string]string{}
	for i := range v.Alarms {
		a := &v.Alarms[i]
		name := alarmName(a.Level.String(), a.Limit, a.Blind, a.Ahead)
		now[name] = fmt.Sprintf("%v %v", a.Returned, a.Acked)
		loud := !a.Acked && !a.Returned && (a.Level >= pull.Stop || a.Blind)
		switch {
		case d.alarms[name] != now[name]:
			d.say(alarmWords(a))
			if !a.Acked && !a.Returned {
				d.bell()
				d.nagged = time.Now()
			}
		case loud && time.Since(d.nagged) >= nagEvery:
			d.nagged = time.Now()
			d.say("STILL NOT ACKNOWLEDGED: " + a.Text + " (type a and enter)")
			d.bell()
		}
	}
	d.alarms = now
}
