package main

import (
	"fmt"

	"draghand/internal/feed"
	"draghand/internal/rig"
	"draghand/internal/watch"
)

// tripLine opens the trip line that the rig file asks for, nil where it asks for
// none or none can be held; then it is said. src is the feed itself, before it
// runs. watch.CloseTrip closes the line.
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
