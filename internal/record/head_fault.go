package record

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path/filepath"
)

// HeadError says that the pull.json of a record is not as it was written, or is lost
// while the readings are there: then it matches fs.ErrNotExist and ErrForeign. One
// without a format number matches ErrForeign.
type HeadError struct {
	Path  string // of the file
	Fault string // what is wrong in plain words, to stand behind a name of the file
	Err   error  // what its reader met; nil: Fault says all
	Empty bool   // no reading stands beside it: it was only begun, or read from a dial
}

func (e *HeadError) Error() string {
	switch {
	case e.Err == nil:
		return fmt.Sprintf("%q %s", e.Path, e.Fault)
	case e.Empty:
		return fmt.Sprintf("%q: %s", filepath.Dir(e.Path), e.Plain())
	case errors.Is(e.Err, fs.ErrNotExist):
		return fmt.Sprintf("%q holds no %s, which is lost", filepath.Dir(e.Path), HeadFile)
	}
	return fmt.Sprintf("%q %s (%v)", e.Path, e.Fault, e.Err)
}

// Plain is what is wrong without the path and without what the reader met.
func (e *HeadError) Plain() string { return HeadFile + " " + e.Fault }

func (e *HeadError) Unwrap() error { return e.Err }

// Next is what to do about it.
func (e *HeadError) Next() string {
	if e.Empty {
		return HeadBack + " if there is one; else draghand trash takes it away"
	}
	return HeadBack
}

// HeadBack is what to do about a pull.json that is lost or no longer as it was written:
// nothing else in a record tells of its bar and its rig, and none is guessed.
const HeadBack = "put it back from a copy"

// noHead is the error of a folder without a pull.json.
func noHead(dir string) error {
	switch {
	case noReadings(dir): // pull.json is the last that is written when a record is begun; of a dial it is all there is
		return &HeadError{
			Path: filepath.Join(dir, HeadFile), Err: errNoHead{}, Empty: true,
			Fault: "is missing and there is no reading: a program is just beginning it, or ended so, or it was read from a dial",
		}
	case startsAsSamples(dir):
		return &HeadError{Path: filepath.Join(dir, HeadFile), Fault: "is missing", Err: errNoHead{}}
	}
	return fmt.Errorf("%q holds no %s: %w", dir, HeadFile, errNoHead{})
}

// noFormat is the error of a pull.json that is not of ours: beside readings one of ours is
// lost.
func noFormat(path string) error {
	if startsAsSamples(filepath.Dir(path)) {
		return &HeadError{Path: path, Fault: "has no format number", Err: ErrForeign}
	}
	return fmt.Errorf("%q has no format number: %w", path, ErrForeign)
}

// tooLarge is the error of a pull.json larger than any is.
func tooLarge(path string) error {
	return notOne(path, fmt.Sprintf("is larger than %d bytes", maxHead))
}

// notFile is the error of what has the name of a pull.json and is no file.
func notFile(path string) error { return notOne(path, "is no file") }

// notOne is the error of what cannot be a pull.json: beside readings the one of ours is
// lost, elsewhere it is of others.
func notOne(path, fault string) error {
	if startsAsSamples(filepath.Dir(path)) {
		return &HeadError{Path: path, Fault: fault}
	}
	return fmt.Errorf("%q %s: %w", path, fault, ErrForeign)
}

// noJSON is the error of a pull.json that is no JSON, as encoding/json has it.
func noJSON(path string, text []byte, err error) error {
	e := &HeadError{Path: path, Err: fmt.Errorf("no readable JSON: %w", err)}
	var at *json.SyntaxError
	switch first := json.NewDecoder(bytes.NewReader(text)).Decode(new(json.RawMessage)); {
	case first == io.EOF:
		e.Fault = "is empty"
	case len(bytes.Trim(text, "\x00")) == 0: // as a power cut leaves what was not on the disk yet
		e.Fault = "is empty, with zeros in place of its text"
	case errors.Is(first, io.ErrUnexpectedEOF):
		e.Fault = "is torn, its end is missing"
	case errors.As(err, &at):
		e.Fault = fmt.Sprintf("is altered, its text makes no sense from byte %d on", at.Offset)
	default:
		return notUnderstood(path, err)
	}
	return e
}

// notUnderstood is the error of a pull.json with an entry that is none of ours.
func notUnderstood(path string, err error) error {
	return &HeadError{Path: path, Fault: "is altered, an entry of it cannot be understood", Err: err}
}
