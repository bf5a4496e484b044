package wire

import "time"

// Kind says what a line was good for.
type Kind uint8

// The kinds of line.
const (
	// Good: a reading. Its Raw is NaN where the board said so in words.
	Good Kind = iota + 1
	// Bad: cannot be read, or its checksum is wrong. To be counted, and kept
	// as evidence.
	Bad
	// Banner: a printable line before the first good one, such as a greeting
	// or a header.
	Banner
)

// String names the kind.
func (k Kind) String() string {
	switch k {
	case Good:
		return "good"
	case Bad:
		return "bad"
	case Banner:
		return "banner"
	}
	return "unknown"
}

// Line is one decoded line. Its slices are valid until the emit function
// returns, and the Line itself is used again for the next one.
type Line struct {
	Kind Kind
	// Raw is the number as sent, in whatever unit the board sends; NaN if the
	// board sent one of the words nan, inf or ovf. Good lines only.
	Raw float64
	// RawText is its text, at most MaxField bytes, of 0-9 + - . e E or the
	// letters of those words: safe to be written anywhere.
	RawText []byte
	// Dev is the board's clock as sent: ticks times Layout.Tick, not unwound.
	// Ticks may have decimals; what is below a nanosecond is cut off.
	Dev time.Duration
	// DevText is its text, at most MaxField bytes, of 0-9 and a point.
	DevText []byte
	// HasDev says that the line has a time column.
	HasDev bool
	// Text is the line's beginning, at most MaxText bytes, as sent: it may
	// hold anything, so strip it before it is shown.
	Text []byte
}
