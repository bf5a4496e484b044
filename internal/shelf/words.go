package shelf

import (
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/si"
)

// When is the start of a record; of one that cannot be read, what its folder's
// name tells of it; zero where that tells nothing.
func (e Entry) When() time.Time {
	if !e.Started.IsZero() {
		return e.Started
	}
	t, _ := record.StartOf(e.Name)
	return t
}

// Result is what came out in few words: the strength, what the bar bore at least,
// or the force at the drag hand with why it is no strength. Of a crush it tells
// where the block first gave, where that was seen, and the peak.
func (e Entry) Result(sys si.System) string {
	switch {
	case !e.Readable():
		return ""
	case e.Condition == Writing:
		return "being written"
	case e.Condition == Unfinished:
		return "not known yet" // results reckons it
	case e.Strength != 0:
		return e.Strength.Text(sys)
	case e.AtLeast != 0:
		return "at least " + e.AtLeast.Text(sys)
	case e.Peak == 0:
		return "no load seen"
	case e.Kind == pull.Tension && e.Stress == 0:
		return "force " + e.Peak.Text(sys) // no section was measured
	case e.YieldStress != 0: // what stands for a crush first: it may be cut to a column
		return "gave at " + e.YieldStress.Text(sys) + ", peak " + e.Peak.Text(sys)
	case e.FirstYield != 0:
		return "gave at " + e.FirstYield.Text(sys) + ", peak " + e.Peak.Text(sys)
	}
	return e.Peak.Text(sys)
}

// How is how it came about: the outcome, and the condition where it is not whole.
// What is no pull of metal on this rig, watched by its sensor, is told.
func (e Entry) How() string {
	words := string(e.Outcome)
	switch {
	case e.Condition != Whole:
		words = string(e.Condition)
	case e.Kind != pull.Tension && e.Kind != "":
		words = string(e.Kind) + " " + words
	}
	switch {
	case e.Specimen.Simulated:
		words += ", simulated"
	case e.ByEye:
		words += ", by eye"
	case e.Imported:
		words += ", imported"
	}
	return words
}
