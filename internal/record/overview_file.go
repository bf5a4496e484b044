package record

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"time"

	"draghand/internal/wire"
)

const overviewHeader = "t_us,raw_min,raw_max,note"

// maxOverview bounds what is read of an overview.csv.
const maxOverview = 1 << 20

// ErrNoOverview says that a record has no overview that belongs to its samples.
// That is no fault of the record.
var ErrNoOverview = errors.New("no overview of the readings")

// origin says which samples an overview was made of, and how long it is itself:
// a file that was cut off shows nothing else.
type origin struct {
	bytes  int64
	sha256 string
	rows   int // below the one that says this
}

// encodeOverview writes the text of an overview.csv. Bins without a valid
// reading have no line.
func encodeOverview(o Overview, c *Closing) []byte {
	rows := 0
	for _, s := range o.Spans {
		if !s.Empty() {
			rows++
		}
	}
	out := make([]byte, 0, 128+48*rows)
	out = fmt.Appendf(out, "%s\n0,,,bin_us=%d samples_bytes=%d samples_sha256=%s rows=%d\n",
		overviewHeader, o.Bin.Microseconds(), c.SamplesBytes, c.SamplesSHA256, rows)
	for i, s := range o.Spans {
		if s.Empty() {
			continue
		}
		out = strconv.AppendInt(out, int64(i)*o.Bin.Microseconds(), 10)
		out = append(out, ',')
		out = strconv.AppendFloat(out, s.Min, 'g', -1, 64)
		out = append(out, ',')
		out = strconv.AppendFloat(out, s.Max, 'g', -1, 64)
		out = append(out, ",\n"...)
	}
	return out
}

// parseOverview reads the text of an overview.csv, and nothing else.
func parseOverview(text []byte) (o Overview, from origin, err error) {
	bad := func(n int) error { return fmt.Errorf("%s line %d is not as it is written", OverviewFile, n) }
	head, text, ok := bytes.Cut(text, []byte{'\n'})
	if !ok || string(head) != overviewHeader {
		return o, from, bad(1)
	}
	first, text, ok := bytes.Cut(text, []byte{'\n'})
	var bin int64
	if n, serr := fmt.Sscanf(string(first), "0,,,bin_us=%d samples_bytes=%d samples_sha256=%64s rows=%d", &bin, &from.bytes, &from.sha256, &from.rows); !ok || serr != nil || n != 4 {
		return o, from, bad(2)
	}
	// A bin of 2⁵⁰ µs is 35 years, as long as there is a time for.
	if bin < firstBin || bin&(bin-1) != 0 || bin > 1<<50 || from.bytes < 0 || from.rows < 0 || from.rows > overviewBins {
		return o, from, bad(2)
	}
	o.Bin = time.Duration(bin) * time.Microsecond
	for n := range from.rows {
		line, rest, whole := bytes.Cut(text, []byte{'\n'})
		f := bytes.Split(line, []byte{','})
		if !whole || len(f) != 4 || len(f[3]) > 0 {
			return o, from, bad(n + 3)
		}
		us, ok := parseMicros(f[0])
		low, ok1 := wire.ParseNumber(f[1])
		high, ok2 := wire.ParseNumber(f[2])
		i := us / bin
		if !ok || !ok1 || !ok2 || us%bin != 0 || i < int64(len(o.Spans)) || i >= overviewBins || !(low <= high) || low-low != 0 || high-high != 0 {
			return o, from, bad(n + 3)
		}
		for int64(len(o.Spans)) < i {
			o.Spans = append(o.Spans, noSpan)
		}
		o.Spans = append(o.Spans, Span{low, high})
		text = rest
	}
	if len(text) > 0 {
		return o, from, bad(from.rows + 3)
	}
	return o, from, nil
}

// Overview reads the overview of a closed record. It is ErrNoOverview where there
// is none, or none that says it was made of just these samples; then a pass over
// the readings makes one.
func (r *Record) Overview() (Overview, error) {
	c := r.Head.Closing
	if c == nil {
		return Overview{}, ErrNoOverview
	}
	size, err := os.Stat(filepath.Join(r.Dir, SamplesFile))
	if err != nil || size.Size() != c.SamplesBytes {
		return Overview{}, ErrNoOverview
	}
	f, err := openFile(filepath.Join(r.Dir, OverviewFile))
	if err != nil {
		return Overview{}, ErrNoOverview
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, maxOverview+1))
	if err != nil || len(text) > maxOverview {
		return Overview{}, ErrNoOverview
	}
	o, from, err := parseOverview(text)
	if err != nil {
		return Overview{}, fmt.Errorf("%w: %w", ErrNoOverview, err)
	}
	if from.bytes != c.SamplesBytes || from.sha256 != c.SamplesSHA256 {
		return Overview{}, fmt.Errorf("%w: %s is of other samples", ErrNoOverview, OverviewFile)
	}
	return o, nil
}

// leaveOverview writes the overview of a record that has just been closed. What
// keeps it from being written keeps nothing else: it is not synced and its
// failure is no error.
func (w *Writer) leaveOverview(tg *target, c *Closing) {
	w.mu.Lock()
	lost := w.over.lost || w.dropped > 0
	o := w.over.done()
	w.mu.Unlock()
	if lost {
		return
	}
	path := filepath.Join(tg.dir, OverviewFile)
	f, err := tg.fs.Open(path, os.O_WRONLY|os.O_CREATE|os.O_TRUNC)
	if err != nil {
		return
	}
	text := encodeOverview(o, c)
	n, err := f.Write(text)
	if cerr := f.Close(); err != nil || cerr != nil || n < len(text) {
		_ = tg.fs.Remove(path) // a piece of one would be refused anyway
	}
}
