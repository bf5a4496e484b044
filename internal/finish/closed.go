package finish

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/strength"
)

// keepWithin is how long Closed waits for the disk: it has just taken the closing.
const keepWithin = 3 * time.Second

// Closed gives the results of a pull whose record in dir was just closed, whole, and
// keeps them in it, as Recover does: so a list knows how well its strength is known
// before anybody finishes it. They are those that Results gives of the record. h is
// the head it was made with; s and told are what the pull ended in.
//
// The error says why they are not kept; they are given all the same, and the record
// stays whole, as it was. A disk that does not answer holds nobody up for long.
func Closed(h *record.Head, dir string, s pull.State, told strength.Remarks) (strength.Results, error) {
	rec, err := record.Open(dir)
	if err != nil {
		return strength.From(Pull(h, filepath.Base(dir), s, told)), fmt.Errorf("keep the results: %w", err)
	}
	out := Of(rec, s, told, nil)
	text, err := json.Marshal(out)
	if err != nil {
		return out, fmt.Errorf("keep the results: %w", err)
	}
	kept := make(chan error, 1)
	go func() { kept <- record.KeepResults(rec, text) }()
	limit := time.NewTimer(keepWithin)
	defer limit.Stop()
	select {
	case err = <-kept:
	case <-limit.C:
		err = fmt.Errorf("keep the results: %w", record.ErrNoAnswer)
	}
	return out, err
}
