package finish

import (
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/strength"
)

// Reckoned is one record recomputed.
type Reckoned struct {
	Dir     string
	Rec     *record.Record // nil: it cannot be opened
	Err     error          // why
	Results strength.Results
	State   pull.State
	Damage  error // of its readings: Results are of what is intact
}
