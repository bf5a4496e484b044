package wire

import (
	"errors"
	"fmt"
	"math"
	"time"
)

// Bounds on what is looked at. They keep memory flat and evidence small.
const (
	MaxLine  = 256 // bytes of a line without its end; a longer one is one bad line
	MaxField = 32  // bytes of the time and of the raw number, as a record keeps them
	MaxText  = 64  // bytes of a line kept as evidence
	// MaxBanner is the number of printable lines that may come before the
	// first good one and count as banner. A board's greeting is shorter; a
	// wrong layout must show up as bad lines in the end.
	MaxBanner = 100
)

// The words for a column.
const (
	TimeColumn   = "time" // the board's clock
	RawColumn    = "raw"  // the reading
	IgnoreColumn = "-"    // anything
)

// minWrap is the shortest time in which a board's clock may wrap. Readings
// arrive in bursts and after pauses of a busy host, so a clock that wraps
// several times a second cannot be followed.
const minWrap = time.Second

// Layout says how a line is laid out.
type Layout struct {
	// Separator between the columns: one printable character that cannot be
	// part of a number, a tab, or "space" for runs of blanks. Empty: ",".
	Separator string
	// Columns in order: "time", "raw", "-" (ignored). Exactly one "raw", at
	// most one "time". A line must have exactly that many fields.
	Columns []string
	// XOR demands a checksum as in NMEA 0183: "$payload*HH".
	XOR bool
	// Tick is the unit of the board's clock (time.Microsecond, …); needed with
	// a "time" column only.
	Tick time.Duration
	// ClockBits: the board's clock wraps at 2^ClockBits ticks; 0: never.
	ClockBits int
}

type column uint8

const (
	colIgnore column = iota
	colTime
	colRaw
)

// check resolves the layout into its columns and separator. Every fault is
// reported at once.
func (l Layout) check() (cols []column, sep byte, err error) {
	var faults []error
	sep, err = separator(l.Separator, l.XOR)
	if err != nil {
		faults = append(faults, err)
	}
	var raws, times int
	for i, name := range l.Columns {
		switch name {
		case RawColumn:
			raws++
			cols = append(cols, colRaw)
		case TimeColumn:
			times++
			cols = append(cols, colTime)
		case IgnoreColumn:
			cols = append(cols, colIgnore)
		default:
			faults = append(faults, fmt.Errorf("column %d is %q: want %q, %q or %q", i+1, name, TimeColumn, RawColumn, IgnoreColumn))
		}
	}
	if raws != 1 {
		faults = append(faults, fmt.Errorf("the columns name %q %d times: want exactly one", RawColumn, raws))
	}
	if times > 1 {
		faults = append(faults, fmt.Errorf("the columns name %q %d times: want at most one", TimeColumn, times))
	}
	if len(cols) > MaxLine/2 {
		faults = append(faults, fmt.Errorf("%d columns do not fit in a line of %d bytes", len(cols), MaxLine))
	}
	if times > 0 {
		if err := checkClock(l.Tick, l.ClockBits); err != nil {
			faults = append(faults, err)
		}
	}
	return cols, sep, errors.Join(faults...)
}

// blanks stands for the separator "space".
const blanks = ' '

func separator(s string, xor bool) (byte, error) {
	switch s {
	case "":
		return ',', nil
	case "space", " ":
		return blanks, nil
	case "\t":
		return '\t', nil
	}
	const want = `want one character such as ",", ";" or a tab, or "space" for runs of blanks`
	if len(s) != 1 || s[0] <= ' ' || s[0] > '~' {
		return 0, fmt.Errorf("the separator %q cannot be used: %s", s, want)
	}
	c := s[0]
	switch {
	case isDigit(c), c|0x20 >= 'a' && c|0x20 <= 'z', c == '+', c == '-', c == '.', c == '#':
		return 0, fmt.Errorf("the separator %q may be part of a number or of a remark: %s", s, want)
	case xor && (c == '$' || c == '*'):
		return 0, fmt.Errorf("the separator %q marks the checksum: %s", s, want)
	}
	return c, nil
}

func checkClock(tick time.Duration, bits int) error {
	switch {
	case tick <= 0:
		return errors.New("the time column needs the unit of the board's clock: us, ms or s")
	case tick > time.Hour:
		return fmt.Errorf("a board clock that ticks once in %v is of no use here: want us, ms or s", tick)
	case bits < 0 || bits > 64:
		return fmt.Errorf("a clock of %d bits is not possible: want 0 (never wraps) to 64", bits)
	case bits > 0 && wrapOf(tick, bits) < minWrap:
		return fmt.Errorf("a clock that wraps every %v cannot be followed: send more bits, so that it wraps after %v or later",
			wrapOf(tick, bits), minWrap)
	}
	return nil
}

// wrapOf is the time after which a clock wraps. A wrap later than a
// time.Duration can hold (292 years) never comes: the answer is then the
// largest one.
func wrapOf(tick time.Duration, bits int) time.Duration {
	if bits >= 63 || int64(tick) > math.MaxInt64>>bits {
		return math.MaxInt64
	}
	return tick << bits
}
