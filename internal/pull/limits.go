package pull

import (
	"fmt"
	"math"
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// limitState is one limit with its alarms.
type limitState struct {
	bound  rig.Bound
	full   float64 // Pa above the zero at which it is reached; at the gauge: absolute
	slots  [3]slot // caution, warning, stop
	active Level   // highest active
	soon   bool    // reached within the look-ahead
}

// makeLimits asks the rig for what is known of its limits.
func (e *Engine) makeLimits() {
	for _, b := range e.cfg.Rig.Bounds() {
		l := limitState{bound: b, full: number(float64(b.PressureAt(1)))}
		for i := range l.slots {
			l.slots[i].below = never
		}
		// The weight of the moving parts shifts the line, it is no load.
		travel := l.full - number(float64(b.PressureAt(0)))
		if travel > 0 && (e.firstAt < 0 || travel < e.nearest) {
			e.nearest, e.firstAt = travel, len(e.limits)
		}
		e.limits = append(e.limits, l)
	}
	a := e.cfg.Rig.Alarm
	e.levels = [...]float64{Quiet: math.Inf(1), Caution: a.Caution, Warning: a.Warning, Stop: a.Stop}
	for lv, v := range [...]float64{Caution: defaultCaution, Warning: defaultWarning, Stop: defaultStop} {
		if lv > 0 && !(e.levels[lv] > 0 && !math.IsInf(e.levels[lv], 0)) {
			e.levels[lv] = v
		}
	}
	e.outLimits = make([]Limit, 0, len(e.limits))
	e.outAlarms = make([]Alarm, 0, 1+len(e.limits))
}

// checkLimits holds a valid reading against every limit: the reading itself
// against stop, the short mean against caution and warning.
func (e *Engine) checkLimits(s, before spot, had bool, f float64, filtered bool) {
	p, abs := si.Pressure(e.above(s.p)), si.Pressure(s.p)
	fp, fabs := si.Pressure(e.above(f)), si.Pressure(f)
	for i := range e.limits {
		l := &e.limits[i]
		r, rf := l.bound.Ratio(p, abs), l.bound.Ratio(fp, fabs)
		if l.active == Quiet && !l.soon && r < e.levels[Caution] && rf < e.levels[Caution] && r < e.levels[Stop] {
			continue // all is well: the usual case
		}
		last := math.Inf(-1)
		if had {
			last = l.bound.Ratio(si.Pressure(e.above(before.p)), si.Pressure(before.p))
		}
		e.checkStop(l, r, last)
		if filtered {
			e.checkMean(l, Warning, rf, l.soon)
			e.checkMean(l, Caution, rf, false)
		}
		l.active = l.highest()
	}
}

func (l *limitState) highest() Level {
	for lv := Stop; lv >= Caution; lv-- {
		if l.slots[lv-1].active {
			return lv
		}
	}
	return Quiet
}

// checkStop raises a stop on the single reading. Whether the reading is alone
// can only be known from the next one: one that jumps up by over 5 % is taken
// for alone until the next confirms it. r and last are the load ratios of this
// valid reading and the one before.
func (e *Engine) checkStop(l *limitState, r, last float64) {
	s := &l.slots[Stop-1]
	stop := e.levels[Stop]
	if !(r >= stop) {
		// A neighbour within 5 % of the lone reading: it was not alone.
		if s.active && s.alarm.Single && s.fresh && r >= singleLower*s.ratio {
			e.confirmStop(s)
		}
		s.fresh = false
		e.settle(s, r, stop)
		return
	}
	s.below = never
	switch {
	case !s.active:
		single := !s.trips && last < singleLower*r
		s.first, s.ratio, s.fresh = e.t, r, true
		s.trips = !single
		e.raise(s, e.limitAlarm(l, Stop, single, false))
	case s.alarm.Single && (last >= stop || e.t-s.first >= stopConfirm):
		s.fresh = false
		e.confirmStop(s)
	default:
		s.fresh = false
	}
}

// confirmStop makes a single reading's alarm a whole one: the trip line drops.
func (e *Engine) confirmStop(s *slot) {
	s.trips = true
	s.alarm.Single = false
	s.alarm.Acked = false
	s.alarm.Text = s.text
	e.tellAlarm(s)
}

// checkMean raises and returns caution and warning. soon is the look-ahead.
func (e *Engine) checkMean(l *limitState, lv Level, r float64, soon bool) {
	s := &l.slots[lv-1]
	over := r >= e.levels[lv]
	if !over && !soon {
		e.settle(s, r, e.levels[lv])
		return
	}
	s.below = never
	if !s.active {
		e.raise(s, e.limitAlarm(l, lv, false, !over))
	}
}

// settle returns an active alarm once the load stayed below 0.97 of its level
// for 0.5 s.
func (e *Engine) settle(s *slot, r, level float64) {
	if !s.active {
		return
	}
	if !(r < alarmReturn*level) {
		s.below = never
		return
	}
	if s.below == never {
		s.below = e.t
	}
	if e.t-s.below >= alarmQuiet {
		e.returned(s)
	}
}

// limitAlarm is a new alarm on a limit, with the load as it is at this reading.
func (e *Engine) limitAlarm(l *limitState, lv Level, single, ahead bool) Alarm {
	at := e.last.p
	if lv != Stop {
		at = e.mean.v
	}
	p, abs := si.Pressure(e.above(at)), si.Pressure(at)
	load := number(l.bound.Load(p, abs))
	a := Alarm{
		Level: lv, Limit: l.bound.Limit.Name, Raised: e.t, Single: single,
		Load: load, Allow: number(l.bound.Allowable), At: l.bound.Limit.At,
	}
	a.Text = e.limitText(a, ahead)
	if lv == Stop {
		l.slots[Stop-1].text = a.Text
		if single {
			a.Text = "STOP on a single reading: " + e.carries(a) + ": release the pressure, look at the wiring"
		}
	}
	return a
}

// limitText is the sentence for the person.
func (e *Engine) limitText(a Alarm, ahead bool) string {
	switch {
	case ahead:
		return fmt.Sprintf("warning: %s, and at this pace reaches that in %.1f s: pump more slowly or stop",
			e.carries(a), e.pace.lead.Seconds())
	case a.Level == Stop:
		return "STOP: " + e.carries(a) + ": release the pressure, then acknowledge"
	case a.Level == Warning:
		return "warning: " + e.carries(a) + ": be ready to stop pumping"
	}
	return "caution: " + e.carries(a)
}

// carries says what a part carries of what it may carry.
func (e *Engine) carries(a Alarm) string {
	verb := "carries"
	load, allow := si.Force(a.Load).Text(e.units), si.Force(a.Allow).Text(e.units)
	if a.At == rig.AtGauge {
		verb = "sees"
		load, allow = si.Pressure(a.Load).Text(e.units), si.Pressure(a.Allow).Text(e.units)
	}
	return fmt.Sprintf("%s %s %s of %s allowed", a.Limit, verb, load, allow)
}

// lookAhead works out how soon the nearest limit is reached at this pace.
func (e *Engine) lookAhead() {
	e.pace.lead = 0
	f := e.above(e.mean.v)
	for i := range e.limits {
		l := &e.limits[i]
		ratio := l.bound.Ratio(si.Pressure(f), si.Pressure(e.mean.v))
		left := float64(l.bound.PressureAt(e.levels[Stop])) - e.gaugeZero(l) - f
		lead := time.Duration(0)
		if e.pace.rate > 0 && ratio > leadFrom && left > 0 {
			if s := left / e.pace.rate; s < leadMost.Seconds() {
				lead = max(1, time.Duration(s*float64(time.Second)))
			}
		}
		if lead > 0 && (e.pace.lead == 0 || lead < e.pace.lead) {
			e.pace.lead = lead
		}
		ahead := e.cfg.Rig.Alarm.LookAhead
		if l.soon {
			ahead *= leadReturn
		}
		l.soon = lead > 0 && lead.Seconds() < ahead
	}
}
