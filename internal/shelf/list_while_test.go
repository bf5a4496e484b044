package shelf

import (
	"os"
	"path/filepath"
	"testing"
)

// A record that goes to the trash while the shelf is listed is on it or not, and never
// a folder that is no record.
func TestListWhileTrashed(t *testing.T) {
	from := t.TempDir()
	record := keep(t, from, head(t, 1), nil)
	bin := filepath.Join(from, TrashFolder)
	must(t, os.Mkdir(bin, 0o755))
	for range 300 {
		done := make(chan error)
		go func() { done <- os.Rename(record, filepath.Join(bin, "x")) }()
		for {
			all := list(t, from)
			if len(all) == 0 {
				break
			}
			if all[0].Condition != Whole {
				t.Fatalf("%s: %s", all[0].Condition, all[0].Reason)
			}
		}
		must(t, <-done)
		must(t, os.Rename(filepath.Join(bin, "x"), record))
	}
}
