package shelf

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"draghand/internal/record"
)

// back takes all of it back.
func back(t *testing.T, all Trashed) {
	t.Helper()
	left, err := Untrash(all)
	must(t, err)
	if len(left.Moved) != 0 {
		t.Errorf("left: %+v", left)
	}
}

func names(t *testing.T, dir string) []string {
	t.Helper()
	var out []string
	for _, e := range list(t, dir) {
		out = append(out, e.Name)
	}
	slices.Sort(out)
	return out
}

// Records go into the trash and back as they were; the names may be paths.
func TestTrash(t *testing.T) {
	dir := t.TempDir()
	a, b := keep(t, dir, head(t, 1), nil), keep(t, dir, head(t, 2), nil)
	before := names(t, dir)
	was := record.Check(a)
	done, err := Trash(dir, []string{a + string(filepath.Separator), filepath.Base(b)})
	must(t, err)
	if len(done.Moved) != 2 || len(names(t, dir)) != 0 {
		t.Fatalf("%+v, left %q", done, names(t, dir))
	}
	all, err := TrashList(dir)
	must(t, err)
	if len(all) != 2 || all[0] != done.Moved[0] || all[1] != done.Moved[1] { // the newest first
		t.Errorf("in the trash: %+v\nmoved: %+v", all, done.Moved)
	}
	if r := record.Check(all[0].To); r.Status != record.Whole || r.Bytes != was.Bytes {
		t.Errorf("in the trash: %s", r.Text())
	}
	back(t, Trashed{all})
	if got := names(t, dir); !slices.Equal(got, before) {
		t.Errorf("%q, was %q", got, before)
	}
	if all, err := TrashList(dir); err != nil || len(all) != 0 {
		t.Errorf("left in the trash: %+v, %v", all, err)
	}
	if all, err := TrashList(filepath.Join(dir, "nowhere")); err != nil || len(all) != 0 {
		t.Errorf("no shelf: %+v, %v", all, err)
	}
}

// Names that the trash has already get a number, and come back under their own; where
// the place is taken they stay in the trash.
func TestTrashClash(t *testing.T) {
	dir := t.TempDir()
	a := keep(t, dir, head(t, 1), nil)
	one, err := Trash(dir, []string{a})
	must(t, err)
	again := keep(t, dir, head(t, 1), nil)
	if again != a {
		t.Fatalf("%s and %s", again, a)
	}
	must(t, record.AddRemark(again, "the second"))
	if _, err := Untrash(one); !errors.Is(err, ErrTaken) || !strings.Contains(err.Error(), filepath.Base(a)) {
		t.Errorf("the place is taken: %v", err)
	}
	two, err := Trash(dir, []string{a})
	must(t, err)
	if two.Moved[0].Name() != filepath.Base(a)+"~2" {
		t.Errorf("%+v", two)
	}
	odd := filepath.Join(dir, "odd~2")
	must(t, os.Mkdir(odd, 0o755))
	_, err = Trash(dir, []string{odd})
	must(t, err)
	all, err := TrashList(dir)
	must(t, err)
	var from []string
	for _, m := range all {
		from = append(from, filepath.Base(m.From))
	}
	if !slices.Equal(from, []string{"odd~2", filepath.Base(a), filepath.Base(a)}) {
		t.Errorf("they come back as %q", from)
	}
	back(t, two)
	if h, err := record.HeadOf(a); err != nil || len(h.Said) != 1 {
		t.Errorf("another came back: %v, %v", h.Said, err)
	}
}

// What must stay stays and is told of, and the rest is moved.
func TestTrashRefuses(t *testing.T) {
	dir, other := t.TempDir(), t.TempDir()
	a := keep(t, dir, head(t, 1), nil)
	elsewhere := keep(t, other, head(t, 2), nil)
	w, err := record.Create(dir, head(t, 3))
	must(t, err)
	defer w.Close(record.Closing{})
	must(t, os.Mkdir(filepath.Join(dir, calibrations), 0o755))
	must(t, os.WriteFile(filepath.Join(dir, "notes.txt"), nil, 0o644))
	must(t, os.Mkdir(filepath.Join(a, "photos"), 0o755))
	for _, c := range []struct {
		name string
		want error
	}{
		{w.Dir(), record.ErrBusy},
		{elsewhere, ErrNotOnShelf},
		{filepath.Join(a, "photos"), ErrNotOnShelf},
		{filepath.Join(dir, "..", filepath.Base(dir)), ErrNotOnShelf},
		{dir, ErrNotOnShelf},
		{calibrations, ErrNotOnShelf},
		{filepath.Join(dir, calibrations), ErrNotOnShelf},
		{"notes.txt", ErrNotOnShelf},
		{"gone", ErrNotOnShelf},
		{"", ErrNotOnShelf},
		{"..", ErrNotOnShelf},
		{"/", ErrNotOnShelf},
		{TrashFolder, ErrNotOnShelf},
	} {
		done, err := Trash(dir, []string{c.name})
		if !errors.Is(err, c.want) || len(done.Moved) != 0 {
			t.Errorf("%q: %v, %+v, want %v", c.name, err, done, c.want)
		}
	}
	for _, p := range []string{w.Dir(), elsewhere, filepath.Join(dir, calibrations), filepath.Join(dir, "notes.txt")} {
		if _, err := os.Stat(p); err != nil {
			t.Errorf("it was moved: %v", err)
		}
	}
	if _, err := os.Stat(filepath.Join(dir, TrashFolder)); err == nil {
		t.Error("a trash was made for nothing")
	}
	done, err := Trash(dir, []string{calibrations, a, "gone"})
	if err == nil || strings.Count(err.Error(), "to the trash") != 2 || len(done.Moved) != 1 || done.Moved[0].From != a {
		t.Errorf("of three: %+v, %v", done, err)
	}
	_, err = Untrash(Trashed{[]Moved{{From: filepath.Join(dir, "x"), To: elsewhere}, done.Moved[0]}})
	if err == nil || !strings.Contains(err.Error(), "in no trash") {
		t.Errorf("%v", err)
	}
	if _, err := os.Stat(a); err != nil {
		t.Errorf("the other did not come back: %v", err)
	}
}

// A link on the shelf is moved, and what it leads to stays where it is.
func TestTrashLink(t *testing.T) {
	dir, other := t.TempDir(), t.TempDir()
	target := keep(t, other, head(t, 1), nil)
	link := filepath.Join(dir, filepath.Base(target))
	relative, err := filepath.Rel(dir, target) // leads nowhere from within the trash
	must(t, err)
	if err := os.Symlink(relative, link); err != nil {
		t.Skip("no links here:", err)
	}
	done, err := Trash(dir, []string{link})
	must(t, err)
	if _, err := os.Lstat(link); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("the link is still there: %v", err)
	}
	if st, err := os.Lstat(done.Moved[0].To); err != nil || st.Mode()&fs.ModeSymlink == 0 {
		t.Errorf("no link in the trash: %v", err)
	}
	if r := record.Check(target); r.Status != record.Whole {
		t.Errorf("the target: %s", r.Text())
	}
	if all, err := TrashList(dir); err != nil || !slices.Equal(all, done.Moved) {
		t.Errorf("listed: %+v, %v", all, err)
	}
	back(t, done)
	if got := names(t, dir); len(got) != 1 {
		t.Errorf("%q", got)
	}
}

// broken fails where it is told to.
type broken struct {
	record.OS
	rename, sync error
}

func (b broken) Rename(from, to string) error {
	if b.rename != nil {
		return b.rename
	}
	return b.OS.Rename(from, to)
}

func (b broken) SyncDir(string) error { return b.sync }

// What the disk does not do is told, and Trashed says where each is.
func TestTrashDisk(t *testing.T) {
	dir, full := t.TempDir(), errors.New("the disk is full")
	a := keep(t, dir, head(t, 1), nil)
	done, err := trash(broken{rename: full}, dir, []string{a})
	if !errors.Is(err, full) || len(done.Moved) != 0 || len(names(t, dir)) != 1 {
		t.Errorf("%+v, %v", done, err)
	}
	done, err = trash(broken{sync: full}, dir, []string{a})
	if !errors.Is(err, full) || len(done.Moved) != 1 || len(names(t, dir)) != 0 {
		t.Errorf("%+v, %v", done, err)
	}
	if _, err := untrash(broken{rename: full}, done); !errors.Is(err, full) {
		t.Errorf("%v", err)
	}
	if _, err := untrash(broken{sync: full}, done); !errors.Is(err, full) || len(names(t, dir)) != 1 {
		t.Errorf("%v", err)
	}
}
