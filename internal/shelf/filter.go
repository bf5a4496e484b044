package shelf

import (
	"strings"
	"time"

	"draghand/internal/strength"
)

// Filter is what of a shelf is asked for: terms that must all hold. The zero value
// takes everything. See ParseFilter for how one is written.
type Filter struct{ terms []term }

// term is one condition.
type term struct {
	not   bool
	about field
	text  string // what is looked for, as Filter.String writes it

	word  string // in lower case; of words
	exact bool   // the whole of it, not a part

	low, high         float64 // of quantities, in SI
	hasLow, hasHigh   bool
	overLow, overHigh bool // beyond, not from there on

	from, before time.Time // of dates; zero: open
}

// field is what a term is about.
type field string

// The fields, by the word they are written with. The empty one is a bare word.
const (
	anyWord    field = ""
	onAlloy    field = "alloy"
	onMelt     field = "melt"
	onBar      field = "bar"
	onTag      field = "tag"
	onRig      field = "rig"
	onKind     field = "kind"
	onOutcome  field = "outcome"
	onStock    field = "stock"
	onRecord   field = "record"
	onSource   field = "source"
	onState    field = "state"
	onCounts   field = "counts"
	onIs       field = "is"
	onStrength field = "strength"
	onAtLeast  field = "atleast"
	onForce    field = "force"
	onStress   field = "stress"
	onDiameter field = "diameter"
	onElong    field = "elongation"
	onSince    field = "since"
	onUntil    field = "until"
	onDay      field = "on"
)

// sort of a field: how it is written and held against a record.
type sortOf int

const (
	byWords sortOf = iota // any text
	byList                // one of a few words
	byValue               // a quantity, a range
	byDate
)

// sort says how a field is written; ok is false where there is none of the name.
func (f field) sort() (s sortOf, ok bool) {
	switch f {
	case onAlloy, onMelt, onBar, onTag, onRig, onKind, onOutcome, onStock, onRecord, onSource:
		return byWords, true
	case onState, onCounts, onIs:
		return byList, true
	case onStrength, onAtLeast, onForce, onStress, onDiameter, onElong:
		return byValue, true
	case onSince, onUntil, onDay:
		return byDate, true
	}
	return byWords, false
}

// ofUnreadable says that a term can be told from the folder alone, where the head
// of a record cannot be read.
func (f field) ofUnreadable() bool {
	switch f {
	case anyWord, onRecord, onState, onSince, onUntil, onDay:
		return true
	}
	return false
}

// The words of the list of onCounts beside those of strength, and of onIs.
const (
	countsUnknown = "unknown"
	countsOpen    = "open" // a pull that somebody may still finish
	isSimulated   = "simulated"
	isImported    = "imported"
	isByEye       = "by-eye"
	isCheckBar    = "check-bar"
)

// list are the words a field of a few takes.
func (f field) list() []string {
	switch f {
	case onState:
		return []string{string(Whole), string(Writing), string(Unfinished), string(Damaged), string(Newer), string(Foreign)}
	case onCounts:
		return []string{strength.Counts, strength.CountsWithRemarks, strength.CountsNot, countsOpen, countsUnknown}
	}
	return []string{isSimulated, isImported, isByEye, isCheckBar}
}

// Empty says that a filter takes everything.
func (f Filter) Empty() bool { return len(f.terms) == 0 }

// Takes says whether a record is asked for. One whose head cannot be read is asked
// for only by terms that its folder alone can answer: bare words, which are looked
// for in its name and condition, record, state, and the dates, by the folder's name.
// Any other term leaves it out, with a minus too, since nobody knows.
func (f Filter) Takes(e *Entry) bool {
	for i := range f.terms {
		t := &f.terms[i]
		if !e.Readable() && !t.about.ofUnreadable() {
			return false
		}
		if t.holds(e) == t.not {
			return false
		}
	}
	return true
}

// AtOnce is the Work that Takes does well within 16 ms, a key's time, on a slow core
// too. What is more is done behind a screen that goes on.
const AtOnce = 24_000_000

// Work is about what Takes costs for n entries whose Words hold so many bytes, in bytes
// looked at. A bare word that is not there is the dearest: it looks at each.
func (f Filter) Work(n, bytes int) int {
	const each = 64 // bytes that could be looked at in the time of any other term
	work := 0
	for i := range f.terms {
		if f.terms[i].about == anyWord {
			work += bytes
		}
		work += each * n
	}
	return work
}

// String writes a filter so that ParseFilter gives the same again.
func (f Filter) String() string {
	var b strings.Builder
	for i, t := range f.terms {
		if i > 0 {
			b.WriteByte(' ')
		}
		if t.not {
			b.WriteByte('-')
		}
		b.WriteString(t.text)
	}
	return b.String()
}

// holds says whether a term is true of a record, whatever its minus says. What is
// not known is not true.
func (t *term) holds(e *Entry) bool {
	s, _ := t.about.sort()
	switch s {
	case byValue:
		v, known := t.value(e)
		return known && t.within(v)
	case byDate:
		when := e.at()
		return !when.IsZero() && (t.from.IsZero() || !when.Before(t.from)) && (t.before.IsZero() || when.Before(t.before))
	case byList:
		return t.listed(e)
	}
	if e.Words != nil {
		return t.foldedIn(e.Words)
	}
	return t.worded(e)
}

// at is When, without looking at a name twice.
func (e *Entry) at() time.Time {
	if e.Words != nil {
		return e.Words.when
	}
	return e.When()
}

// value is the quantity a term is about.
func (t *term) value(e *Entry) (v float64, known bool) {
	switch t.about {
	case onStrength:
		v = float64(e.Strength)
	case onAtLeast:
		v = float64(e.AtLeast)
	case onForce:
		v = float64(e.Peak)
	case onStress:
		v = float64(e.Stress)
	case onDiameter:
		v = float64(e.Specimen.Diameter())
	case onElong:
		if e.Elongation == nil {
			return 0, false
		}
		return *e.Elongation, true // none at all is a result of a brittle bar
	}
	return v, v != 0
}

func (t *term) within(v float64) bool {
	if t.hasLow && (v < t.low || t.overLow && v == t.low) {
		return false
	}
	return !t.hasHigh || v < t.high || !t.overHigh && v == t.high
}

func (t *term) listed(e *Entry) bool {
	switch t.about {
	case onState:
		return string(e.Condition) == t.word
	case onCounts:
		if t.word == countsOpen {
			return e.Open()
		}
		return e.Counts == t.word || e.Counts == "" && t.word == countsUnknown
	}
	switch t.word {
	case isSimulated:
		return e.Specimen.Simulated
	case isImported:
		return e.Imported
	case isByEye:
		return e.ByEye
	}
	return e.Specimen.Stock != ""
}

// worded says whether the text a term is about has its word.
func (t *term) worded(e *Entry) bool {
	b := &e.Specimen
	switch t.about {
	case onAlloy:
		return t.in(b.Alloy)
	case onMelt:
		return t.in(b.Melt)
	case onBar:
		return t.inBar(b.Melt, b.ID)
	case onTag:
		return t.inTags(b.Tags)
	case onRig:
		return t.in(e.RigName)
	case onKind:
		return t.in(string(e.Kind))
	case onOutcome:
		return t.in(string(e.Outcome))
	case onStock:
		return t.in(b.Stock)
	case onRecord:
		return t.in(e.Name)
	case onSource:
		return t.in(e.Source)
	}
	return t.in(e.Name) || t.inBar(b.Melt, b.ID) || t.in(b.Alloy) || t.inTags(b.Tags) || t.in(e.RigName) ||
		t.in(string(e.Outcome)) || t.in(string(e.Condition))
}
