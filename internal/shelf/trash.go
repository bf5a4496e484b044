package shelf

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"draghand/internal/record"
)

// TrashFolder is where the records go that were taken off a shelf: a hidden folder in
// it. Nothing in it is ever deleted by the program.
const TrashFolder = ".trash"

// Trashed is what one call of Trash moved, so that it can be taken back.
type Trashed struct {
	Moved []Moved
}

// Moved is one record in the trash.
type Moved struct {
	From, To string // its folder before and now
}

// Name is the folder's name in the trash; it differs from that on the shelf where the
// trash had one of it.
func (m Moved) Name() string { return filepath.Base(m.To) }

// What keeps a record from being moved. A person needs to do other things about each.
var (
	ErrNotOnShelf = errors.New("no record of this shelf")
	ErrTaken      = errors.New("the place is taken")
	ErrGone       = errors.New("it is no longer in the trash")
	ErrNoTrash    = errors.New("it is no folder of this shelf, and is not used as its trash")
)

// Trash moves records, named by their folders or by their names, from the shelf in dir
// into its trash by renaming: each is in one place or the other, whatever happens, and
// no file of it is touched. Where the trash has the name already, ~2 goes behind it,
// then ~3. A record that is a link to elsewhere is moved as the link.
//
// A record that is being written (record.ErrBusy), what is no folder on this very
// shelf, and the folder of calibrations (ErrNotOnShelf) are left, each told by the
// error; the others are moved and stand in Trashed all the same.
func Trash(dir string, names []string) (Trashed, error) {
	return trash(record.OS{}, dir, names)
}

// mover is what the trash needs of a file system.
type mover interface {
	Mkdir(path string) error
	Rename(from, to string) error
	SyncDir(path string) error
}

func trash(fsys mover, dir string, names []string) (done Trashed, err error) {
	var errs []error
	bin := filepath.Join(dir, TrashFolder)
	for _, name := range names {
		name = filepath.Clean(name)
		m, err := trashOne(fsys, dir, bin, name)
		if err != nil {
			if sameFile(filepath.Dir(name), dir) {
				name = filepath.Base(name)
			}
			errs = append(errs, fmt.Errorf("move %q to the trash: %w", name, err))
			continue
		}
		done.Moved = append(done.Moved, m)
	}
	if len(done.Moved) > 0 {
		errs = append(errs, fsys.SyncDir(bin), fsys.SyncDir(dir))
	}
	return done, errors.Join(errs...)
}

func trashOne(fsys mover, dir, bin, name string) (Moved, error) {
	from, err := onShelf(dir, name)
	if err != nil {
		return Moved{}, err
	}
	// No pull begins in a record that is there, so nothing comes between this and the
	// renaming but a remark, which then finds no folder and says so.
	if record.Busy(from) {
		return Moved{}, record.ErrBusy
	}
	if err := ownTrash(bin); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return Moved{}, err
	}
	if err := fsys.Mkdir(bin); err != nil && !errors.Is(err, fs.ErrExist) {
		return Moved{}, err
	}
	to, err := place(bin, filepath.Base(from))
	if err != nil {
		return Moved{}, err
	}
	return Moved{From: from, To: to}, fsys.Rename(from, to)
}

// onShelf is the folder of a name, if it is a record's place on the shelf in dir.
func onShelf(dir, name string) (string, error) {
	base := filepath.Base(name)
	switch {
	case name != base && !sameFile(filepath.Dir(name), dir):
		return "", fmt.Errorf("%w, which is %q", ErrNotOnShelf, dir)
	case strings.HasPrefix(base, ".") || base == string(filepath.Separator):
		return "", ErrNotOnShelf
	}
	p := filepath.Join(dir, base)
	st, err := os.Lstat(p)
	switch {
	case sameFile(p, filepath.Join(dir, calibrations)): // in whatever letters
		return "", fmt.Errorf("%w: it holds the calibrations, by which forces are reckoned", ErrNotOnShelf)
	case errors.Is(err, fs.ErrNotExist):
		return "", fmt.Errorf("%w: it is not there", ErrNotOnShelf)
	case err != nil:
		return "", err
	case !st.IsDir() && st.Mode()&fs.ModeSymlink == 0:
		return "", fmt.Errorf("%w: it is no folder", ErrNotOnShelf)
	}
	return p, nil
}

// ownTrash refuses a trash that is a link, which may lead to a folder of others', or no
// folder at all.
func ownTrash(bin string) error {
	st, err := os.Lstat(bin)
	if err == nil && !st.IsDir() {
		return fmt.Errorf("%q: %w", bin, ErrNoTrash)
	}
	return err
}

// sameFile says that two paths are one folder, however they are written.
func sameFile(a, b string) bool {
	x, err := os.Stat(a)
	if err != nil {
		return false
	}
	y, err := os.Stat(b)
	return err == nil && os.SameFile(x, y)
}

// mostAlike bounds how many of one name the trash takes.
const mostAlike = 10_000

// place is a free place of a name in the trash. A name that ends as if it had been
// given a number has one more behind it, so that it comes back as it was.
func place(bin, name string) (string, error) {
	for n := 1; n <= mostAlike; n++ {
		p := filepath.Join(bin, name)
		if n > 1 || numbered(name) != name {
			p += "~" + strconv.Itoa(n)
		}
		if _, err := os.Lstat(p); errors.Is(err, fs.ErrNotExist) {
			return p, nil
		} else if err != nil {
			return "", err
		}
	}
	return "", fmt.Errorf("%w: the trash has %d of this name", ErrTaken, mostAlike)
}

// numbered is a name in the trash without the number that place put behind it.
func numbered(name string) string {
	stem, n, ok := cutLast(name, "~")
	if ok && stem != "" && n != "" && strings.Trim(n, "0123456789") == "" {
		return stem
	}
	return name
}

func cutLast(s, sep string) (before, after string, ok bool) {
	i := strings.LastIndex(s, sep)
	if i < 0 {
		return s, "", false
	}
	return s[:i], s[i+len(sep):], true
}

// Untrash moves records back to where they were. One whose place is taken meanwhile
// (ErrTaken) stays in the trash, and so does one that cannot be moved: those are left,
// to be given to Untrash again. One that is not in the trash any more (ErrGone) is
// skipped. The error tells of each, and the others are moved all the same.
func Untrash(t Trashed) (left Trashed, err error) { return untrash(record.OS{}, t) }

func untrash(fsys mover, t Trashed) (left Trashed, err error) {
	var errs []error
	touched := map[string]bool{}
	for _, m := range t.Moved {
		err := untrashOne(fsys, m)
		if err != nil {
			errs = append(errs, fmt.Errorf("move %q back to the shelf: %w", m.Name(), err))
			if !errors.Is(err, ErrGone) {
				left.Moved = append(left.Moved, m)
			}
			continue
		}
		touched[filepath.Dir(m.From)], touched[filepath.Dir(m.To)] = true, true
	}
	for _, dir := range slices.Sorted(maps.Keys(touched)) {
		errs = append(errs, fsys.SyncDir(dir))
	}
	return left, errors.Join(errs...)
}

func untrashOne(fsys mover, m Moved) error {
	bin := filepath.Dir(m.To)
	if filepath.Base(bin) != TrashFolder {
		return errors.New("it is in no trash")
	}
	if err := ownTrash(bin); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if _, err := os.Lstat(m.To); errors.Is(err, fs.ErrNotExist) {
		return ErrGone
	}
	switch _, err := os.Lstat(m.From); {
	case err == nil:
		return fmt.Errorf("%w: %q is on the shelf", ErrTaken, filepath.Base(m.From))
	case !errors.Is(err, fs.ErrNotExist):
		return err
	}
	return fsys.Rename(m.To, m.From)
}

// TrashList is what is in the trash of the shelf in dir, the newest record first, as
// Untrash takes it.
func TrashList(dir string) ([]Moved, error) {
	bin := filepath.Join(dir, TrashFolder)
	if err := ownTrash(bin); errors.Is(err, ErrNoTrash) {
		return nil, fmt.Errorf("read the trash: %w", err)
	}
	all, err := os.ReadDir(bin)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("read the trash: %w", err)
	}
	out := make([]Moved, 0, len(all))
	for _, e := range slices.Backward(all) {
		if e.IsDir() || e.Type()&fs.ModeSymlink != 0 { // a link may lead nowhere from in there
			n := e.Name()
			out = append(out, Moved{From: filepath.Join(dir, numbered(n)), To: filepath.Join(bin, n)})
		}
	}
	return out, nil
}
