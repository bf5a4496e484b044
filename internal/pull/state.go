package pull

import (
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// State is what the engine knows now. Its slices and its Break are valid until
// the next Step or State; Clone keeps them.
func (e *Engine) State() State {
	s := State{
		T:          e.t,
		Kind:       e.cfg.Kind,
		Phase:      e.phase.now,
		Readings:   e.readings,
		Faults:     e.faults,
		Gaps:       e.gaps,
		BadLines:   e.badLines,
		Slips:      e.slips,
		Unseen:     e.unseen,
		PeakUnseen: e.atPeak.gaps,
		OverRange:  e.overRange(),
		Zero:       e.zero,
		Signal:     e.signal,
		Seen:       e.sees(),
		Peak:       e.hand.peak,
		PeakRaw:    e.hand.raw,
		Noise:      si.Pressure(e.sd),
		Nearest:    -1,
		Worst:      e.worst,
		TripOK:     e.TripOK(),
		Outcome:    e.phase.outcome,
		LoadedAt:   e.phase.loaded,
	}
	if e.have {
		s.Live = e.point(e.last)
	}
	here := e.per(e.above(e.mean.v))
	s.Pace = si.ForceRate(number(e.pace.rate * here))
	s.StressPace = si.StressRate(number(float64(si.StressOn(si.Force(s.Pace), e.cfg.Area))))
	s.Lead = e.pace.lead
	s.Limits, s.Nearest = e.stateLimits()
	s.Alarms = e.stateAlarms()
	if e.phase.broke {
		e.outBreak = e.phase.brk
		s.Break = &e.outBreak
		s.Apart = e.apart
	}
	if e.phase.yielded {
		e.outYield = e.phase.yield
		s.Yield = &e.outYield
	}
	if h := &e.phase.hold; h.state.From > 0 {
		e.outHold = h.state
		s.Hold = &e.outHold
	}
	force := func(p, per float64) si.Force { return si.Force(number(p * per)) }
	if e.pumped() { // else they are bumps of another drive
		s.Strokes = Strokes{Count: e.strokes.n, Giving: e.strokes.giving, GivingAt: e.givingAt}
		if each := e.buckets.at(max(0, e.buckets.closed-1)).n; e.strokes.best >= gainSure*e.sd/sqrtInt(each) {
			s.Strokes.Gain, s.Strokes.Best = force(e.strokes.gain(), here), force(e.strokes.best, here)
		}
	}
	s.FirstYield = e.stateGave()
	s.PeakBias = force(e.peakBias(), e.per(float64(e.hand.peak.Gauge)))
	return s
}

// TripOK is State's, without the rest: false after a confirmed stop, and while
// the force is out of sight.
func (e *Engine) TripOK() bool { return e.tripOK && !e.look.lost }

// stateLimits lists the limits and finds the nearest: the one with the largest
// ratio once the rig is loaded, before that the one that will be met first.
func (e *Engine) stateLimits() ([]Limit, int) {
	if len(e.limits) == 0 {
		return nil, -1
	}
	e.outLimits = e.outLimits[:0]
	loaded := e.have && e.above(e.last.p) > e.threshold
	near := max(0, e.firstAt)
	for i := range e.limits {
		l := &e.limits[i]
		out := Limit{
			Name:      l.bound.Limit.Name,
			At:        l.bound.Limit.At,
			Allowable: number(l.bound.Allowable),
			Level:     l.active,
			AtForce:   si.Force(number(float64(e.chain.Specimen(si.Pressure(l.full - e.gaugeZero(l)))))),
		}
		if e.have {
			p, abs := si.Pressure(e.above(e.last.p)), si.Pressure(e.last.p)
			out.Load, out.Ratio = number(l.bound.Load(p, abs)), number(l.bound.Ratio(p, abs))
		}
		if e.hand.moved {
			out.PeakRatio = number(l.bound.Ratio(e.hand.peak.Gauge, si.Pressure(e.hand.peakAbs)))
		}
		e.outLimits = append(e.outLimits, out)
	}
	for i := range e.outLimits {
		if loaded && e.outLimits[i].Ratio > e.outLimits[near].Ratio {
			near = i
		}
	}
	return e.outLimits, near
}

// gaugeZero is what the zero takes off where a limit is felt by the gauge
// itself, zero and all.
func (e *Engine) gaugeZero(l *limitState) float64 {
	if l.bound.Limit.At == rig.AtGauge {
		return e.zeroAt
	}
	return 0
}

// stateAlarms lists what is not yet both acknowledged and returned, the worst
// first, then the oldest. Of one limit only the worst is listed: a person who
// is told "stop" need not read "caution" about the same part. The look-ahead is
// listed beside a caution or a warning, which says another thing.
func (e *Engine) stateAlarms() []Alarm {
	e.outAlarms = e.outAlarms[:0]
	if e.blind.listed {
		e.listAlarm(e.blind.alarm)
	}
	for i := range e.limits {
		for lv := Stop; lv >= Caution; lv-- {
			if s := &e.limits[i].slots[lv-1]; s.listed {
				e.listAlarm(s.alarm)
				break
			}
		}
		if s := &e.limits[i].slots[aheadSlot]; s.listed && !e.limits[i].slots[Stop-1].listed {
			e.listAlarm(s.alarm)
		}
	}
	if len(e.outAlarms) == 0 {
		return nil
	}
	return e.outAlarms
}

func (e *Engine) listAlarm(a Alarm) {
	e.outAlarms = append(e.outAlarms, a)
	for i := len(e.outAlarms) - 1; i > 0 && worse(&e.outAlarms[i], &e.outAlarms[i-1]); i-- {
		e.outAlarms[i], e.outAlarms[i-1] = e.outAlarms[i-1], e.outAlarms[i]
	}
}

// worse orders alarms: active before returned, then by level, then by age.
func worse(a, b *Alarm) bool {
	if a.Returned != b.Returned {
		return !a.Returned
	}
	if a.Level != b.Level {
		return a.Level > b.Level
	}
	if a.Ahead != b.Ahead {
		return b.Ahead
	}
	return a.Raised < b.Raised
}

// Done says whether a run without a person may end at time t, which may be
// later than the last reading: the readings ended, or the specimen broke and
// for 2 s the force stayed under 10 % of the peak. A tension bar that was let
// off may be pumped again, so a let-off ends no run of one; a crush or a proof
// has no other end. See Rested for a run that nobody can end by hand.
func (e *Engine) Done(t time.Duration) bool {
	ph := &e.phase
	switch ph.outcome {
	case Ended:
		return true
	case Broken, Faded:
	case LetOff:
		if e.cfg.Kind == Tension {
			return ph.ended
		}
	default:
		return ph.ended
	}
	return ph.ended || (ph.low && t-ph.lowSince >= breakSettled)
}

// Clone is a copy that shares nothing with the engine.
func (s State) Clone() State {
	s.Limits = append([]Limit(nil), s.Limits...)
	s.Alarms = append([]Alarm(nil), s.Alarms...)
	if s.Break != nil {
		b := *s.Break
		s.Break = &b
	}
	if s.Yield != nil {
		y := *s.Yield
		s.Yield = &y
	}
	if s.Hold != nil {
		h := *s.Hold
		s.Hold = &h
	}
	if s.FirstYield != nil {
		y := *s.FirstYield
		s.FirstYield = &y
	}
	return s
}
