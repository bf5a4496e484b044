package finish

import (
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/strength"
)

// shelfDisk is how Closed gets at the disk, and how long it waits each time.
type shelfDisk struct {
	open   func(dir string) (*record.Record, error)
	keep   func(*record.Record, json.RawMessage) error
	within time.Duration
}

// Closed gives the results of a pull whose record in dir was just closed, whole, and
// keeps them in it, as Recover does: so a list knows how well its strength is known
// before anybody finishes it. They are those that Results gives of the record. h is
// the head it was made with; s and told are what the pull ended in.
//
// The error says why they are not kept; they are given all the same, and the record
// stays whole, as it was. A disk that does not answer holds nobody up for long: it is
// waited for for three seconds when the record is opened, and when they are written.
func Closed(h *record.Head, dir string, s pull.State, told strength.Remarks) (strength.Results, error) {
	return closedOn(shelfDisk{record.Open, record.KeepResults, 3 * time.Second}, h, dir, s, told)
}

func closedOn(d shelfDisk, h *record.Head, dir string, s pull.State, told strength.Remarks) (strength.Results, error) {
	rec, err := inTime(d.within, func() (*record.Record, error) { return d.open(dir) })
	if err != nil {
		return strength.From(Pull(h, filepath.Base(dir), s, told)), fmt.Errorf("keep the results: %w", err)
	}
	out := Of(rec, s, told, nil) // of what is in memory by now
	text, err := json.Marshal(out)
	if err != nil {
		return out, fmt.Errorf("keep the results: %w", err)
	}
	if _, err = inTime(d.within, func() (struct{}, error) { return struct{}{}, d.keep(rec, text) }); errors.Is(err, record.ErrNoAnswer) {
		err = fmt.Errorf("keep the results: %w", err)
	}
	return out, err
}

// inTime is what do gives, or record.ErrNoAnswer once it has taken too long; do then
// goes on, and nobody looks at what it gives.
func inTime[T any](within time.Duration, do func() (T, error)) (T, error) {
	type answer struct {
		v   T
		err error
	}
	answered := make(chan answer, 1)
	go func() {
		v, err := do()
		answered <- answer{v, err}
	}()
	limit := time.NewTimer(within)
	defer limit.Stop()
	select {
	case a := <-answered:
		return a.v, a.err
	case <-limit.C:
		var none T
		return none, record.ErrNoAnswer
	}
}
