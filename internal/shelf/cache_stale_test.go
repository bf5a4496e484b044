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

// A program that was built anew reads no cache of the one before, which may have
// reckoned otherwise, though neither knows its version.
func TestCacheOfAnotherBuild(t *testing.T) {
	exe := filepath.Join(t.TempDir(), "draghand")
	must(t, os.WriteFile(exe, []byte("one"), 0o755))
	was := cacheKeyBy(exe, "shelf")
	if now := cacheKeyBy(exe, "shelf"); now != was {
		t.Error("the same program has another key")
	}
	must(t, os.WriteFile(exe, []byte("another"), 0o755))
	if now := cacheKeyBy(exe, "shelf"); now == was {
		t.Error("another program has the same key")
	}
	if cacheKeyBy(exe, "other") == cacheKeyBy(exe, "shelf") || cacheKeyBy("", "other") == cacheKeyBy("", "shelf") {
		t.Error("another shelf has the same key")
	}
}
