package wire

import (
	"encoding/binary"
	"math"
	"time"
)

// Decoder cuts a stream of bytes into lines and decodes them. It keeps the
// unfinished line between chunks, so it does not matter how the bytes are cut.
// A new Decoder takes the first byte as the beginning of a line, which holds
// for a file; for a port, call Restart first. A Decoder is not safe for use
// from several goroutines.
type Decoder struct {
	cols     []column
	sep      byte
	xor      bool
	tick     time.Duration
	maxTicks uint64 // largest whole number of ticks the fast path takes
	plain    bool   // the fast path can read this layout

	part    [MaxLine]byte // the unfinished line
	n       int           // bytes of it
	over    bool          // it is longer than part
	skip    bool          // discard through the next line end
	good    bool          // a good line was seen
	banners int           // banner lines seen

	line Line
}

// NewDecoder checks the layout. The error names every fault of it.
func NewDecoder(l Layout) (*Decoder, error) {
	cols, sep, err := l.check()
	if err != nil {
		return nil, err
	}
	d := &Decoder{cols: cols, sep: sep, xor: l.XOR, tick: l.Tick}
	d.plain = !l.XOR && sep != blanks
	for _, c := range cols {
		switch c {
		case colIgnore:
			d.plain = false
		case colTime:
			// One tick less than what parseTicks takes, which sees to the rest.
			d.maxTicks = uint64(math.MaxInt64/int64(l.Tick)) - 1
		}
	}
	return d, nil
}

// Restart forgets the unfinished line and discards through the next line end.
// Call it when a port was opened, also again: the first bytes may be the end of
// a line ("4109,500" of "304109,500"), which is a line too. Printable lines
// before the next good one are banner again, since opening a port resets many
// boards.
func (d *Decoder) Restart() {
	d.n, d.over = 0, false
	d.skip = true
	d.good, d.banners = false, 0
}

// Decode takes the next bytes and calls emit for each line that they complete,
// in order. Blank lines and lines that begin with # are passed over. It
// allocates nothing.
func (d *Decoder) Decode(chunk []byte, emit func(*Line)) {
	if d.skip || d.n > 0 || d.over {
		i := lineEnd(chunk)
		if i < 0 {
			d.keep(chunk)
			return
		}
		d.keep(chunk[:i])
		d.finish(emit)
		chunk = chunk[i+1:]
	}
	for len(chunk) > 0 {
		if d.plain {
			if n := d.fast(chunk); n > 0 {
				d.good = true
				emit(&d.line)
				chunk = chunk[n:]
				continue
			}
		}
		i := lineEnd(chunk)
		if i < 0 {
			d.keep(chunk)
			return
		}
		d.decode(chunk[:min(i, MaxLine)], i > MaxLine, emit)
		chunk = chunk[i+1:]
	}
}

// Flush takes the unfinished line as complete. Call it at the end of a source
// that began with a whole line and ends with one: a file or a pipe, whose last
// line may lack its end. Do not call it for a port or a connection, which may
// be opened and cut off in the middle of a line (feed.Chunk.Torn says so):
// there "1000,40" may be all that came of "1000,4095", and a fragment that is
// itself a line would count as a reading.
func (d *Decoder) Flush(emit func(*Line)) {
	d.finish(emit)
}

// lineEnd finds the first line feed or carriage return. Both end a line, so
// that CR LF is a line end and a blank line, which is passed over.
func lineEnd(b []byte) int {
	for i, c := range b {
		if c == '\n' || c == '\r' {
			return i
		}
	}
	return -1
}

// keep adds to the unfinished line what fits.
func (d *Decoder) keep(b []byte) {
	if d.skip {
		return
	}
	n := copy(d.part[d.n:], b)
	d.n += n
	if n < len(b) {
		d.over = true
	}
}

// finish ends the unfinished line.
func (d *Decoder) finish(emit func(*Line)) {
	if d.skip {
		d.skip = false
		return
	}
	n, over := d.n, d.over
	d.n, d.over = 0, false
	d.decode(d.part[:n], over, emit)
}

// fast decodes the line at the beginning of chunk in one pass over its bytes,
// if it is a plain good one: unsigned whole ticks, a short decimal number, no
// blanks, and its end is there. It returns the length with the line end, or 0
// when decode has to look. It must never differ from decode.
func (d *Decoder) fast(chunk []byte) int {
	l := &d.line
	i := 0
	last := len(d.cols) - 1
	for k, col := range d.cols {
		start := i
		if col == colTime {
			var ticks uint64
			if len(chunk)-i >= 8 {
				if v, ok := eightDigits(binary.LittleEndian.Uint64(chunk[i:])); ok {
					ticks = v
					i += 8
				}
			}
			for ; i < len(chunk); i++ {
				c := chunk[i] - '0'
				if c > 9 {
					break
				}
				ticks = ticks*10 + uint64(c)
			}
			// Eighteen digits cannot have overflowed.
			if n := i - start; n == 0 || n > 18 || ticks > d.maxTicks {
				return 0
			}
			l.Dev = time.Duration(ticks) * d.tick
			l.DevText = chunk[start:i]
		} else {
			neg := false
			if i < len(chunk) && chunk[i] == '-' {
				neg = true
				i++
			}
			first := i
			var mant uint64
			for ; i < len(chunk); i++ {
				c := chunk[i] - '0'
				if c > 9 {
					break
				}
				mant = mant*10 + uint64(c)
			}
			digits, decimals := i-first, 0
			if i < len(chunk) && chunk[i] == '.' {
				i++
				point := i
				for ; i < len(chunk); i++ {
					c := chunk[i] - '0'
					if c > 9 {
						break
					}
					mant = mant*10 + uint64(c)
				}
				decimals = i - point
				digits += decimals
			}
			if digits == 0 || digits > maxExact {
				return 0
			}
			v := float64(mant)
			if decimals > 0 {
				v /= pow10[decimals]
			}
			if neg {
				v = -v
			}
			l.Raw = v
			l.RawText = chunk[start:i]
		}
		if i >= len(chunk) {
			return 0
		}
		if k < last {
			if chunk[i] != d.sep {
				return 0
			}
			i++
		}
	}
	end := i
	switch chunk[i] {
	case '\n':
		i++
	case '\r':
		i++
		if i < len(chunk) && chunk[i] == '\n' {
			i++
		}
	default:
		return 0
	}
	l.Kind = Good
	l.Text = chunk[:min(end, MaxText)]
	l.HasDev = d.maxTicks > 0
	return i
}

// decode judges one line without its end; over says that it was longer than
// MaxLine and that line is its beginning.
func (d *Decoder) decode(line []byte, over bool, emit func(*Line)) {
	l := &d.line
	*l = Line{Text: line[:min(len(line), MaxText)]}
	switch body := trim(line); {
	case over:
		l.Kind = Bad
	case len(body) == 0 || body[0] == '#':
		return
	case d.columns(d.trim(line), l):
		l.Kind = Good
		d.good = true
	default:
		*l = Line{Kind: Bad, Text: l.Text}
		if !d.good && d.banners < MaxBanner && printable(line) && !(d.xor && body[0] == '$') {
			d.banners++
			l.Kind = Banner
		}
	}
	emit(l)
}
