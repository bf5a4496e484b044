// Package sheet reads the tables that instruments and spreadsheets write: rows
// of numbers under a header, in whatever dialect, with lines before and after.
// It is pure: bytes in, a Table out.
//
//	t, err := sheet.Read(data, sheet.Options{Units: map[sheet.Role]string{sheet.Time: "s"}})
//	for i, r := range t.Rows { … r.T, r.Load … }
//
// Read understands the encoding, the separator, the decimal sign, the header
// and its units by itself and says in the Table what it understood. Where the
// text allows two readings it guesses nothing: it returns an *Error that says
// what is in doubt and what option settles it.
//
// Every line of the text is accounted for: it is a header line, a row, a bad
// row or a skipped line.
package sheet

import (
	"fmt"
	"time"
)

// Role is what a column holds.
type Role string

// The roles. One column is the time and one the load; Force, Pressure, Stress
// and Raw are kinds of load.
const (
	Time     Role = "time"
	Force    Role = "force"
	Pressure Role = "pressure"
	Stress   Role = "stress"
	Raw      Role = "raw" // a sensor's own number: counts, volts, milliamperes
	Travel   Role = "travel"
	Strain   Role = "strain"
	Other    Role = "other"
)

// loads says whether the role is one of a load.
func (r Role) loads() bool { return r == Force || r == Pressure || r == Stress || r == Raw }

// Options settle what the text leaves open. The zero value lets Read find out.
type Options struct {
	Separator string // ",", ";", "tab", "space" (runs of blanks), "none" (one column); "": found
	Decimal   string // "point" or "comma"; "": found
	SkipLines int    // lines at the top that do not belong to the table
	// Columns names the column of a role, by its name in the header or by its
	// number from 1. Any load role names the load column.
	Columns map[Role]string
	// Units states the unit of a role's column; it wins over the header. The
	// load's may stand under any load role.
	Units map[Role]string
	// Load is the kind of load looked for: Force (the zero value: a force column,
	// or a stress column where there is no force), Pressure or Raw.
	Load     Role
	FlipSign bool // the load is turned: compression was written negative
	KeepSign bool // the load is taken as it stands, even if mostly negative
	// Rate, in rows a second, stands in for the time column, which is ignored.
	Rate float64
}

// Column is a column of the table.
type Column struct {
	Index int    // from 0
	Name  string // from the header, without its unit; "" without a header
	Unit  string // as understood, in the spelling of package si where it is one of its units; "" where none
	Role  Role
	Given bool // the role was given in the options
}

// Title names the column for a person.
func (c Column) Title() string {
	if c.Name == "" {
		return fmt.Sprintf("column %d", c.Index+1)
	}
	return c.Name
}

// Row is one row of the table.
type Row struct {
	Line     int           // in the text, from 1
	Time     time.Duration // as in the text, to the nanosecond; a date counts from 1970
	T        time.Duration // since the first row; never decreases: a time before the last is taken as the last
	Load     float64       // in the column's unit, turned where FlipSign; NaN where the table says it has no value
	TimeText string        // cleaned cell
	LoadText string        // cleaned cell, turned where FlipSign: what strconv.ParseFloat reads as Load
	Channels []string      // cleaned cells of Table.Channels, in order; "" where the cell holds no number
	Bad      int           // bad rows directly before this one
}

// A Line is a line of the text that is no row, as evidence.
type Line struct {
	Number int // from 1
	Text   string
	Why    string
}

// MaxEvidence bounds the lines and the bytes of each that are kept as evidence.
const (
	MaxEvidence     = 20
	maxEvidenceText = 80
)

// Lines are lines of one kind: all are counted, the first are kept.
type Lines struct {
	Count int
	First []Line
}

func (l *Lines) add(number int, text, why string) {
	l.Count++
	if len(l.First) < MaxEvidence {
		l.First = append(l.First, Line{Number: number, Text: cutText(text), Why: why})
	}
}

// cutText bounds an evidence text, at a rune's beginning.
func cutText(s string) string {
	if len(s) <= maxEvidenceText {
		return s
	}
	i := maxEvidenceText
	for i > 0 && s[i]&0xC0 == 0x80 {
		i--
	}
	return s[:i] + "…"
}

// Table is a table as understood.
type Table struct {
	Encoding     string // "ASCII", "UTF-8", "UTF-8 with a byte order mark", "Latin-1", "UTF-16"
	LineEnd      string // "LF", "CR LF", "CR"
	Separator    string // as in Options
	DecimalComma bool
	Lines        int   // of the text
	Header       []int // numbers of the header's and the units' lines
	Columns      []Column
	TimeColumn   int   // index into Columns; −1: none, the rate gives the times
	LoadColumn   int   // index into Columns
	Channels     []int // indices of the further columns kept: all but time and load
	Rows         []Row
	BadRows      Lines // lines inside the table that are no row, blank ones not among them
	Skipped      Lines // before the table, after it, blank
	BadAtEnd     int   // bad rows after the last row
	Repeated     int   // rows with the time of the row before
	Backward     int   // rows with a time before that of the latest row
	Clock        bool  // the times are times of day or dates
	Flipped      bool
	Rate         float64 // median rows a second; the one given where there is no time column
	// LongestStep is the longest time between two rows and the row before it.
	LongestStep    time.Duration
	LongestStepRow int
	Holes          int     // steps longer than ten median ones
	Low, High      float64 // of the load; 0 where every row is without a value
	// Notes are remarks for the person: what was decided in doubt.
	Notes []string
}

// Load is the load column.
func (t *Table) Load() Column { return t.Columns[t.LoadColumn] }

// Duration is the time from the first row to the last.
func (t *Table) Duration() time.Duration {
	if len(t.Rows) == 0 {
		return 0
	}
	return t.Rows[len(t.Rows)-1].T
}

// An Error says why a text was not read as a table.
type Error struct {
	What string // what is wrong
	Next string // what to do next
	// Usage: an option settles it; otherwise the text itself is at fault.
	Usage bool
	// NoTable: the text is something else than a table, as a letter or a picture.
	NoTable bool
}

func (e *Error) Error() string { return e.What }

// bad is a fault of the text, noTable one of what is none, doubt one that an option
// settles.
func bad(next, format string, a ...any) error {
	return &Error{What: fmt.Sprintf(format, a...), Next: next}
}

func noTable(next, format string, a ...any) error {
	return &Error{What: fmt.Sprintf(format, a...), Next: next, NoTable: true}
}

func doubt(next, format string, a ...any) error {
	return &Error{What: fmt.Sprintf(format, a...), Next: next, Usage: true}
}
