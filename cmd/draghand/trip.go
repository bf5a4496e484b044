package main

import (
	"fmt"
	"time"

	"draghand/internal/feed"
	"draghand/internal/rig"
	"draghand/internal/watch"
)

// tripLine opens the trip line that the rig file asks for, nil where it asks for
// none or none can be held; then it is said. src is the feed itself, before it
// runs. closeTrip closes the line.
func tripLine(w world, r *rig.Rig, src feed.Feed) (feed.Trip, error) {
	line, note, err := watch.OpenTrip(r, src)
	if err != nil {
		return nil, sourceFault(err)
	}
	if note != "" {
		fmt.Fprintln(w.err, "draghand: "+clean(note))
	}
	return line, nil
}

// closeTrip drops the line and closes its port. An adapter that does not answer
// is left to the system, which drops the line when the program is gone.
func closeTrip(line feed.Trip) {
	if line == nil {
		return
	}
	closed := make(chan struct{})
	go func() {
		defer close(closed)
		_ = line.Close()
	}()
	select {
	case <-closed:
	case <-time.After(500 * time.Millisecond):
	}
}
