package watch

import (
	"strings"
	"time"

	"draghand/internal/feed"
	"draghand/internal/rig"
)

// OpenTrip makes the trip line that the rig file asks for, nil where it asks for
// none. src is the feed of the readings itself, before it is run, since it may
// be its port that carries the line. A simulated rig and a file hold no line
// that hangs on a real one: then there is none, and note says so. The error can
// be told to a person (feed.Error). Whoever opens it closes it after the
// pulls; those of one sitting share it, one after the other.
func OpenTrip(r *rig.Rig, src feed.Feed) (line feed.Trip, note string, err error) {
	t := r.Alarm.Trip
	if t == nil {
		return nil, "", nil
	}
	if from := src.Name(); from == "sim" || strings.HasPrefix(from, "sim:") || strings.HasPrefix(from, "file:") {
		return nil, "the trip line stays dropped: it does not speak for a simulated rig or a file", nil
	}
	if t.Port != "" {
		line, err = feed.OpenTrip(t.Port, feed.Line(t.Line))
	} else {
		line, err = feed.TripOn(src, feed.Line(t.Line))
	}
	return line, "", err
}

// closeTripWait is how long the port of a trip line may take to close.
const closeTripWait = 500 * time.Millisecond

// CloseTrip drops a trip line, which may be nil, and closes its port. An adapter
// that does not answer is left to the system, which drops the line when the
// program is gone.
func CloseTrip(line feed.Trip) {
	if line == nil {
		return
	}
	closed := make(chan struct{})
	go func() {
		defer close(closed)
		_ = line.Close() // it is dropped with its port in any case
	}()
	select {
	case <-closed:
	case <-time.After(closeTripWait):
	}
}

// followTrip wishes the trip line held while all is well: readings come, the
// force is seen and no stop stands.
func (w *Watch) followTrip() {
	if w.trip != nil {
		w.trip.follow(w.good > 0 && w.status == "live" && !w.silent && !w.unheard() && w.engine.TripOK())
	}
}

// startTrip begins to drive the trip line.
func (w *Watch) startTrip() {
	if w.trip != nil {
		go w.trip.run()
	}
}

// tellTrip is what a listener hears of a trip line that does not work.
func (w *Watch) tellTrip(text string) { w.emit(Event{Kind: Failed, T: w.Snapshot().Now, Text: text}) }

// DropTrip drops the trip line for the rest of the pull: whoever shows the pull
// calls it when it can show it no more. why is told. Without a trip line it does
// nothing.
func (w *Watch) DropTrip(why string) {
	if w.trip == nil {
		return
	}
	w.trip.end()
	w.tellTrip("trip line dropped for the rest of this pull: " + why)
}
