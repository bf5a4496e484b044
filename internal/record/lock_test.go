package record

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
	"time"
)

// Who only asks whether a record is being written, as a list does, keeps nobody from
// writing it; who writes it does.
func TestLockBesideAsking(t *testing.T) {
	dir := copied(t, cutOff)
	asking, err := os.Create(filepath.Join(dir, LockFile))
	must(t, err)
	must(t, lockFile(asking, false))
	time.AfterFunc(5*time.Millisecond, func() { _ = asking.Close() })
	unlock, err := Lock(dir)
	must(t, err)
	if _, err := Lock(dir); !errors.Is(err, ErrBusy) {
		t.Errorf("locked twice: %v", err)
	}
	must(t, unlock())
}

func TestInsist(t *testing.T) {
	for name, c := range map[string]struct {
		within time.Duration
		errs   []error // of one try after the other, then none
		want   error
		tries  int
	}{
		"at once":           {time.Second, nil, nil, 1},
		"hindered twice":    {time.Second, []error{ErrBusy, ErrBusy}, nil, 3},
		"fails for good":    {time.Second, []error{ErrClosed, nil}, ErrClosed, 1},
		"hindered, fails":   {time.Second, []error{ErrBusy, ErrClosed}, ErrClosed, 2},
		"hindered for good": {0, []error{ErrBusy}, ErrBusy, 1},
	} {
		n := 0
		err := insist(c.within, func() error {
			n++
			if n > len(c.errs) {
				return nil
			}
			return c.errs[n-1]
		}, ErrBusy)
		if !errors.Is(err, c.want) || n != c.tries {
			t.Errorf("%s: %v after %d tries, want %v after %d", name, err, n, c.want, c.tries)
		}
	}
}

// What lies where a new pull.json is written first, a link to a file of others or what a
// program that was killed left, is put aside and not written into.
func TestReplaceBesideLink(t *testing.T) {
	dir := copied(t, example)
	others := filepath.Join(t.TempDir(), "notes.txt")
	must(t, os.WriteFile(others, []byte("not ours"), 0o644))
	if err := os.Symlink(others, filepath.Join(dir, HeadFile+".tmp")); err != nil {
		t.Skip("no links here:", err)
	}
	must(t, AddRemark(dir, "x"))
	if b, err := os.ReadFile(others); err != nil || string(b) != "not ours" {
		t.Errorf("the file of others holds %q, %v", b, err)
	}
	if st, err := os.Lstat(filepath.Join(dir, HeadFile)); err != nil || !st.Mode().IsRegular() {
		t.Errorf("pull.json is %v, %v", st.Mode(), err)
	}
}
