package record

import (
	"fmt"
	"path/filepath"
)

// Record is a pull record opened for reading. Opening it reads pull.json only.
type Record struct {
	Dir     string
	Head    Head
	Writing bool // a program held its lock when it was opened
}

// Open reads the head of the record in dir. A record of a newer format is a
// *NewerError, a folder that is none is ErrForeign, one without its head or with one
// that cannot be used a *HeadError.
func Open(dir string) (*Record, error) {
	live := writing(dir) // before the head: a writer that ends in between leaves a closed one
	h, err := readHead(dir)
	if err != nil {
		return nil, err
	}
	return &Record{Dir: dir, Head: h, Writing: live}, nil
}

// Name is the folder's name.
func (r *Record) Name() string { return filepath.Base(r.Dir) }

// Closed says whether the pull was closed; one that was not is unfinished, and
// what it has is as good.
func (r *Record) Closed() bool { return r.Head.Closing != nil }

// Readings begins a pass over the readings. The caller closes it. A file that
// cannot be opened is told by its Err.
func (r *Record) Readings() *Readings {
	f, err := openFile(filepath.Join(r.Dir, SamplesFile))
	if err != nil {
		return &Readings{err: fmt.Errorf("read the readings: %w", err), ended: true}
	}
	out := NewReadings(f)
	out.closer = f
	if c := r.Head.Closing; c != nil {
		out.want, out.left, out.spoilt = c.SamplesBytes, c.torn(), c.spoilt()
	}
	return out
}

// Proven is Readings that also hold the bytes they read against the sums: where
// the file ends and every line could be read, their Err is a *DamageError with
// Altered if they are not those that were written. Of a closed record that is
// told by the SHA-256 of its closing, of another by samples.sum; by samples.sum too
// where a line cannot be read and what is before it is not as it was written.
func (r *Record) Proven() *Readings {
	marks, _, err := readSum(r.Dir) // before the readings: a writer at work adds to both
	if err != nil {
		marks = nil // Check tells; the SHA-256 does without
	}
	out := r.Readings()
	if out.err != nil {
		return out
	}
	p := newProver(out.src, marks, r.Head.Closing)
	out.src = p
	out.proof = func() error { return p.altered(r.Head.Closing) }
	out.before = p.alteredBefore
	return out
}

// DamageError is a place in samples.csv that is not as a writer leaves it.
// What is before it was read.
type DamageError struct {
	Offset int64 // of the line's first byte
	Line   int64 // 1 is the header
	Reason string
	// Altered: every line can be read, and they are not those that were written. No
	// line is known for it then: Line is 0.
	Altered bool
}

func (e *DamageError) Error() string {
	if e.Altered {
		return fmt.Sprintf("%s is damaged, its readings are not as they were written: %s", SamplesFile, e.Reason)
	}
	return fmt.Sprintf("%s is damaged at byte %d (line %d): %s", SamplesFile, e.Offset, e.Line, e.Reason)
}
