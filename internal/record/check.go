package record

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// Status is what Check found.
type Status string

// The findings.
const (
	Whole      Status = "whole"      // closed, and every byte as it was
	Unfinished Status = "unfinished" // never closed; what is there is intact
	Damaged    Status = "damaged"    // something is missing or changed
	Newer      Status = "newer"      // of a newer format: not judged
	Foreign    Status = "foreign"    // no pull record
)

// Report is what Check found of one record, and what of it is intact.
type Report struct {
	Record  string `json:"record"` // the folder as given
	Status  Status `json:"status"`
	Writing bool   `json:"being_written,omitempty"`
	// Reasons say what is wrong, the most telling first; empty where nothing is.
	Reasons []string `json:"reasons"`
	Bytes   int64    `json:"bytes"` // of samples.csv
	// Lines can be read, readings and marks; they end at ReadBytes.
	Lines     int64 `json:"lines"`
	ReadBytes int64 `json:"read_bytes"`
	// Everything before ProvenBytes is as it was written: by samples.sum, or
	// all of it by the SHA-256 at closing.
	ProvenBytes int64 `json:"proven_bytes"`
	ProvenLines int64 `json:"proven_lines"`
	// BadByte is where trust ends: the start of a line that cannot be read, or
	// of a stretch whose sum does not match, whichever comes first. null where
	// nothing of samples.csv is known to be wrong.
	BadByte   *int64 `json:"bad_byte"`
	TornBytes int    `json:"torn_bytes"` // of a last line without its end
	Sums      int    `json:"sums"`       // lines of samples.sum
	SHA256    string `json:"sha256"`     // "match", "mismatch" or "none" before closing
}

// Intact says whether everything that is there is as it was written: the exit
// code 0 of design 7, with a remark where the record is unfinished.
func (r Report) Intact() bool { return r.Status == Whole || r.Status == Unfinished }

// Text is the report for a person: one line, and one more a reason.
func (r Report) Text() string {
	var b strings.Builder
	fmt.Fprintf(&b, "%s: %s", r.Record, r.Status)
	switch {
	case r.Writing:
		b.WriteString(", being written now")
	case r.Status == Unfinished:
		b.WriteString(" but intact: it was never closed")
	}
	if r.Status != Newer && r.Status != Foreign {
		fmt.Fprintf(&b, "; %d lines can be read, the first %d are proven as written", r.Lines, r.ProvenLines)
	}
	b.WriteByte('\n')
	for _, why := range r.Reasons {
		fmt.Fprintf(&b, "  %s\n", why)
	}
	if r.TornBytes > 0 {
		fmt.Fprintf(&b, "  the last line is torn: its %d bytes from byte %d on are left out\n", r.TornBytes, r.ReadBytes)
	}
	return b.String()
}

// damaged adds a reason.
func (r *Report) damaged(format string, args ...any) {
	r.Status = Damaged
	r.Reasons = append(r.Reasons, fmt.Sprintf(format, args...))
}

// badFrom notes that trust ends at an offset, if not before it.
func (r *Report) badFrom(off int64) {
	if r.BadByte == nil || off < *r.BadByte {
		r.BadByte = &off
	}
}

// Check reads a whole record and says whether it is as it was written. It
// changes nothing. It does not judge pull.json beyond reading it: that file
// carries no sum.
func Check(dir string) Report {
	r := Report{Record: dir, Status: Whole, Reasons: []string{}, SHA256: "none", Writing: writing(dir)}
	h, err := readHead(dir)
	switch {
	case errors.Is(err, ErrNewer):
		r.Status, r.Reasons = Newer, []string{err.Error()}
		return r
	case err != nil && !startsAsSamples(dir):
		r.Status, r.Reasons = Foreign, []string{err.Error()}
		return r
	case err != nil:
		switch e, ok := errors.AsType[*HeadError](err); {
		case ok && e.Empty:
			err = fmt.Errorf("%w; %s", err, e.Next())
		case ok:
			err = fmt.Errorf("%w; %s: the bar and the rig stood in it", err, HeadBack)
		}
		r.damaged("%v", err)
	case h.Closing == nil:
		r.Status = Unfinished
	}
	// The sums first: a writer at work adds one only for bytes that are there.
	marks, badSum, err := readSum(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		r.damaged("%s is missing", SumFile)
	case err != nil:
		r.damaged("%s cannot be read: %v", SumFile, err)
	case badSum > 0:
		r.damaged("%s line %d is not as it was written", SumFile, badSum)
	case len(marks) == 0:
		r.damaged("%s is empty", SumFile)
	}
	r.Sums = len(marks)
	r.pass(filepath.Join(dir, SamplesFile), marks, h.Closing)
	return r
}

// startsAsSamples says whether a folder has a samples.csv of ours: then it is
// a record whose pull.json is lost, else something foreign.
func startsAsSamples(dir string) bool {
	f, err := openFile(filepath.Join(dir, SamplesFile))
	if err != nil {
		return false
	}
	defer f.Close()
	b := make([]byte, len(header))
	_, err = io.ReadFull(f, b)
	return err == nil && string(b) == header
}

// noReadings says that samples.csv holds its header line and nothing else.
func noReadings(dir string) bool {
	st, err := os.Stat(filepath.Join(dir, SamplesFile))
	return err == nil && st.Size() <= int64(len(header))+1 && startsAsSamples(dir)
}
