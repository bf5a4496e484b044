package shelf

import (
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"
)

// What a writer that was killed left beside the cache goes when another is written; what
// may be of one at work, and what is not of this cache, stays.
func TestCacheStaleParts(t *testing.T) {
	dir := t.TempDir()
	c := &cache{path: filepath.Join(dir, "shelf-[ab]")}
	now := time.Now()
	for name, age := range map[string]time.Duration{
		"shelf-[ab].123.part": 61 * time.Minute,
		"shelf-[ab].124.part": 59 * time.Minute,
		"shelf-a.125.part":    48 * time.Hour,
		"shelf-[ab].mine":     48 * time.Hour,
	} {
		path := filepath.Join(dir, name)
		must(t, os.WriteFile(path, []byte("x"), 0o600))
		must(t, os.Chtimes(path, now.Add(-age), now.Add(-age)))
	}
	must(t, c.write([]byte("whole")))
	all, err := os.ReadDir(dir)
	must(t, err)
	var got []string
	for _, e := range all {
		got = append(got, e.Name())
	}
	if want := []string{"shelf-[ab]", "shelf-[ab].124.part", "shelf-[ab].mine", "shelf-a.125.part"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}
