package record

import (
	"time"

	"draghand/internal/specimen"
)

// Finished is what was measured and seen after a pull, and when it was written
// down.
type Finished struct {
	At time.Time `json:"at"` // UTC
	specimen.After
	// Dial is what a dial gauge beside the transducer said at the peak; nil: nobody
	// looked. Its Outcome is empty.
	Dial *Dial `json:"dial,omitempty"`
}

// Measured is the newest of Finished; nil: nobody has measured yet.
func (h *Head) Measured() *Finished {
	if len(h.Finished) == 0 {
		return nil
	}
	return &h.Finished[len(h.Finished)-1]
}
