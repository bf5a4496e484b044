package bench

import "draghand/internal/watch"

// Acknowledge takes note of all alarms of the look before arming. While a pull
// runs it does nothing: those alarms are the pull's own.
func (b *Bench) Acknowledge() {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.look != nil {
		b.look.w.Do(watch.AckAlarms)
	}
}
