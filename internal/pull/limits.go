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
	slots  [4]slot // caution, warning, stop, and the look-ahead
	active Level   // highest active
	soon   bool    // reached within the look-ahead
	lead   time.Duration
	calm   float64 // Pa, absolute: nothing to look at below it
	half   float64 // Pa, absolute: no lead time below it
}

// aheadSlot is the place of the look-ahead's warning. It has one of its own, so
// that the caution and the warning of the load itself are told all the same.
const aheadSlot = 3

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
	e.outAlarms = make([]Alarm, 0, 1+2*len(e.limits))
	e.screenLimits()
}

// screenLimits works out, for the zero in force, the pressures below which a
// limit need not be looked at. They lie a little under the true ones, since they
// save work and decide nothing: every decision is taken on the bound itself.
func (e *Engine) screenLimits() {
	e.calm, e.half = math.Inf(1), math.Inf(1)
	for i := range e.limits {
		l := &e.limits[i]
		l.calm = e.screen(l, min(e.levels[Caution], e.levels[Warning], e.levels[Stop]))
		l.half = e.screen(l, leadFrom)
		e.calm, e.half = min(e.calm, l.calm), min(e.half, l.half)
	}
}

// screen is an absolute pressure safely below the one at which the ratio is
// reached; −Inf where there is none to be found.
func (e *Engine) screen(l *limitState, ratio float64) float64 {
	p := float64(l.bound.PressureAt(ratio*screenBelow)) + e.zeroAt - e.gaugeZero(l)
	less := p - e.span // a line that does not rise is no line to rely on
	at := l.bound.Ratio(si.Pressure(e.above(p)), si.Pressure(p))
	if at < ratio && l.bound.Ratio(si.Pressure(e.above(less)), si.Pressure(less)) <= at {
		return p
	}
	return math.Inf(-1)
}

// checkLimits holds a valid reading against every limit: the reading itself
// against stop, the short mean against caution and warning.
func (e *Engine) checkLimits(s, before spot, had bool, f float64, filtered bool) {
	if e.allCalm && s.p < e.calm && f < e.calm {
		return // all is well: the usual case
	}
	p, abs := si.Pressure(e.above(s.p)), si.Pressure(s.p)
	fp, fabs := si.Pressure(e.above(f)), si.Pressure(f)
	e.allCalm = true
	for i := range e.limits {
		l := &e.limits[i]
		if l.active == Quiet && !l.soon && !l.slots[aheadSlot].active && s.p < l.calm && f < l.calm {
			continue
		}
		r, rf := l.bound.Ratio(p, abs), l.bound.Ratio(fp, fabs)
		last := math.Inf(-1)
		if had {
			last = l.bound.Ratio(si.Pressure(e.above(before.p)), si.Pressure(before.p))
		}
		e.checkStop(l, r, last)
		if filtered {
			e.checkMean(l, Warning, rf)
			e.checkMean(l, Caution, rf)
			e.checkAhead(l)
		}
		l.active = l.highest()
		e.allCalm = e.allCalm && l.active == Quiet && !l.soon && !l.slots[aheadSlot].active
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
		s.first, s.ratio, s.fresh, s.told = e.t, r, true, r
		s.trips = !single
		e.raise(s, e.limitAlarm(l, Stop, single, false))
	case s.alarm.Single && (last >= stop || e.t-s.first >= stopConfirm):
		s.fresh = false
		e.confirmStop(s)
	case !s.alarm.Acked:
		s.told, s.fresh = max(s.told, r), false // what the person sees until the key is pressed
	case min(r, last) >= s.told+stopAgain*stop:
		// Acknowledged, and the load goes on rising: told anew.
		s.told, s.trips = r, true
		e.raise(s, e.limitAlarm(l, Stop, false, false))
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

// checkMean raises and returns caution and warning.
func (e *Engine) checkMean(l *limitState, lv Level, r float64) {
	s := &l.slots[lv-1]
	if !(r >= e.levels[lv]) {
		e.settle(s, r, e.levels[lv])
		return
	}
	s.below = never
	if !s.active {
		e.raise(s, e.limitAlarm(l, lv, false, false))
	}
}

// checkAhead raises the look-ahead's warning, and returns it once the limit has
// been far enough ahead for 0.5 s.
func (e *Engine) checkAhead(l *limitState) {
	s := &l.slots[aheadSlot]
	switch {
	case l.soon && !s.active:
		e.raise(s, e.limitAlarm(l, Warning, false, true))
	case l.soon:
		s.below = never
	case s.active && s.below == never:
		s.below = e.t
	case s.active && e.t-s.below >= alarmQuiet:
		e.returned(s)
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
		Load: load, Allow: number(l.bound.Allowable), At: l.bound.Limit.At, Ahead: ahead,
	}
	a.Text = e.limitText(a, ahead, l.lead)
	if lv == Stop {
		l.slots[Stop-1].text = a.Text
		if single {
			a.Text = "STOP on a single reading: " + e.carries(a) + ": release the pressure, look at the wiring"
		}
	}
	return a
}

// limitText is the sentence for the person.
func (e *Engine) limitText(a Alarm, ahead bool, lead time.Duration) string {
	switch {
	case ahead:
		return fmt.Sprintf("warning: %s, and at this pace reaches that in %.1f s: pump more slowly or stop",
			e.carries(a), lead.Seconds())
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

// lookAhead works out how soon the limits are reached at this pace. A limit at
// less than half has no lead time: the pace of the first strokes says little
// about the last ones.
func (e *Engine) lookAhead() {
	had := e.pace.lead > 0
	e.pace.lead = 0
	if !had && (e.pace.rate <= 0 || e.mean.v < e.half) {
		return // and none is soon
	}
	for i := range e.limits {
		l := &e.limits[i]
		l.lead = e.leadTo(l)
		if l.lead > 0 && (e.pace.lead == 0 || l.lead < e.pace.lead) {
			e.pace.lead = l.lead
		}
		ahead := e.cfg.Rig.Alarm.LookAhead
		if l.soon {
			ahead *= leadReturn
		}
		l.soon = l.lead > 0 && l.lead.Seconds() < ahead
		if l.soon {
			e.allCalm = false
		}
	}
}

// leadTo is the time to a limit at this pace, 0 where there is none to tell.
func (e *Engine) leadTo(l *limitState) time.Duration {
	f := e.above(e.mean.v)
	if e.pace.rate <= 0 || e.mean.v < l.half || l.bound.Ratio(si.Pressure(f), si.Pressure(e.mean.v)) <= leadFrom {
		return 0
	}
	left := float64(l.bound.PressureAt(e.levels[Stop])) - e.gaugeZero(l) - f
	s := left / e.pace.rate
	if !(s > 0 && s < leadMost.Seconds()) {
		return 0
	}
	return max(1, time.Duration(s*float64(time.Second)))
}
