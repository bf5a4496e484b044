package record

import (
	"bytes"
	"fmt"
	"io"
	"strings"
	"time"

	"draghand/internal/pull"
	"draghand/internal/wire"
)

// readSize is the buffer of a pass: large enough that reading costs nothing
// beside parsing, small enough for a cache.
const readSize = 128 << 10

// maxMicros is the largest time in µs a time.Duration holds.
const maxMicros = int64(1<<63-1) / int64(time.Microsecond)

// Readings is one pass over samples.csv:
//
//	for rs.Next() {
//		engine.Step(rs.Reading())
//	}
//	if err := rs.Err(); err != nil { … }
//
// It reads strictly: a line that a writer would have written otherwise ends
// the pass with a *DamageError. A last line without its end is no error, since
// that is how a record ends whose writer was cut off: Torn tells it.
type Readings struct {
	src    io.Reader
	closer io.Closer
	buf    []byte
	r, w   int
	off    int64 // in the file, of buf[r]
	want   int64 // bytes at closing, −1: not closed
	left   int64 // bytes of a torn line behind those, of a record closed later
	spoilt bool  // what is behind those was damaged then
	line   int64 // number of the line last read
	cols   int   // columns beyond the four
	eof    bool
	ended  bool
	err    error
	torn   int
	proof  func() error          // asked at the end of the file; nil: it is not proven
	before func(off int64) error // asked where a line cannot be read; nil with proof

	cur     pull.Reading
	start   int64
	lastUS  int64
	dev     []byte
	raw     []byte
	note    []byte
	text    []byte
	further [MaxChannels][]byte // the cells of the columns beyond the four
	scratch [2 * maxLine]byte
}

// NewReadings begins a pass over the text of a samples.csv.
func NewReadings(src io.Reader) *Readings {
	return &Readings{src: src, buf: make([]byte, readSize), want: -1}
}

// Close closes the file, if the pass opened one.
func (rs *Readings) Close() error {
	rs.ended = true
	if rs.closer == nil {
		return nil
	}
	return rs.closer.Close()
}

// Reading is the reading or mark Next found.
func (rs *Readings) Reading() pull.Reading { return rs.cur }

// DevText is the board's clock as sent. Like RawText, Note and Text it is
// valid until the next Next.
func (rs *Readings) DevText() []byte { return rs.dev }

// RawText is the number as sent, empty for a mark.
func (rs *Readings) RawText() []byte { return rs.raw }

// Note is the whole note.
func (rs *Readings) Note() []byte { return rs.note }

// Text is the evidence or reason of a mark. It came from outside: strip
// control characters before showing it.
func (rs *Readings) Text() []byte { return rs.text }

// Channel is the field in a column behind the four, 0 the first of them, as it
// stands in the file: printable ASCII, quoted and escaped where it must be; empty
// where there is none or it is written otherwise. It is valid until the next Next.
func (rs *Readings) Channel(i int) []byte {
	if i < 0 || i >= min(rs.cols, MaxChannels) {
		return nil
	}
	var room [maxLine]byte
	if _, bad := decodeField(room[:0], rs.further[i]); bad != "" {
		return nil
	}
	return rs.further[i]
}

// Offset is where in the file the line last read begins; after the end, where
// what could be read ends.
func (rs *Readings) Offset() int64 {
	if rs.ended {
		return rs.off
	}
	return rs.start
}

// Torn is how many bytes of a last line without its end were left out.
func (rs *Readings) Torn() int { return rs.torn }

// Err is why the pass ended, nil where it reached the end.
func (rs *Readings) Err() error { return rs.err }

// Next goes to the next line. It allocates nothing.
func (rs *Readings) Next() bool {
	if rs.line == 0 && !rs.ended && !rs.head() {
		return false
	}
	line, ok := rs.cut()
	if !ok {
		return false
	}
	if rs.cols == 0 && rs.parsePlain(line) {
		return true
	}
	if bad := rs.parse(line); bad != "" {
		rs.off, rs.line = rs.start, rs.line-1
		rs.damage(bad)
		return false
	}
	return true
}

// head reads the header line.
func (rs *Readings) head() bool {
	line, ok := rs.cut()
	if !ok {
		if rs.err == nil && rs.want > 0 {
			rs.damage("the header line is missing")
		}
		return false
	}
	rest, ok := bytes.CutPrefix(line, []byte(header))
	if !ok || len(rest) > 0 && rest[0] != ',' {
		rs.off, rs.line = 0, 0
		rs.damage("the first line is not " + header)
		return false
	}
	rs.cols = bytes.Count(rest, []byte{','})
	return true
}

// cut takes the next whole line out of the buffer.
func (rs *Readings) cut() ([]byte, bool) {
	if rs.ended {
		return nil, false
	}
	for {
		if i := bytes.IndexByte(rs.buf[rs.r:rs.w], '\n'); i >= 0 {
			if rs.want >= 0 && rs.off+int64(i)+1 > rs.want {
				rs.beyond()
				return nil, false
			}
			line := rs.buf[rs.r : rs.r+i]
			rs.start = rs.off
			rs.r += i + 1
			rs.off += int64(i) + 1
			rs.line++
			return line, true
		}
		if !rs.fill() {
			return nil, false
		}
	}
}

// fill reads more, or ends the pass.
func (rs *Readings) fill() bool {
	left := rs.w - rs.r
	switch {
	case left > maxLine:
		rs.damage(fmt.Sprintf("a line of more than %d bytes", maxLine))
		return false
	case rs.eof:
		rs.ended = true
		rs.torn = left
		switch {
		case rs.want < 0:
		case rs.off == rs.want && int64(left) > rs.left && rs.spoilt:
			rs.beyond()
		case rs.off != rs.want || int64(left) != rs.left:
			rs.damage(fmt.Sprintf("it ends here, at closing it had %d bytes", rs.want+rs.left))
		}
		if rs.err == nil && rs.proof != nil {
			rs.err = rs.proof()
		}
		return false
	}
	copy(rs.buf, rs.buf[rs.r:rs.w])
	rs.r, rs.w = 0, left
	for range 100 { // as bufio has it: a reader that gives nothing is broken
		n, err := rs.src.Read(rs.buf[rs.w:])
		rs.w += n
		if err == io.EOF {
			rs.eof = true
			return true
		}
		if err != nil {
			rs.ended = true
			rs.err = fmt.Errorf("read %s at byte %d: %w", SamplesFile, rs.off+int64(rs.w-rs.r), err)
			return false
		}
		if n > 0 {
			return true
		}
	}
	rs.ended = true
	rs.err = fmt.Errorf("read %s at byte %d: %w", SamplesFile, rs.off, io.ErrNoProgress)
	return false
}

// beyond ends the pass where there is more than was closed.
func (rs *Readings) beyond() {
	if rs.spoilt {
		rs.damage("it was damaged from here on when the record was recovered")
		return
	}
	rs.damage("bytes beyond those at closing")
}

// damage ends the pass at the line that begins at rs.off.
func (rs *Readings) damage(reason string) {
	rs.ended = true
	rs.err = &DamageError{Offset: rs.off, Line: rs.line + 1, Reason: reason}
	if rs.before != nil {
		if err := rs.before(rs.off); err != nil { // the graver of the two
			rs.err = err
		}
	}
}

// parsePlain reads the common line, a reading without quotes, escapes or a
// note; false sends it to parse, which also finds the words for what is wrong.
func (rs *Readings) parsePlain(line []byte) bool {
	i, us := 0, int64(0)
	for ; i < len(line); i++ {
		d := line[i] - '0'
		if d > 9 {
			break
		}
		us = us*10 + int64(d)
	}
	// 15 digits are 31 years; they cannot overflow.
	if i == 0 || i > 15 || i == len(line) || line[i] != ',' || line[0] == '0' && i > 1 || us < rs.lastUS {
		return false
	}
	i++
	d := i
	for i < len(line) && plain[line[i]] {
		i++
	}
	dev := line[d:i]
	if len(line) < i+3 || line[i] != ',' || line[len(line)-1] != ',' {
		return false
	}
	raw := line[i+1 : len(line)-1]
	v, ok := wire.ParseNumber(raw) // a comma inside is no number
	if !ok {
		return false
	}
	rs.lastUS = us
	rs.dev, rs.raw, rs.note, rs.text = dev, raw, nil, nil
	rs.cur = pull.Reading{T: time.Duration(us) * time.Microsecond, Raw: v}
	return true
}

// parse reads any line, and says what is wrong with one that is none.
func (rs *Readings) parse(line []byte) (bad string) {
	if len(line) > maxLine {
		return fmt.Sprintf("a line of more than %d bytes", maxLine)
	}
	var f [4][]byte
	more := true
	for i := range f {
		if !more {
			return "too few columns"
		}
		if f[i], line, more, bad = cutField(line); bad != "" {
			return bad
		}
	}
	for i := range rs.cols {
		if !more {
			return "too few columns"
		}
		var cell []byte
		if cell, line, more, bad = cutField(line); bad != "" {
			return bad
		}
		if i < MaxChannels {
			rs.further[i] = cell
		}
	}
	if more {
		return "too many columns"
	}
	us, ok := parseMicros(f[0])
	if !ok {
		return "the time is no whole number of microseconds"
	}
	if us < rs.lastUS {
		return "the time goes back"
	}
	if rs.dev, bad = decodeField(rs.scratch[:0:maxLine], f[1]); bad != "" {
		return bad
	}
	if rs.note, bad = decodeField(rs.scratch[maxLine:maxLine], f[3]); bad != "" {
		return bad
	}
	rs.raw, rs.text = f[2], nil
	cur := pull.Reading{T: time.Duration(us) * time.Microsecond}
	if len(rs.raw) > 0 {
		if cur.Raw, ok = wire.ParseNumber(rs.raw); !ok {
			return "the reading is no number"
		}
	} else {
		if cur.Mark, cur.Count, rs.text, ok = parseNote(rs.note); !ok {
			return "neither a reading nor a mark"
		}
		if len(rs.dev) > 0 {
			return "a mark with a board's clock"
		}
	}
	rs.lastUS, rs.cur = us, cur
	return ""
}

// parseMicros reads a time as AppendInt writes it.
func parseMicros(b []byte) (int64, bool) {
	if len(b) == 0 || len(b) > 16 || b[0] == '0' && len(b) > 1 || strings.Trim(string(b), "0123456789") != "" {
		return 0, false
	}
	us := firstTime(b)
	return us, us <= maxMicros
}
