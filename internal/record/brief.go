package record

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// Brief is what a list shows of a record: the part of its Head that is quickly
// read. It looks at less than Open does, so that a head damaged elsewhere may
// still have one.
type Brief struct {
	Started  time.Time
	Kind     pull.Kind
	Specimen specimen.Specimen
	RigName  string
	Units    si.System // of the rig
	Source   string
	Remarks  int  // the program's own, people's and reasons for arming against a refusal
	Imported bool // from a file of others
	ByEye    bool // without a trace: a dial gauge read by eye
	Writing  bool // a program holds its lock; looked at only where it is not closed
	// Where and Failed are those of the last Finished; empty: nobody says.
	Where   specimen.Where
	Failed  string        // the part of the rig that gave way
	Closing *BriefClosing // nil: not closed
	Results *BriefResults // that stand in the head; nil: none do
}

// BriefClosing is how a pull ended, in short.
type BriefClosing struct {
	Outcome     pull.Phase
	Peak        si.Force // drag hand, on the specimen; 0: none
	NeverLoaded bool
	FirstYield  si.Force // where a block in a crush first gave, on the specimen; 0: not seen
}

// Skimmer reads one Brief after the other; its memory is used again. It is for
// one goroutine. The zero value is ready.
type Skimmer struct {
	buf  []byte
	text []byte // of the last Brief, in buf
}

// Brief reads the pull.json in dir. Its errors are those of Open.
func (s *Skimmer) Brief(dir string) (Brief, error) { return s.BriefAt(dir, nil) }

// BriefAt is Brief where the caller has just asked for the pull.json with os.Stat, and
// st is what it was told; nil: nobody has asked.
func (s *Skimmer) BriefAt(dir string, st fs.FileInfo) (Brief, error) {
	path := filepath.Join(dir, HeadFile)
	s.text = nil
	text, err := s.read(dir, path, st)
	if err != nil {
		return Brief{}, err
	}
	b, err := decodeBrief(path, text)
	if err != nil {
		return Brief{}, err
	}
	s.text = text
	if b.Closing == nil {
		// The head was read before the lock was asked: a writer that ended in
		// between has closed it by now.
		b.Writing = writing(dir)
		if text, err = s.read(dir, path, nil); err == nil {
			s.text = text
			if later, err := decodeBrief(path, text); err == nil && later.Closing != nil {
				return later, nil
			}
		}
	}
	return b, nil
}

// Head is the whole head that the last Brief was read from, without looking at the
// disk again. Its errors are those of Open.
func (s *Skimmer) Head(dir string) (Head, error) {
	return decodeHead(filepath.Join(dir, HeadFile), s.text)
}

// read is the bytes of a pull.json, valid until the next. st is what is known of the
// file; nil: nothing.
func (s *Skimmer) read(dir, path string, st fs.FileInfo) ([]byte, error) {
	var err error
	if st == nil {
		st, err = os.Stat(path)
	}
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, noHead(dir)
	case err != nil:
		return nil, fmt.Errorf("read a pull record: %w", err)
	case !st.Mode().IsRegular(): // opening a pipe would wait for a writer
		return nil, notFile(path)
	case st.Size() > maxHead:
		return nil, tooLarge(path)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("read a pull record: %w", err)
	}
	defer f.Close()
	if need := int(st.Size()) + 1; cap(s.buf) < need {
		s.buf = make([]byte, max(need, 16<<10))
	}
	n, err := io.ReadFull(f, s.buf[:st.Size()+1])
	switch {
	case err == nil: // another was put in its place since it was asked for
		return s.readAll(path, f, n)
	case !errors.Is(err, io.ErrUnexpectedEOF) && err != io.EOF:
		return nil, fmt.Errorf("read a pull record: %w", err)
	}
	return s.buf[:n], nil
}

// readAll reads on behind the first n bytes in buf.
func (s *Skimmer) readAll(path string, f io.Reader, n int) ([]byte, error) {
	rest, err := io.ReadAll(io.LimitReader(f, int64(maxHead+1-n)))
	if err != nil {
		return nil, fmt.Errorf("read a pull record: %w", err)
	}
	s.buf = append(s.buf[:n], rest...)
	if len(s.buf) > maxHead {
		return nil, tooLarge(path)
	}
	return s.buf, nil
}

// HasSamples says whether a folder has a samples.csv of ours. With it, a folder
// whose pull.json is lost is a damaged record; without it, something foreign.
func HasSamples(dir string) bool { return startsAsSamples(dir) }

// StartOf is the start that a record's folder name tells; ok is false where it
// tells none.
func StartOf(name string) (t time.Time, ok bool) {
	t, err := time.Parse(stamp, name[:min(len(name), len(stamp))])
	return t, err == nil
}
