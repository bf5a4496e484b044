package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"

	"draghand/internal/calib"
	"draghand/internal/record"
)

// putInPlace writes a file beside the place it is to have and puts it there once it
// is whole: a half-written one would be taken for a whole one, and would take the
// place of a good one. What is intact of a damaged record is as whole as it gets. A
// link stays, and what it leads to is written; what is no regular file, a pipe say, is
// written straight into. No place in a record is taken.
func putInPlace(file string, write func(io.Writer) error) error {
	elsewhere := func(err error) error { return failf(exitSave, "choose another place with -o", "%w", err) }
	place, straight, err := placeOf(file)
	if err != nil {
		return elsewhere(err)
	}
	if err := notInRecord(place); err != nil {
		return err
	}
	if straight {
		f, err := os.OpenFile(place, os.O_WRONLY, 0)
		if err != nil {
			return elsewhere(err)
		}
		told := into(f, place, write)
		if err := f.Close(); err != nil && told == nil {
			return elsewhere(err)
		}
		return told
	}
	f, err := besideOf(place)
	if err != nil {
		return elsewhere(err)
	}
	told := into(f, place, write)
	var damage *record.DamageError
	if err := errors.Join(f.Sync(), f.Close()); err != nil && (told == nil || errors.As(told, &damage)) {
		os.Remove(f.Name())
		return elsewhere(err)
	}
	if told != nil && !errors.As(told, &damage) {
		os.Remove(f.Name())
		return told
	}
	if err := os.Rename(f.Name(), place); err != nil {
		os.Remove(f.Name())
		return elsewhere(err)
	}
	return told
}

// into has the answer written into a file. What could not be written is a failure,
// whether write looked at it or not.
func into(f io.Writer, place string, write func(io.Writer) error) error {
	o := &output{Writer: f}
	told := write(o)
	if o.err == nil {
		return told
	}
	err := o.err
	if p, ok := errors.AsType[*fs.PathError](err); ok {
		err = p.Err // its path may be that of the file beside, which nobody named
	}
	return failf(exitSave, "see that there is room and leave to write", "write %q: %w", place, err)
}

// mostLinks bounds how many links are followed, one to the next.
const mostLinks = 40

// placeOf is where a file is put: where links lead, though nothing may be there yet.
// straight says that it is no regular file and is written into as it is.
func placeOf(file string) (place string, straight bool, err error) {
	there, err := os.Stat(file)
	switch {
	case err == nil && there.IsDir():
		return "", false, fmt.Errorf("%q is a folder", file)
	case err == nil && !there.Mode().IsRegular():
		return file, true, nil
	case err != nil && !errors.Is(err, fs.ErrNotExist):
		return "", false, err
	}
	place = file
	for range mostLinks {
		to, err := os.Readlink(place)
		if err != nil { // no link
			if now, err := os.Stat(place); there != nil && (err != nil || !os.SameFile(now, there)) {
				return file, true, nil // a link of the system's that names no path
			}
			return place, false, nil
		}
		if !filepath.IsAbs(to) {
			to = filepath.Join(filepath.Dir(place), to)
		}
		place = to
	}
	return "", false, fmt.Errorf("%q: too many links", file)
}

// notInRecord refuses a place in a record, whose files hold what was measured, and that
// of a calibration.
func notInRecord(place string) error {
	dir := filepath.Dir(place)
	_, err := record.HeadOf(dir)
	if record.HasSamples(dir) || !errors.Is(err, record.ErrForeign) && !errors.Is(err, fs.ErrNotExist) {
		return failf(exitUsage, "choose another place; nothing has been written", "%q is in a pull record, whose files hold what was measured", place)
	}
	if _, err := os.Lstat(place); err == nil && filepath.Base(dir) == calib.Folder {
		return failf(exitUsage, "choose another place; nothing has been written", "%q is among the calibrations, by which forces are reckoned", place)
	}
	return nil
}

// besideOf makes a new file beside a place, with its rights where something stands
// there, else with those of any new file.
func besideOf(place string) (f *os.File, err error) {
	for range 1000 {
		name := place + "." + strconv.FormatUint(uint64(rand.Uint32()), 36) + ".part"
		if f, err = os.OpenFile(name, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666); !errors.Is(err, fs.ErrExist) {
			break
		}
	}
	if err != nil {
		if p, ok := errors.AsType[*fs.PathError](err); ok {
			err = p.Err // its path is that of the file beside, which nobody named
		}
		return nil, fmt.Errorf("write %q: %w", place, err)
	}
	if st, err := os.Stat(place); err == nil {
		_ = f.Chmod(st.Mode().Perm()) // what cannot have rights does without
	}
	return f, nil
}
