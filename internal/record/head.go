package record

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"time"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// Format is the newest format number this package writes and reads. It grows when
// an older program would read something wrongly; fields that are only added leave
// it. A record is written as the oldest format that says it rightly, so that
// programs of before go on reading what they understand.
const Format = 2

// plainFormat is that of a record whose forces follow from the rig file's figures.
const plainFormat = 1

// formatOf is the format a record is written as. A program that knows no
// calibration would reckon other forces from one, so that takes format 2. It does
// not change later: a record's rig is fixed when it is made.
func formatOf(h Head) int {
	if h.Rig != nil && h.Rig.Calibration != nil {
		return Format
	}
	return plainFormat
}

// The files of a record.
const (
	HeadFile    = "pull.json"
	SamplesFile = "samples.csv"
	SumFile     = "samples.sum"
	LockFile    = "lock"
)

// maxHead bounds what is read of a pull.json: a rig with a thousand limits has
// some 200 kB.
const maxHead = 16 << 20

// Head is what pull.json holds. Together with samples.csv it is all that a
// replay needs.
type Head struct {
	Format   int               `json:"format"`
	Program  string            `json:"program"` // name and version of the program that wrote it
	Started  time.Time         `json:"started"` // time 0 of samples.csv, UTC
	Kind     pull.Kind         `json:"kind"`
	Specimen specimen.Specimen `json:"specimen"`
	Rig      *rig.Rig          `json:"rig"`
	Source   string            `json:"source"` // where the readings came from, as given
	// LastZero is the raw zero of the pull before on this rig that the engine
	// was given, if any: without it a replay could take another zero.
	LastZero *float64 `json:"last_zero_raw,omitempty"`
	// Proof is what a proof was asked to hold; nil for the other kinds.
	Proof *Proof `json:"proof,omitempty"`
	// Overrides are the reasons given for arming against a refusal.
	Overrides []string `json:"overrides,omitempty"`
	// Arming is what was seen to before the pull was armed from the bench.
	Arming *Arming `json:"arming,omitempty"`
	// Remarks are the program's own about the record, such as where it was moved
	// from; what a person says is in Said.
	Remarks []string `json:"remarks,omitempty"`
	// Imported is there where the readings are from a file of others.
	Imported *Imported `json:"imported,omitempty"`
	// Dial is there where the pull has no trace, only a peak read by eye.
	Dial *Dial `json:"dial,omitempty"`
	// Channels are the columns of samples.csv behind the four.
	Channels []Channel `json:"channels,omitempty"`
	// Said is what people added, oldest first; see AddRemark.
	Said []Said `json:"said,omitempty"`
	// Finished is what was measured after the pull, oldest first: the last counts,
	// what it took the place of stays.
	Finished []Finished `json:"finished,omitempty"`
	// Results are those of the last Finished, or of the pull as it was closed where
	// there is none, as a reader without the program wants them. A convenience, like
	// Closing: the readings, the rig and Finished say the same, and win where they
	// differ. Missing: they could not be kept, or an earlier program closed it.
	Results json.RawMessage `json:"results,omitempty"`
	// Closing is missing while the pull runs, and where it was cut off until it is
	// recovered.
	Closing *Closing `json:"closing,omitempty"`
}

// Proof is what a proof holds. 0 is none: then whatever is held is held, or as
// long as the person likes.
type Proof struct {
	Target si.Force `json:"target_n"` // on the specimen
	Hold   Seconds  `json:"hold_s"`
}

// Arming is what stood on the bench when the pull was armed: points that a
// person saw to, or did not, and what was overruled.
type Arming struct {
	Confirmed   []SetupPoint `json:"confirmed"`
	Unconfirmed []SetupPoint `json:"not_confirmed"`
	Overruled   []string     `json:"overruled"`        // refusals, in words
	Reason      string       `json:"reason,omitempty"` // why they were overruled
}

// SetupPoint is one point to see to before arming, as it read then.
type SetupPoint struct {
	ID   string `json:"id"`
	Text string `json:"text"`
}

// Config is what the engine of this pull is given, live and replayed.
func (h Head) Config() pull.Config {
	c := pull.Config{Kind: h.Kind, Rig: h.placed(), Area: h.Specimen.Area(), LastZero: h.LastZero, Yield: h.Specimen.Yield}
	if h.Proof != nil && h.Kind == pull.Proof {
		c.Target, c.Hold = h.Proof.Target, h.Proof.Hold.Duration()
	}
	return c
}

// placed is the rig with the bar where it stood.
func (h *Head) placed() *rig.Rig { return h.Rig.BarOn(h.Specimen.Side == specimen.Far) }

// UseRig puts another rig in the place of the record's own, with the bar where
// it stood.
func (h *Head) UseRig(r *rig.Rig) {
	h.Rig = r
	h.Rig = h.placed()
}

// ErrNewer marks a record of a format newer than Format; the error is a
// *NewerError.
var ErrNewer = errors.New("record of a newer format")

// ErrForeign marks a folder that is no pull record.
var ErrForeign = errors.New("not a pull record")

// errNoHead is ErrForeign of a folder without a head: it is fs.ErrNotExist too, which
// its words need not say again.
type errNoHead struct{}

func (errNoHead) Error() string { return ErrForeign.Error() }

// Is makes errors.Is true for both.
func (errNoHead) Is(target error) bool { return target == ErrForeign || target == fs.ErrNotExist }

// NewerError says which format was met. It matches ErrNewer.
type NewerError struct {
	Path   string
	Format int
}

func (e *NewerError) Error() string {
	return fmt.Sprintf("%q: made by a newer draghand (format %d), this one reads up to %d: update", e.Path, e.Format, Format)
}

// Is makes errors.Is(err, ErrNewer) true.
func (e *NewerError) Is(target error) bool { return target == ErrNewer }

// encodeHead writes the JSON of pull.json: indented, for people.
func encodeHead(h Head) ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(h); err != nil {
		return nil, fmt.Errorf("describe the pull: %w", err)
	}
	return b.Bytes(), nil
}

// decodeHead reads the JSON of pull.json. Fields it does not know are left
// alone; a newer format is a *NewerError, a JSON text without a format number
// is ErrForeign, what cannot be read or used a *HeadError.
func decodeHead(path string, text []byte) (Head, error) {
	var probe struct {
		Format *int `json:"format"`
	}
	if err := json.Unmarshal(text, &probe); err != nil {
		return Head{}, noJSON(path, text, err)
	}
	switch {
	case probe.Format == nil || *probe.Format < 1:
		return Head{}, noFormat(path)
	case *probe.Format > Format:
		return Head{}, &NewerError{Path: path, Format: *probe.Format}
	}
	var h Head
	if err := json.Unmarshal(text, &h); err != nil {
		return Head{}, notUnderstood(path, err)
	}
	if h.Rig == nil {
		return Head{}, &HeadError{Path: path, Fault: "has no rig: the forces cannot be reckoned"}
	}
	if c := h.Rig.Calibration; c != nil {
		// The figures are bound as in a calibration's own file: no force is reckoned by a
		// line that no reference can have shown.
		if err := c.ValidateFigures(); err != nil {
			return Head{}, &HeadError{Path: path, Fault: "holds a calibration that cannot be", Err: err}
		}
	}
	h.Rig = h.placed()
	return h, nil
}

// HeadOf reads the pull.json of the record in dir and no reading. Its errors are
// those of Open.
func HeadOf(dir string) (Head, error) { return readHead(dir) }

// readHead reads the pull.json of the record in dir.
func readHead(dir string) (Head, error) {
	path := filepath.Join(dir, HeadFile)
	if st, err := os.Stat(path); err == nil && !st.Mode().IsRegular() { // opening a pipe would wait for a writer
		return Head{}, notFile(path)
	}
	f, err := os.Open(path)
	if errors.Is(err, fs.ErrNotExist) {
		return Head{}, noHead(dir)
	}
	if err != nil {
		return Head{}, fmt.Errorf("read a pull record: %w", err)
	}
	defer f.Close()
	text, err := io.ReadAll(io.LimitReader(f, maxHead+1))
	if err != nil {
		return Head{}, fmt.Errorf("read a pull record: %w", err)
	}
	if len(text) > maxHead {
		return Head{}, tooLarge(path)
	}
	return decodeHead(path, text)
}
