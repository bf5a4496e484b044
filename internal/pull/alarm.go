package pull

import "time"

// slot is the place of one alarm and its life cycle (IEC 62682): raised, then
// acknowledged and returned in either order, then gone.
type slot struct {
	alarm  Alarm
	text   string        // of a stop, without "single"
	listed bool          // not yet both acknowledged and returned
	active bool          // not yet returned
	trips  bool          // drops the trip line as long as it is listed
	fresh  bool          // the newest reading raised it
	first  time.Duration // first reading over the limit
	ratio  float64       // of that reading
	told   float64       // largest ratio of the stop before it was acknowledged
	below  time.Duration // since when the load is back, or never
}

// raise makes a new alarm active.
func (e *Engine) raise(s *slot, a Alarm) {
	s.alarm, s.listed, s.active, s.below = a, true, true, never
	e.tellAlarm(s)
}

// returned says that what an alarm was about is over. It stays listed until it
// is acknowledged as well.
func (e *Engine) returned(s *slot) {
	s.active, s.below = false, never
	s.alarm.Returned = true
	s.listed = !s.alarm.Acked
	e.tellAlarm(s)
}

// acknowledge takes note of all alarms. An alarm that has not returned stays:
// releasing the pressure comes before acknowledging.
func (e *Engine) acknowledge() {
	e.acked(&e.blind)
	for i := range e.limits {
		for j := len(e.limits[i].slots) - 1; j >= 0; j-- {
			e.acked(&e.limits[i].slots[j])
		}
	}
}

func (e *Engine) acked(s *slot) {
	if !s.listed || s.alarm.Acked {
		return
	}
	s.alarm.Acked = true
	s.listed = s.active
	e.tellAlarm(s)
}

// tellAlarm tells a step in an alarm's life, and works out what all alarms
// together mean.
func (e *Engine) tellAlarm(s *slot) {
	if !s.listed {
		s.trips = false
	}
	e.tell(Event{Kind: EvAlarm, Alarm: s.alarm, Text: s.alarm.Text})
	e.worst, e.tripOK = Quiet, true
	e.weigh(&e.blind)
	for i := range e.limits {
		for j := range e.limits[i].slots {
			e.weigh(&e.limits[i].slots[j])
		}
	}
}

func (e *Engine) weigh(s *slot) {
	if s.active && s.alarm.Level > e.worst {
		e.worst = s.alarm.Level
	}
	if s.listed && s.trips {
		e.tripOK = false
	}
}
