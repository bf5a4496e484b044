// Package shelf lists the pull records that stand in one folder. A list reads
// the heads alone; no reading is looked at.
package shelf

import (
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// Condition is what a record is good for.
type Condition string

// The conditions of a record.
const (
	Whole      Condition = "closed"     // the pull was closed
	Writing    Condition = "writing"    // a pull is being written to it now
	Unfinished Condition = "unfinished" // it was cut off; what it has is as good
	Damaged    Condition = "damaged"    // its head cannot be read; Reason says why
	Newer      Condition = "newer"      // made by a newer program
	Foreign    Condition = "foreign"    // no pull record
)

// Entry is one record as a list shows it. Where Condition is Damaged, Newer or
// Foreign only Dir, Name and Reason mean anything.
type Entry struct {
	Dir, Name string
	Condition Condition
	Reason    string
	Started   time.Time
	Kind      pull.Kind
	Specimen  specimen.Specimen
	RigName   string
	Units     si.System // of display, those of its rig
	Source    string    // where the readings came from, as given
	Imported  bool      // a table of others
	ByEye     bool      // no trace: a dial gauge read by eye
	Outcome   pull.Phase
	Peak      si.Force  // drag hand, on the specimen; 0: it never moved
	Stress    si.Stress // at the drag hand; 0: no section is known
	// Strength is the tensile strength, of a pull that has one; AtLeast is what
	// the bar bore without breaking, or where its grip or the rig gave way. At most
	// one of them is not 0.
	Strength, AtLeast si.Stress
	// FirstYield is the force on the specimen at which a block in a crush first gave,
	// YieldStress the stress there; 0: not seen, or no section is known.
	FirstYield  si.Force
	YieldStress si.Stress
	// Expanded is the expanded uncertainty (k about 2) of Strength or AtLeast as saved
	// with the record; 0: not known.
	Expanded   si.Stress
	Elongation *float64 // after the break, a fraction; nil: not measured
	Counts     string   // "yes", "with-remarks", "no" (strength.Counts…); empty: not known yet
	Because    string   // the gravest reason for Counts; empty: none
	Remarks    int      // how many stand in it
	Check      *Check   // of a check bar; nil: it is none
	// Words is the text of it as filters look into it; nil: a filter looks into the
	// fields, which takes longer. See Fold.
	Words *Words `json:"-"`
}

// Open says that nobody knows yet whether a pull is a strength of its bar, and somebody
// may say what is missing.
func (e *Entry) Open() bool {
	return e.Counts == "" && e.Kind == pull.Tension && e.Condition == Whole
}

// Readable says whether anything but Dir, Name and Reason means anything.
func (e Entry) Readable() bool {
	return e.Condition == Whole || e.Condition == Writing || e.Condition == Unfinished
}
