package bench

import "draghand/internal/si"

// ShowIn sets the units of display of the sitting from now on. What was put into
// words before keeps its own.
func (b *Bench) ShowIn(u si.System) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.o.Units = &u
	b.changed()
	b.kick()
}
