package pull

import "slices"

// Clone is an engine that goes on from here by itself: both take the same
// readings to the same states and events, and nothing that changes is shared.
// Only what nobody changes is, the rig and the last zero. It copies some 170 kB.
func (e *Engine) Clone() *Engine {
	c := *e
	c.limits = slices.Clone(e.limits)
	// What Step and State handed out belongs to whoever asked e.
	c.events = make([]Event, 0, cap(e.events))
	c.outLimits = make([]Limit, 0, cap(e.outLimits))
	c.outAlarms = make([]Alarm, 0, cap(e.outAlarms))
	return &c
}
