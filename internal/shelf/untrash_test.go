package shelf

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// What could not be taken back is left to be taken back again, and that alone; what is
// gone from the trash is told once.
func TestUntrashLeft(t *testing.T) {
	dir := t.TempDir()
	a, b, c := keep(t, dir, head(t, 1), nil), keep(t, dir, head(t, 2), nil), keep(t, dir, head(t, 3), nil)
	done, err := Trash(dir, []string{a, b, c})
	must(t, err)
	must(t, os.Mkdir(b, 0o755))
	must(t, os.RemoveAll(done.Moved[2].To))
	left, err := Untrash(done)
	if !errors.Is(err, ErrTaken) || !errors.Is(err, ErrGone) || !strings.Contains(err.Error(), filepath.Base(c)) {
		t.Errorf("%v", err)
	}
	if !slices.Equal(left.Moved, done.Moved[1:2]) {
		t.Errorf("left %+v", left)
	}
	must(t, os.Remove(b))
	back(t, left)
	if got := names(t, dir); !slices.Equal(got, []string{filepath.Base(b), filepath.Base(a)}) {
		t.Errorf("on the shelf: %q", got)
	}
}

// A trash that is a link is another's folder: nothing goes in and nothing comes out.
func TestTrashIsNoLink(t *testing.T) {
	dir, other := t.TempDir(), t.TempDir()
	a := keep(t, dir, head(t, 1), nil)
	inOther := keep(t, other, head(t, 2), nil)
	bin := filepath.Join(dir, TrashFolder)
	if err := os.Symlink(other, bin); err != nil {
		t.Skip("no links here:", err)
	}
	if done, err := Trash(dir, []string{a}); !errors.Is(err, ErrNoTrash) || len(done.Moved) != 0 {
		t.Errorf("%+v, %v", done, err)
	}
	if all, err := TrashList(dir); !errors.Is(err, ErrNoTrash) || len(all) != 0 {
		t.Errorf("listed %+v, %v", all, err)
	}
	m := Moved{From: filepath.Join(dir, filepath.Base(inOther)), To: filepath.Join(bin, filepath.Base(inOther))}
	if left, err := Untrash(Trashed{[]Moved{m}}); !errors.Is(err, ErrNoTrash) || len(left.Moved) != 1 {
		t.Errorf("%+v, %v", left, err)
	}
	if got := names(t, dir); !slices.Equal(got, []string{filepath.Base(a)}) {
		t.Errorf("on the shelf: %q", got)
	}
}

// A record that is refused is named by the path it was given, where that leads to no
// place of this shelf.
func TestTrashNamesTheStranger(t *testing.T) {
	dir, other := t.TempDir(), t.TempDir()
	stranger := keep(t, other, head(t, 1), nil)
	if _, err := Trash(dir, []string{stranger}); err == nil || !strings.Contains(err.Error(), stranger) {
		t.Errorf("%v", err)
	}
}
