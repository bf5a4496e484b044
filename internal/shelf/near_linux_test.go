package shelf

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"syscall"
	"testing"
)

// The numbers are those that the system tells of each folder, and the order is theirs.
func TestNearFirst(t *testing.T) {
	dir := t.TempDir()
	var names []string
	for i := range 300 { // more than one call of the system gives, with long names
		n := fmt.Sprintf("%03d-%0200d", (i*7)%300, i)
		must(t, os.Mkdir(filepath.Join(dir, n), 0o755))
		names = append(names, n)
	}
	slices.Sort(names)
	at := inodes(dir)
	number := func(n string) uint64 {
		st, err := os.Lstat(filepath.Join(dir, n))
		must(t, err)
		return st.Sys().(*syscall.Stat_t).Ino
	}
	for _, n := range names {
		if at[n] != number(n) {
			t.Fatalf("%q has %d, want %d", n, at[n], number(n))
		}
	}
	order := nearFirst(dir, names)
	if !slices.IsSortedFunc(order, func(a, b int) int { return int(at[names[a]]) - int(at[names[b]]) }) {
		t.Error("it is not in the order of the numbers")
	}
	// Each is read once, whatever the system tells.
	for _, of := range []string{dir, filepath.Join(dir, "gone")} {
		got := nearFirst(of, names)
		slices.Sort(got)
		for i := range names {
			if got[i] != i {
				t.Fatalf("%q: %d stands for %d", of, got[i], i)
			}
		}
	}
}

func FuzzAddInodes(f *testing.F) {
	f.Add([]byte("\x01\x00\x00\x00\x00\x00\x00\x00offsets_\x18\x00\x04name\x00\x18\x00"))
	f.Add([]byte("\x01\x00\x00\x00\x00\x00\x00\x00offsets_\x00\x00\x04name\x00"))
	f.Fuzz(func(t *testing.T, b []byte) {
		to := map[string]uint64{}
		addInodes(to, b)
		if len(to) > len(b)/19 {
			t.Errorf("%d names of %d bytes", len(to), len(b))
		}
	})
}
