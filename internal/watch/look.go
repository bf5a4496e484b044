package watch

import (
	"time"

	"draghand/internal/pull"
)

// again begins the engine of a look anew once its pull has run its course: it is
// to show the rig as it is, not what once was pulled without being armed. Its zero
// is the last zero from then on.
func (w *Watch) again() {
	if z := w.engine.State().Zero; z.Set {
		raw := z.Raw
		w.head.LastZero = &raw
	}
	w.engine = pull.New(w.head.Config())
	w.publish(false, "")
}

// lookOver says that what a look shows is over: also a let-off, after which a pull
// may go on, and a fall nobody can name.
func (w *Watch) lookOver() bool {
	switch w.engine.State().Outcome {
	case pull.LetOff, pull.Unclear:
		return true
	}
	return w.engine.Done(w.now())
}

// early is how much earlier than Options.Before a chunk may have come: it is
// counted from when the feed was joined, a little later than asked for.
const early = time.Second

// startFrom makes a moment the record's time 0: the arrival of the first chunk of
// a source that was open before.
func (w *Watch) startFrom(at time.Time) {
	w.start = at
	if w.o.Before > 0 {
		w.head.Started = w.taken
		w.writer.Begun(w.taken)
	}
}

// moment is when a chunk came in by the clock on the wall: now, but for those from
// before the pull. A simulated source's times of arrival may be anything.
func (w *Watch) moment(it *item) time.Time {
	now := time.Now()
	if w.missed == 0 && it.missed == 0 || it.at.After(now) {
		return now
	}
	if first := w.began.Add(-w.o.Before - early); it.at.Before(first) {
		return first
	}
	return it.at
}
