package record

import (
	"encoding/json"
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
	Results *BriefResults // of the last Finished, as they stand; nil: nobody finished it
}

// BriefClosing is how a pull ended, in short.
type BriefClosing struct {
	Outcome     pull.Phase
	Peak        si.Force // drag hand, on the specimen; 0: none
	NeverLoaded bool
	FirstYield  si.Force // where a block in a crush first gave, on the specimen; 0: not seen
}

// briefWire is the JSON of it.
type briefWire struct {
	Format   *int              `json:"format"`
	Started  time.Time         `json:"started"`
	Kind     pull.Kind         `json:"kind"`
	Specimen specimen.Specimen `json:"specimen"`
	Rig      *struct {
		Name  string    `json:"name"`
		Units si.System `json:"units"`
	} `json:"rig"`
	Source   string     `json:"source"`
	Remarks  []string   `json:"remarks"`
	Over     []string   `json:"overrides"`
	Said     []struct{} `json:"said"`
	Imported *struct{}  `json:"imported"`
	Dial     *struct{}  `json:"dial"`
	Finished []struct {
		Where  specimen.Where `json:"where"`
		Failed string         `json:"failed_part"`
	} `json:"finished"`
	Results json.RawMessage `json:"results"`
	Closing *struct {
		Phase       pull.Phase `json:"phase"`
		Outcome     pull.Phase `json:"outcome"`
		NeverLoaded bool       `json:"never_loaded"`
		Peak        *struct {
			Specimen *si.Force `json:"specimen_n"`
		} `json:"peak"`
		FirstYield *struct {
			Specimen *si.Force `json:"specimen_n"`
		} `json:"first_yield"`
	} `json:"closing"`
}

// Skimmer reads one Brief after the other; its memory is used again. It is for
// one goroutine. The zero value is ready.
type Skimmer struct{ buf []byte }

// Brief reads the pull.json in dir. Its errors are those of Open.
func (s *Skimmer) Brief(dir string) (Brief, error) {
	path := filepath.Join(dir, HeadFile)
	text, err := s.read(dir, path)
	if err != nil {
		return Brief{}, err
	}
	b, err := decodeBrief(path, text)
	if err != nil {
		return Brief{}, err
	}
	if b.Closing == nil && writing(dir) {
		// The head was read before the lock was asked: a writer that ended in
		// between has closed it by now.
		b.Writing = true
		if text, err = s.read(dir, path); err == nil {
			if later, err := decodeBrief(path, text); err == nil && later.Closing != nil {
				return later, nil
			}
		}
	}
	return b, nil
}

// read is the bytes of a pull.json, valid until the next.
func (s *Skimmer) read(dir, path string) ([]byte, error) {
	st, err := os.Stat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("%q holds no %s: %w", dir, HeadFile, errors.Join(ErrForeign, fs.ErrNotExist))
	case err != nil:
		return nil, fmt.Errorf("read a pull record: %w", err)
	case !st.Mode().IsRegular(): // opening a pipe would wait for a writer
		return nil, fmt.Errorf("%q is no file: %w", path, ErrForeign)
	case st.Size() > maxHead:
		return nil, fmt.Errorf("%q is larger than %d bytes: %w", path, maxHead, ErrForeign)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("read a pull record: %w", err)
	}
	defer f.Close()
	if need := int(st.Size()) + 1; cap(s.buf) < need {
		s.buf = make([]byte, max(need, 16<<10))
	}
	// A file that grows meanwhile is read as far as it was.
	n, err := io.ReadFull(f, s.buf[:st.Size()])
	if err != nil && !errors.Is(err, io.ErrUnexpectedEOF) && err != io.EOF {
		return nil, fmt.Errorf("read a pull record: %w", err)
	}
	return s.buf[:n], nil
}

// decodeBrief reads the JSON of pull.json as decodeHead does, and less of it.
func decodeBrief(path string, text []byte) (Brief, error) {
	var w briefWire
	err := json.Unmarshal(text, &w)
	if err != nil || w.Format == nil || *w.Format < 1 || *w.Format > Format || w.Rig == nil {
		// What is wrong, in the words of who reads the whole.
		if _, herr := decodeHead(path, text); herr != nil {
			return Brief{}, herr
		}
		return Brief{}, fmt.Errorf("%q cannot be understood: %w", path, err)
	}
	b := Brief{
		Started: w.Started, Kind: w.Kind, Specimen: w.Specimen, RigName: w.Rig.Name, Units: w.Rig.Units,
		Source: w.Source, Remarks: len(w.Remarks) + len(w.Over) + len(w.Said), Imported: w.Imported != nil, ByEye: w.Dial != nil,
	}
	if n := len(w.Finished); n > 0 {
		b.Where, b.Failed = w.Finished[n-1].Where, w.Finished[n-1].Failed
	}
	if c := w.Closing; c != nil {
		b.Closing = &BriefClosing{Outcome: c.Outcome, NeverLoaded: c.NeverLoaded}
		if c.Outcome == "" {
			b.Closing.Outcome = c.Phase
		}
		if c.Peak != nil && c.Peak.Specimen != nil {
			b.Closing.Peak = *c.Peak.Specimen
		}
		if c.FirstYield != nil && c.FirstYield.Specimen != nil {
			b.Closing.FirstYield = *c.FirstYield.Specimen
		}
	}
	b.Results = briefResults(w.Results)
	return b, nil
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
