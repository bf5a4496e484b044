package sheet

import (
	"fmt"
	"strings"
	"time"
)

// The shares of the rows from which on a table is refused, not repaired, and the
// longest test that is believed.
const (
	mostBackward = 0.05 // a clock set back once leaves few; a second test in the file leaves half
	mostBad      = 0.5
	longest      = 10 * 365 * 24 * time.Hour
)

// A step back within these is that of a clock of twelve hours from 12:59:59 to
// 1:00:00: twelve hours less the time that went by, up to an hour of it.
const (
	leastHalfDay = 11 * time.Hour
	mostHalfDay  = 12 * time.Hour
)

// most refuses a table of which no row, or less than half, can be used. Where
// most fail for one and the same fault of their times, that is what is said.
func (r *reader) most() error {
	t := r.t
	n := t.BadRows.Count
	all := len(t.Rows) + n
	if len(t.Rows) > 0 && float64(n) <= mostBad*float64(all) {
		return nil
	}
	const other = ", or name another column with --column time=, or write --rate HZ"
	switch {
	case 2*r.halves > n:
		return doubt("write the times as hh:mm:ss of 24 hours"+other, "%d of %d times end in AM or PM: AM and PM are not read", r.halves, all)
	case 2*r.late > n:
		return doubt("give the unit with --unit time="+other, "the times are impossible: %d of %d are beyond 290 years", r.late, all)
	}
	why := ""
	if n > 0 {
		f := t.BadRows.First[0]
		why = fmt.Sprintf("; the first, line %d: %s", f.Number, f.Why)
	}
	const next = "look at the file, and name columns, separator or decimal sign"
	if len(t.Rows) == 0 {
		return bad(next, "none of %d rows can be used%s", all, why)
	}
	return bad(next, "%d of %d rows cannot be used%s", n, all, why)
}

// sound refuses times that can be read and cannot be meant: a number from them
// would look like any other.
func (r *reader) sound() error {
	t := r.t
	n := len(t.Rows)
	if i := r.halfDayBack(); i > 0 {
		return doubt("write the times as hh:mm:ss of 24 hours, or name another column with --column time=, or write --rate HZ",
			"line %d: the clock goes back by about twelve hours, from %s to %s: it is a clock of twelve hours without AM and PM", t.Rows[i].Line, cutText(t.Rows[i-1].TimeText), cutText(t.Rows[i].TimeText))
	}
	switch {
	case t.Backward > 0 && (t.Backward > 1 || n == 2) && float64(t.Backward) > mostBackward*float64(n):
		return doubt("save each test as a file of its own; or say which column is the time with --column time=, or --rate",
			"the times lie before those above in %d of %d rows: two tests in one file, a clock of twelve hours, or no times", t.Backward, n)
	case t.Duration() > longest:
		return doubt("give the unit with --unit time=, or --column time=, or --rate", "the times are impossible: they span over ten years")
	}
	return nil
}

// halfDayBack finds the row at which a clock of twelve hours begins anew; 0 where
// none does.
func (r *reader) halfDayBack() int {
	rows := r.t.Rows
	if !r.t.Clock {
		return 0
	}
	for i := 1; i < len(rows); i++ {
		if back := rows[i-1].Time - rows[i].Time; back >= leastHalfDay && back <= mostHalfDay {
			return i
		}
	}
	return 0
}

// lost says that a line after the table is a reading that was written in a way
// not read here (1.0D+02, 0x10): as many cells as the table has columns, and a
// time that can be read; in a table without times, a force that begins like one.
func (r *reader) lost(i int) bool {
	t := r.t
	if r.l.second >= 0 && i >= r.l.second {
		return false
	}
	cells, ok := split(r.cells[:0], r.line(i), r.l.sep)
	r.cells = cells
	for len(cells) > len(t.Columns) && cells[len(cells)-1] == "" {
		cells = cells[:len(cells)-1]
	}
	if !ok || len(cells) != len(t.Columns) {
		return false
	}
	if t.TimeColumn < 0 {
		c := strings.TrimLeft(plainMinus(cells[t.LoadColumn]), "+-")
		return c != "" && c[0]-'0' <= 9 && !strings.Contains(c, " ")
	}
	cell := cells[t.TimeColumn]
	if t.Clock {
		_, _, why := moment(cell)
		return why == ""
	}
	text, ok := r.clean(cell)
	if ok && r.unit != 0 {
		_, ok = elapsed(text, r.unit)
	}
	return ok
}
