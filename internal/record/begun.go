package record

import "time"

// Begun says when time 0 of the readings was, where that is only known once the
// first has come. The folder keeps its name, and the head on disk its start, until
// the record is closed; a time that cannot be is ignored.
func (w *Writer) Begun(at time.Time) {
	w.mu.Lock()
	defer w.mu.Unlock()
	if startFits(at) && !w.stopped {
		w.head.Started = at.UTC()
	}
}
