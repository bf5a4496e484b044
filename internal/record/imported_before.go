package record

import (
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
)

// ImportedAs is the record that holds an import of a file. The zero value: there is
// none.
type ImportedAs struct {
	Name string
	// Cut says that the import was cut off: the record holds a part of the file, though
	// it may have been closed by Recover since.
	Cut bool
	// Writing says that it is being made now.
	Writing bool
}

// Whole says that the record holds all that was understood of the file.
func (a ImportedAs) Whole() bool { return a.Name != "" && !a.Cut && !a.Writing }

// importedAs is what a record is of its import.
func importedAs(dir string, h *Head) ImportedAs {
	a := ImportedAs{Name: filepath.Base(dir)}
	if h.Closing == nil {
		a.Writing = writing(dir)
		// The head was read before the lock was asked: it may have been closed since.
		if later, err := readHead(dir); err == nil && later.Closing != nil {
			h, a.Writing = &later, false
		}
		if a.Writing {
			return a
		}
	}
	c, in := h.Closing, h.Imported
	// A row that is no reading is among the bad lines.
	a.Cut = c == nil || c.Samples < in.Rows && c.Samples+c.BadLines < in.Rows+in.BadRows
	return a
}

// better says whether a record serves better than another that was found before, which
// is not newer: one of the whole file before one that is being made, before a part.
func (a ImportedAs) better(than ImportedAs) bool {
	worth := func(a ImportedAs) int {
		switch {
		case a.Name == "":
			return 0
		case a.Cut:
			return 1
		case a.Writing:
			return 2
		}
		return 3
	}
	return worth(a) > worth(than)
}

// importSearch is how many of the newest records are looked through for an
// import of the same file.
const importSearch = 2000

// ImportOf is the newest record on the shelf that holds an import of a file with this
// SHA-256, one of the whole file before one that was cut off; the zero value where
// there is none among the newest 2000.
func ImportOf(shelf, sha string) (found ImportedAs) {
	d, err := os.Open(shelf)
	if err != nil {
		return found
	}
	defer d.Close()
	names, err := d.Readdirnames(-1)
	if err != nil && err != io.EOF {
		return found
	}
	names = slices.DeleteFunc(names, func(n string) bool { return !stamped(n) })
	slices.SortFunc(names, func(a, b string) int { return strings.Compare(b, a) }) // newest first
	for _, n := range names[:min(len(names), importSearch)] {
		dir := filepath.Join(shelf, n)
		h, err := readHead(dir)
		if err != nil || h.Imported == nil || h.Imported.SHA256 != sha {
			continue
		}
		if a := importedAs(dir, &h); a.better(found) {
			found = a
		}
		if found.Whole() {
			return found
		}
	}
	return found
}

// Imports are all records on the shelf that hold an import, by the SHA-256 of its file:
// of each file what ImportOf would find. What cannot be read is passed over.
func Imports(shelf string) map[string]ImportedAs {
	out := map[string]ImportedAs{}
	all, err := os.ReadDir(shelf)
	if err != nil {
		return out
	}
	for _, e := range slices.Backward(all) { // by name: the newest first
		if !stamped(e.Name()) {
			continue
		}
		dir := filepath.Join(shelf, e.Name())
		h, err := readHead(dir)
		if err != nil || h.Imported == nil {
			continue
		}
		if a := importedAs(dir, &h); a.better(out[h.Imported.SHA256]) {
			out[h.Imported.SHA256] = a
		}
	}
	return out
}
