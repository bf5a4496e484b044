package watch

import (
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// Snapshot is what a screen may know of a running pull at one moment. It is
// immutable: the watch publishes a new one, nobody changes one.
type Snapshot struct {
	State    pull.State // cloned, safe to keep
	Specimen specimen.Specimen
	RigName  string
	Units    si.System
	Unknown  []string // parts without a known limit
	Levels   rig.Alarm
	Stop     *rig.First // the part that comes to its stop first, and where; nil: none is known; not to be changed
	Proof    Proof      // what a proof is to hold
	Remark   string     // the engine's newest, empty while there is none
	Source   Source
	Record   Record
	Trip     string        // the trip line: "held", "dropped", "failed: …"; empty without one
	Now      time.Duration // since the record's start
	Closed   bool          // the pull is over and the record closed (or given up)
	Story    []Told        // the last 64 notable things, oldest first; not to be changed
	Err      string        // what went wrong, for the person; empty while all is well
}

// Loaded says whether there is load on the rig in a phase, and no outcome yet.
func Loaded(p pull.Phase) bool { return p == pull.Loading || p == pull.PastPeak || p == pull.Holding }

// Source is how the readings come in.
type Source struct {
	Name   string        // as given, control characters stripped
	Status string        // "waiting", "live", "silent", "lost", "ended"
	Rate   float64       // readings a second over the last two seconds
	Age    time.Duration // of the newest reading
}

// Record is how the saving goes.
type Record struct {
	Path   string        // folder of the record, empty when nothing is saved
	Name   string        // its last element
	Lines  int64         // lines handed to the record
	Synced time.Duration // age of the oldest reading that is not yet safely on disk
	Failed string        // the first failed write or sync, empty while all is well
	Saved  bool          // closed, hashed and on disk
}

// Column is the span of the force on the specimen over one Bin of a Trace.
// An empty column has Min > Max.
type Column struct{ Min, Max float32 }

// Empty says that no reading fell into the column.
func (c Column) Empty() bool { return c.Min > c.Max }

// Trace is a part of the force against time, reduced to at most TraceColumns
// columns of equal width that keep every extreme.
type Trace struct {
	From    time.Duration // where Columns[0] begins
	Bin     time.Duration // width of a column
	Columns []Column      // newton on the specimen
}
