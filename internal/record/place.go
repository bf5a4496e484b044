package record

import (
	"bytes"
	"fmt"
	"io"
	"os"
	"path/filepath"

	"draghand/internal/pull"
)

// Place is where between two lines a pass was; another pass may go on from it.
// The zero Place is the beginning.
type Place struct {
	off, line, us int64
	cols          int
}

// Place is behind the line that Next last went to.
func (rs *Readings) Place() Place {
	return Place{off: rs.off, line: rs.line, us: rs.lastUS, cols: rs.cols}
}

// ReadingsAt begins a pass at a place of an earlier pass over the same record.
// The caller closes it.
func (r *Record) ReadingsAt(p Place) *Readings {
	rs := r.Readings()
	f, ok := rs.closer.(*os.File)
	if !ok || p.line == 0 {
		return rs
	}
	if _, err := f.Seek(p.off, io.SeekStart); err != nil {
		rs.ended, rs.err = true, fmt.Errorf("read %s at byte %d: %w", SamplesFile, p.off, err)
		return rs
	}
	rs.off, rs.start, rs.line, rs.lastUS, rs.cols = p.off, p.off, p.line, p.us, p.cols
	return rs
}

// tailBytes is how far back from the end LastReadings looks: a second of readings
// at 1 kHz, and more than the marks and faults that end most records.
const tailBytes = 32 << 10

// LastReadings are the readings and marks near the end of the record, oldest
// first, without a pass over those before; none where the end cannot be read.
func (r *Record) LastReadings() []pull.Reading {
	f, err := openFile(filepath.Join(r.Dir, SamplesFile))
	if err != nil {
		return nil
	}
	defer f.Close()
	size, err := f.Seek(0, io.SeekEnd)
	if err != nil {
		return nil
	}
	tail := make([]byte, min(size, tailBytes))
	if _, err := f.ReadAt(tail, size-int64(len(tail))); err != nil {
		return nil
	}
	if size > int64(len(tail)) {
		_, rest, ok := bytes.Cut(tail, []byte{'\n'})
		if !ok {
			return nil
		}
		tail = append(headerLine(r.Head.Channels), rest...)
	}
	var out []pull.Reading
	for rs := NewReadings(bytes.NewReader(tail)); rs.Next(); {
		out = append(out, rs.Reading())
	}
	return out
}
