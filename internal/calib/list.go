package calib

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"draghand/internal/rig"
)

// Entry is one file of a shelf's folder of calibrations. Where Reason is not empty
// it cannot be used, and only Path means anything.
type Entry struct {
	Path   string
	Reason string
	File   *File
}

// List reads the calibrations of a shelf, the newest first; what cannot be read
// comes last, with its reason. A shelf without any is no error.
func List(shelf string) ([]Entry, error) {
	dir := filepath.Join(shelf, Folder)
	found, err := os.ReadDir(dir)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, fmt.Errorf("list the calibrations: %w", err)
	}
	out := []Entry{}
	for _, e := range found {
		if strings.HasPrefix(e.Name(), ".") || unsaved(e.Name()) {
			continue // one that was being written; a table of points that were never saved
		}
		one := Entry{Path: filepath.Join(dir, e.Name())}
		switch {
		case e.IsDir() || filepath.Ext(e.Name()) != ending:
			one.Reason = ErrForeign.Error()
		default:
			f, err := ReadFile(one.Path)
			if err != nil {
				one.Reason = reason(err)
				break
			}
			if id := strings.TrimSuffix(e.Name(), ending); id != f.Calibration.ID {
				one.Reason = fmt.Sprintf("it was renamed: inside it is %s", f.Calibration.ID)
				break
			}
			one.File = f
		}
		out = append(out, one)
	}
	slices.SortStableFunc(out, func(a, b Entry) int {
		switch {
		case a.File == nil && b.File == nil:
			return strings.Compare(a.Path, b.Path)
		case a.File == nil:
			return 1
		case b.File == nil:
			return -1
		}
		if c := b.File.Calibration.Made.Compare(a.File.Calibration.Made); c != 0 {
			return c
		}
		return later(b.Path, a.Path)
	})
	return out, nil
}

// later compares the names of one moment's calibrations: -10 came after -9.
func later(a, b string) int {
	if d := len(a) - len(b); d != 0 {
		return d
	}
	return strings.Compare(a, b)
}

// reason is an error without the path in front of it.
func reason(err error) string {
	if inner := errors.Unwrap(err); inner != nil {
		return inner.Error()
	}
	return err.Error()
}

// A Watcher is InForce for one who asks again and again: the files are read anew only
// where the folder says that something in it changed. It may be asked from any
// goroutine.
type Watcher struct {
	Shelf string

	mu      sync.Mutex
	changed time.Time
	read    bool
	all     []Entry
}

// InForce is InForce of the shelf.
func (w *Watcher) InForce(r *rig.Rig, far, simulated bool, now time.Time) (*rig.Calibration, error) {
	w.mu.Lock()
	defer w.mu.Unlock()
	var changed time.Time
	if s, err := os.Stat(filepath.Join(w.Shelf, Folder)); err == nil {
		changed = s.ModTime()
	}
	// A folder's time is coarse on some disks: what changed just now may change again
	// within it.
	if !w.read || !changed.Equal(w.changed) || time.Since(changed) < settled {
		all, err := List(w.Shelf)
		if err != nil {
			return nil, err
		}
		w.all, w.changed, w.read = all, changed, true
	}
	return withPassed(w.all, r, far, inForce(w.all, r, far, simulated, now)), nil
}

const settled = 3 * time.Second

// Kind says why a calibration made on one kind of source is not for the other; nil
// where it is.
func Kind(c *rig.Calibration, simulated bool) error {
	switch {
	case c.Simulated == simulated:
		return nil
	case c.Simulated:
		return &rig.MisfitError{What: fmt.Sprintf("the calibration %s was made on a simulated source: it says nothing of a true rig", c.ID), Do: "take points on the rig, or write --calibration none"}
	}
	return &rig.MisfitError{What: fmt.Sprintf("the calibration %s is of a true rig: it says nothing of the simulated one", c.ID), Do: "write --calibration none"}
}
