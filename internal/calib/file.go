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
	Dropped     []int           `json:"dropped,omitempty"` // indices of the run's points
}

// ErrForeign marks a file that is no calibration.
var ErrForeign = errors.New("not a calibration file")

// Decode reads a calibration file, strictly: one JSON object, every number one that
// can be, the points within limits.
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
// answer becomes the one it has. A file is whole or not there.
func Save(shelf, program string, run Run, o Options, a *Answer) (path string, err error) {
	dir := filepath.Join(shelf, Folder)
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return "", fmt.Errorf("save a calibration: %w", err)
	}
	id := a.Calibration.ID
	for n := 1; n <= maxNamed; n++ {
		if n > 1 {
			a.Calibration.ID = fmt.Sprintf("%s-%d", id, n)
		}
		path = filepath.Join(dir, a.Calibration.ID+ending)
		if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
			f := File{Format: Format, Program: program, Calibration: a.Calibration, Run: run, Dropped: o.Drop}
			text, err := f.Encode()
			if err != nil {
				return "", err
			}
			if _, err := Decode(text); err != nil { // what cannot be read again is not kept
				return "", fmt.Errorf("save a calibration: %w", err)
			}
			if err := replace(path, text); err != nil {
				return "", fmt.Errorf("save a calibration: %w", err)
			}
			return path, nil
		} else if err != nil {
			return "", fmt.Errorf("save a calibration: %w", err)
		}
	}
	a.Calibration.ID = id
	return "", fmt.Errorf("save a calibration: %q has %d of that name", dir, maxNamed)
}

// replace puts a text at a path: written beside it, on the disk, and then renamed.
func replace(path string, text []byte) (err error) {
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
	if err = os.Rename(out.Name(), path); err != nil {
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
