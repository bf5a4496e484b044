package calib

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"time"

	"draghand/internal/rig"
)

// Format is the format number of a calibration file that this package writes, and
// the newest it reads. Fields that are only added leave it.
const Format = 1

// What a calibration file can be.
const (
	maxFile   = 8 << 20 // bytes: ten thousand points have two million
	maxPoints = 10_000
	ending    = ".json"
	maxNamed  = 1000 // calibrations of one day, rig and place
)

// File is a calibration as it is kept: what pulls are reckoned by, and the points it
// came from.
type File struct {
	Format      int             `json:"format"`
	Program     string          `json:"program"` // name and version of the program that wrote it
	Calibration rig.Calibration `json:"calibration"`
	Run         Run             `json:"run"`
	Dropped     []int           `json:"dropped,omitempty"`  // indices of the run's points
	Replaces    string          `json:"replaces,omitempty"` // ID of the one whose place it took
	Withdrawn   *Withdrawal     `json:"withdrawn,omitempty"`
	Sum         string          `json:"sum,omitempty"` // of all that pulls are reckoned by; empty: not stated
}

// ErrForeign marks a file that is no calibration.
var ErrForeign = errors.New("not a calibration file")

// Decode reads a calibration file, strictly: one JSON object, every number one that
// can be, the points within limits, the line that of its own points.
func Decode(text []byte) (*File, error) {
	if len(text) > maxFile {
		return nil, fmt.Errorf("larger than %d bytes: %w", maxFile, ErrForeign)
	}
	var f File
	d := json.NewDecoder(bytes.NewReader(text))
	if err := d.Decode(&f); err != nil {
		return nil, fmt.Errorf("no readable JSON: %w", err)
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return nil, errors.New("something stands behind its end")
	}
	switch {
	case f.Format < 1:
		return nil, fmt.Errorf("it has no format number: %w", ErrForeign)
	case f.Format > Format:
		return nil, fmt.Errorf("made by a newer draghand (format %d), this one reads %d: update", f.Format, Format)
	}
	if err := f.Calibration.Validate(); err != nil {
		return nil, err
	}
	if n := len(f.Run.Points); n > maxPoints {
		return nil, fmt.Errorf("%d points are more than %d", n, maxPoints)
	}
	if f.Run.Rig != nil {
		if err := f.Run.Rig.Validate(); err != nil {
			return nil, fmt.Errorf("its rig: %w", err)
		}
	}
	if err := f.holds(); err != nil {
		return nil, err
	}
	return &f, nil
}

// Encode writes a calibration file.
func (f *File) Encode() ([]byte, error) {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(f); err != nil {
		return nil, fmt.Errorf("describe the calibration: %w", err)
	}
	return b.Bytes(), nil
}

// ReadFile reads a calibration file by its path. Its name says its ID.
func ReadFile(path string) (*File, error) {
	st, err := os.Stat(path)
	switch {
	case err != nil:
		return nil, fmt.Errorf("read a calibration: %w", err)
	case !st.Mode().IsRegular(): // opening a pipe would wait for a writer
		return nil, fmt.Errorf("%q is no file that can be read: %w", path, ErrForeign)
	}
	in, err := os.Open(path)
	if err != nil {
		return nil, fmt.Errorf("read a calibration: %w", err)
	}
	defer in.Close()
	text, err := io.ReadAll(io.LimitReader(in, maxFile+1))
	if err != nil {
		return nil, fmt.Errorf("read a calibration: %w", err)
	}
	f, err := Decode(text)
	if err != nil {
		return nil, fmt.Errorf("%q: %w", path, err)
	}
	return f, nil
}

// Save keeps a run's answer in the folder of calibrations of a shelf, under its ID
// or the first of ID-2, ID-3 … that is free, and gives its path. The ID of the
// answer becomes the one it has. A file is whole or not there, and none is written
// over, whoever else saves at the same time. The one it replaces, if any, is
// withdrawn.
func Save(shelf, program string, run Run, o Options, a *Answer) (path string, err error) {
	dir := filepath.Join(shelf, Folder)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return "", fmt.Errorf("save a calibration: %w", err)
	}
	if o.Replaces != "" {
		if _, _, err := standing(shelf, o.Replaces); err != nil {
			return "", err
		}
	}
	id := a.Calibration.ID
	for n := 1; n <= maxNamed; n++ {
		if n > 1 {
			a.Calibration.ID = fmt.Sprintf("%s-%d", id, n)
		}
		path = filepath.Join(dir, a.Calibration.ID+ending)
		if _, err := os.Lstat(path); err == nil {
			continue
		}
		f := File{Format: Format, Program: program, Calibration: a.Calibration, Run: run, Dropped: o.Drop, Replaces: o.Replaces}
		text, err := f.sealed()
		if err != nil {
			return "", fmt.Errorf("save a calibration: %w", err)
		}
		if err = create(path, text); errors.Is(err, fs.ErrExist) {
			continue // another was quicker
		}
		if err != nil {
			return "", fmt.Errorf("save a calibration: %w", err)
		}
		if o.Replaces != "" {
			if _, err := Withdraw(shelf, o.Replaces, "points or reference corrected", a.Calibration.ID, time.Now()); err != nil {
				return path, fmt.Errorf("saved as %s, but the one it replaces still stands: %w", a.Calibration.ID, err)
			}
		}
		return path, nil
	}
	a.Calibration.ID = id
	return "", fmt.Errorf("save a calibration: %q has %d of that name", dir, maxNamed)
}

// sealed is a file's text with its sum. What cannot be read again is not kept.
func (f *File) sealed() ([]byte, error) {
	text, err := f.Encode()
	if err != nil {
		return nil, err
	}
	read, err := Decode(text) // the sum is of what will be read
	if err != nil {
		return nil, err
	}
	read.Sum = read.sum()
	return read.Encode()
}

// create puts a text at a path where nothing is: whole, or not at all. The error is
// fs.ErrExist where something is there by now.
func create(path string, text []byte) error {
	return put(path, text, func(whole string) error {
		err := os.Link(whole, path)
		if err == nil || errors.Is(err, fs.ErrExist) {
			_ = os.Remove(whole) // best effort: a name too many, hidden
			return err
		}
		// A disk without links: the name is taken first, then filled.
		held, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o644)
		if err != nil {
			return err
		}
		if err := held.Close(); err != nil {
			return err
		}
		return os.Rename(whole, path)
	})
}

// replace puts a text at a path, in the place of what is there.
func replace(path string, text []byte) error {
	return put(path, text, func(whole string) error { return os.Rename(whole, path) })
}

// put writes a text beside its path, onto the disk, and then lets it be moved there.
func put(path string, text []byte, move func(whole string) error) (err error) {
	out, err := os.CreateTemp(filepath.Dir(path), ".new-*")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			_ = os.Remove(out.Name()) // best effort: the first error tells
		}
	}()
	_, err = out.Write(text)
	if err == nil {
		err = out.Chmod(0o644)
	}
	if err == nil {
		err = out.Sync()
	}
	if err = errors.Join(err, out.Close()); err != nil {
		return err
	}
	if err = move(out.Name()); err != nil {
		return err
	}
	return syncFolder(filepath.Dir(path))
}

// syncFolder makes a rename last. Windows knows no such thing for a folder.
func syncFolder(dir string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := os.Open(dir)
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}

// Find reads a calibration by the path of its file, or by its ID from a shelf.
func Find(shelf, name string) (*File, error) {
	if !strings.ContainsAny(name, `/\`) && !strings.HasPrefix(name, ".") {
		path := filepath.Join(shelf, Folder, strings.TrimSuffix(name, ending)+ending)
		if _, err := os.Stat(path); err == nil {
			return ReadFile(path)
		}
	}
	return ReadFile(name)
}
