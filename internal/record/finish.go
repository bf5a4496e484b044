package record

import (
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"draghand/internal/si"
)

// MaxFinished bounds how often a record can be finished: what was written down
// before stays in it.
const MaxFinished = 50

// ErrFinished marks measurements that cannot be taken as they are.
var ErrFinished = errors.New("measurements not taken")

// Finish writes down what was measured after the pull in dir, closed or cut off,
// in one step and under the record's lock: while a pull is recorded in it, it
// fails with ErrBusy. The earlier measurements stay, the newest counts. results is
// asked, once the lock is held, for the JSON that takes the place of the old
// results: of the record as it will be, with f last in Head.Finished. said are
// remarks that join the record in the same step. Where it fails, or where f cannot be of this bar and rig (ErrFinished, with every reason),
// nothing is written. Whatever else pull.json holds stays as it is, what a later
// program put there too. samples.csv is not touched.
func Finish(dir string, f Finished, said []Said, results func(*Record) (json.RawMessage, error)) error {
	return finish(OS{}, dir, f, said, results)
}

func finish(fsys FS, dir string, f Finished, said []Said, results func(*Record) (json.RawMessage, error)) (err error) {
	if _, err := readHead(dir); err != nil { // before the lock, which makes a file
		return err
	}
	unlock, err := Lock(dir)
	if err != nil {
		return fmt.Errorf("write down what was measured: %w", err)
	}
	defer func() { err = errors.Join(err, unlock()) }()
	path := filepath.Join(dir, HeadFile)
	text, err := os.ReadFile(path)
	if err != nil {
		return fmt.Errorf("write down what was measured: %w", err)
	}
	h, err := decodeHead(path, text)
	if err != nil {
		return err
	}
	if f.At.IsZero() {
		f.At = time.Now()
	}
	f.At = f.At.UTC().Round(0)
	if err := f.Fits(&h); err != nil {
		return err
	}
	earlier, err := finishedAsWritten(text)
	if err != nil {
		return fmt.Errorf("write down what was measured: %w", err)
	}
	if len(earlier) >= MaxFinished {
		return fmt.Errorf("%w: the record holds %d already", ErrFinished, len(earlier))
	}
	if len(h.Said)+len(said) > MaxSaidEach {
		return tooManySaid(len(h.Said), "")
	}
	h.Finished, h.Said = append(h.Finished, f), append(h.Said, said...)
	out, err := results(&Record{Dir: dir, Head: h})
	if err != nil {
		return err
	}
	if !json.Valid(out) {
		return errors.New("write down what was measured: the results are no JSON")
	}
	all, err := plainJSON(f)
	if err == nil {
		all, err = plainJSON(append(earlier, all))
	}
	if err == nil && len(said) > 0 {
		text, err = withSaid(text, h.Said)
	}
	if err == nil {
		text, err = withField(text, "finished", all, "results", "closing")
	}
	if err == nil {
		text, err = withField(text, "results", out, "closing")
	}
	if err == nil {
		err = replace(fsys, path, text)
	}
	if err != nil {
		return fmt.Errorf("write down what was measured: %w", err)
	}
	return nil
}

// Fits refuses what cannot have been measured after this pull, every reason at
// once, in the units of its rig. The error matches ErrFinished.
func (f Finished) Fits(h *Head) error {
	sys := si.Metric
	if h.Rig != nil {
		sys = h.Rig.Units
	}
	err := f.Against(h.Specimen, sys)
	if d := f.Dial; d != nil {
		err = errors.Join(err, d.beside(h))
	}
	if err != nil {
		return fmt.Errorf("%w: %w", ErrFinished, err)
	}
	return nil
}

// beside refuses a dial that cannot have stood beside the transducer.
func (d Dial) beside(h *Head) error {
	switch {
	case h.Dial != nil:
		return errors.New("this pull has no trace, its peak was read off a dial: there is nothing to hold a dial against")
	case d.Outcome != "":
		return errors.New("a dial beside the transducer tells no outcome: the trace does")
	case (d.Pressure == nil) == (d.Force == nil):
		return errors.New("a dial tells a pressure or a force: one of the two")
	}
	return d.Fits(h.Rig)
}

// finishedAsWritten are the earlier measurements, each with its very text: a later
// program may have put more into them than this one knows.
func finishedAsWritten(text []byte) ([]json.RawMessage, error) {
	var in struct {
		Finished []json.RawMessage `json:"finished"`
	}
	err := json.Unmarshal(text, &in)
	return in.Finished, err
}
