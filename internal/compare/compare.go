// Package compare sets pulls of like bars beside each other: groups of them, what
// each group's strength is, whether groups differ, and what strength may be counted
// on. It reads no files; the same pulls give the same comparison.
package compare

import (
	"time"

	"draghand/internal/batch"
	"draghand/internal/pull"
	"draghand/internal/si"
)

// Pull is one pull as a comparison sees it.
type Pull struct {
	Record   string // name of its folder
	Dir      string
	Place    string // Dir from the root on, without links; empty: not known, and Dir stands for it
	Read     string // Fingerprint of what was read; empty: not known
	Rows     string // sum of the rows of an imported table; empty: it is none, or not known
	Bar      string // "M1-3"; the record's name where it has none
	Melt     string
	Alloy    string
	Tags     []string
	Kind     pull.Kind
	Started  time.Time
	Diameter si.Length // 0: not round or not measured
	Area     si.Area

	// Strength is the tensile strength of a pull that counts; AtLeast what a bar bore
	// that did not break, or broke where it says nothing else. At most one is not 0.
	Strength, AtLeast si.Stress
	U                 si.Stress // standard uncertainty of it; 0: not known
	Expanded          si.Stress // U by the record's own factor, as its results have it; 0: not known
	Common            si.Stress // of U what is the same in every pull of the same CommonBy
	CommonDoF         float64   // degrees of freedom of Common; 0 or +Inf: without end
	CommonBy          string    // rig and calibration the common part hangs on
	RigName           string
	Step              si.Stress // what the smallest step of its readings is worth; 0: not known
	Calibration       string    // of the rig, by its name; empty: none
	Assumed           float64   // accuracy that stands in where nobody knows that of the machine, of the reading; 0: none does
	Elongation        *float64
	Counts            string    // "yes", "with-remarks", "no"; empty: not known yet
	Because           []string  // the remarks it counts with, the gravest first
	Out               string    // why it is left out, or bore at least so much, in words; empty: it is a value
	Seen              []string  // looks of its fracture, as its record has them
	Minimum           si.Stress // that it was held against by itself; 0: none
	Simulated         bool
	Imported, ByEye   bool
	Marked            string   // name of the group a person put it in; empty: none
	twins             []string // all bars that have its Rows, where others do
	Stock             string   // of a check bar: the bought stock it is turned from
}

// Censored says that a pull is left out of means and bounds, and still tells that
// its bar's strength lies above AtLeast: Weibull takes it so.
func (p *Pull) Censored() bool { return p.AtLeast > 0 }

// Field is what pulls are grouped by.
type Field string

// The fields.
const (
	ByAll    Field = "all" // one group
	ByMelt   Field = "melt"
	ByAlloy  Field = "alloy"
	ByTag    Field = "tag" // by all tags of a bar together, or by those named
	ByMarked Field = "marks"
)

// By says what pulls are grouped by. Groups never share a bar.
type By struct {
	Field Field
	Tags  []string // of ByTag: only these, a bar with two of them in no group
}

// Options say how a comparison is reckoned. Those of NewOptions are right for most.
type Options struct {
	Content    float64    // of the tolerance bound: the fraction of bars above it, 0.90 say
	Confidence float64    // of it, 0.95 say
	Side       batch.Side // that an outlier is looked for on
	Level      float64    // of significance of every test
	Minimum    si.Stress  // that a group is held against; 0: none
	Chosen     Chosen     // how the pulls were picked
}

// NewOptions are 90/95 bounds, and tests at 5 %: an outlier on either side.
func NewOptions() Options {
	return Options{Content: 0.90, Confidence: 0.95, Side: batch.Either, Level: 0.05}
}

// Comparison is what came of it.
type Comparison struct {
	By      By
	Options Options
	Groups  []Group // by name; empty ones too, so that nothing vanishes
	// Difference is of two groups, the second less the first; Analysis of more: of
	// those groups that have two pulls or more that count. The others are in Notes.
	Difference *Difference
	Analysis   *batch.Analysis
	// Outside are the pulls that belong to no group; Out of each says why.
	Outside []Pull
	Notes   []string // what speaks against the comparison, in words
}

// Group is one group of pulls.
type Group struct {
	Name     string
	Pulls    []Pull // that count, by strength, the lowest first
	Censored []Pull // that bore at least so much
	Left     []Pull // left out altogether; Out of each says why

	Alike      bool             // all read alike, though there are two or more: their scatter is not seen
	Strength   batch.Summary    // Pa
	Elongation batch.Summary    // of those of Pulls where it is known, a fraction
	Outlier    *batch.Outlier   // Index is into Pulls; nil of fewer than three
	Normality  *batch.Normality // nil of too few
	Bound      *Bound           // nil of fewer than two, and where all read alike
	CountOn    *CountOn         // nil where there is no Bound, and where it is Refused
	Refused    string           // why nothing may be counted on though there is a Bound, in words; empty: it may
	Weibull    *batch.Weibull   // nil where it cannot be fitted
	NormalPlot []batch.Plotted  // Index is into Pulls
	Plot       []batch.Plotted  // of Weibull, with what is censored taken into account
	Notes      []string         // what speaks against trusting the figures, in words
}

// Bound is a one-sided lower tolerance bound.
type Bound struct {
	N                   int
	K                   float64
	Content, Confidence float64
	SD                  si.Stress // that K is times: the group's, with what hides within Step
	Step                si.Stress // of the readings, where it is larger than the group's SD; 0: it is not
	At                  si.Stress // mean less K times SD; may lie below zero
}

// CountOn is the strength to count on: the bound less the expanded common part of
// the uncertainty.
type CountOn struct {
	Bound    Bound
	Common   si.Stress // the largest expanded common part in the group: Coverage times its standard uncertainty
	Coverage float64   // factor: Student's of 95 % for DoF, 2 at the least
	DoF      float64   // degrees of freedom of that common part; +Inf: without end
	Unknown  int       // pulls of which the common part is not known: Common leaves them out
	Strength si.Stress // Bound.At less Common, not rounded; below zero: nothing
	Promised si.Stress // Strength as it is shown, rounded down, in the units of the minimum; without one the lower of ksi and MPa
	Holds    *bool     // of Promised against the minimum; nil: none was given, there is nothing to count on, or it cannot be told
	Picked   bool      // the bars were chosen by what came out: it holds for no melt
	Doubtful string    // why it is given with caution, in words; empty: nothing speaks against it
	Grave    string    // what of Doubtful makes that it should not be trusted; empty: nothing does
}

// Difference is of two groups.
type Difference struct {
	batch.Difference // Pa
	// Common is the standard uncertainty of the difference that both groups' common
	// parts leave: 0 where they are of the same rig and calibration, and where it is
	// not Known.
	Common   si.Stress
	Coverage float64 // factor it is expanded by: Student's of 95 % for CommonDoF, 2 at the least
	// CommonDoF is its degrees of freedom, by Satterthwaite; +Inf: without end.
	CommonDoF float64
	Known     bool
	SameRig   bool
	Untold    bool // of some bars nobody told the machine: they may be of one or not
	// Calibrated says that the rig of SameRig has a calibration.
	Calibrated bool
	From, To   string // names of the groups: To less From
	Few        bool   // the interval is wider than the mean of both: the bars are too few to tell anything
}
