package shelf

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"runtime/debug"
	"strings"
	"time"

	"draghand/internal/record"
)

// The cache of a list is a file with the entry of each closed record and the stamp of
// the pull.json that it was read from. It saves reading and understanding ten thousand
// files of which none has changed, and is never the truth: an entry is used only where
// the file has that very stamp now, and kept only where the stamp can be believed.
// What is being written or was cut off is not kept: that hangs on a lock as well. The
// file can be deleted at any time, and two programs may use it at once: each puts a
// whole one in its place, and a torn one, or one of another program or shelf, is not
// read. Nothing that goes wrong with it is an error: the records are read instead.

// cacheLeast is how many folders a shelf must have before a cache is kept: few heads
// are read at once.
const cacheLeast = 64

// mostCache bounds what is read of a cache, in bytes.
const mostCache = 256 << 20

// cache is what was listed before. nil: none is wanted.
type cache struct {
	path, key string
	had       map[string]held
}

// held is an entry as it stands in a cache.
type held struct {
	stamp stamp
	text  []byte // JSON; nil: none
}

// openCache reads a cache for a shelf of n folders. path empty: none is wanted.
func openCache(path, dir string, n int) *cache {
	if path == "" || n < cacheLeast {
		return nil
	}
	abs, err := filepath.Abs(dir)
	if err != nil {
		return nil
	}
	c := &cache{path: path, key: cacheKey(abs)}
	st, err := os.Stat(path)
	if err != nil || !st.Mode().IsRegular() || st.Size() > mostCache {
		return c
	}
	if b, err := os.ReadFile(path); err == nil {
		c.had = decodeCache(b, c.key)
	}
	return c
}

// take is the entry of a folder whose pull.json has this stamp.
func (c *cache) take(name string, now stamp) (Entry, held, bool) {
	if c == nil {
		return Entry{}, held{}, false
	}
	k, ok := c.had[name]
	if !ok || k.stamp != now {
		return Entry{}, held{}, false
	}
	var e Entry
	if json.Unmarshal(k.text, &e) != nil || e.Condition != Whole {
		return Entry{}, held{}, false
	}
	return e, k, true
}

// keepable is an entry as it is kept; without text where it is not to be.
func keepable(e Entry, at stamp) held {
	if e.Condition != Whole {
		return held{}
	}
	e.Dir, e.Name = "", ""
	text, err := json.Marshal(e)
	if err != nil { // a number that is none
		return held{}
	}
	return held{at, text}
}

// keep writes the cache, where enough has changed. names and entries are of the same
// index, read is how many of them were not in it.
func (c *cache) keep(names []string, entries []held, read int) {
	if c == nil {
		return
	}
	n := 0
	for i := range entries {
		if entries[i].text != nil {
			n++
		}
	}
	// A few that are read each time cost less than the whole written anew.
	if gone := len(c.had) - (n - read); read+gone <= len(names)/64 {
		return
	}
	_ = c.write(encodeCache(c.key, names, entries)) // it is rebuilt another time
}

// write puts a whole cache in the place of the old one. It is not brought to the disk
// at once: what a loss of power leaves of it does not fit its sum.
func (c *cache) write(b []byte) error {
	dir := filepath.Dir(c.path)
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return err
	}
	c.sweep(dir, time.Now())
	f, err := os.CreateTemp(dir, filepath.Base(c.path)+".*.part")
	if err != nil {
		return err
	}
	_, err = f.Write(b)
	if cerr := f.Close(); err == nil {
		err = cerr
	}
	if err == nil {
		err = os.Rename(f.Name(), c.path)
	}
	if err != nil {
		_ = os.Remove(f.Name())
	}
	return err
}

// stale is when a half-written cache is of nobody any more: a whole one takes a second.
const stale = time.Hour

// sweep removes what writers that were killed left of this cache.
func (c *cache) sweep(dir string, now time.Time) {
	all, err := os.ReadDir(dir)
	if err != nil {
		return
	}
	for _, e := range all {
		if n := e.Name(); !strings.HasPrefix(n, filepath.Base(c.path)+".") || !strings.HasSuffix(n, ".part") {
			continue
		}
		if st, err := e.Info(); err == nil && st.Mode().IsRegular() && now.Sub(st.ModTime()) > stale {
			_ = os.Remove(filepath.Join(dir, e.Name()))
		}
	}
}

// cacheKey is all that an entry depends on beside the pull.json: the program, what an
// entry is made of, and the shelf.
func cacheKey(dir string) string {
	exe, _ := os.Executable()
	return cacheKeyBy(exe, dir)
}

// cacheKeyBy is cacheKey by the program's own file, which tells programs apart that do
// not know their version, as those built without the history of the source.
func cacheKeyBy(exe, dir string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "%d %s", record.Format, dir)
	if st, err := os.Stat(exe); err == nil {
		fmt.Fprintf(&b, " %+v", stampOf(st))
	}
	if info, ok := debug.ReadBuildInfo(); ok {
		b.WriteString(" " + info.Main.Version)
		for _, s := range info.Settings {
			if strings.HasPrefix(s.Key, "vcs.") {
				b.WriteString(" " + s.Value)
			}
		}
	}
	layout(&b, reflect.TypeFor[Entry](), 0)
	sum := sha256.Sum256([]byte(b.String()))
	return hex.EncodeToString(sum[:16])
}

// layout writes what a type is made of, so that a program with another field knows a
// cache of before for another's.
func layout(b *strings.Builder, t reflect.Type, depth int) {
	fmt.Fprintf(b, " %s %s", t, t.Kind())
	if depth > 8 {
		return
	}
	switch t.Kind() {
	case reflect.Pointer, reflect.Slice, reflect.Array:
		layout(b, t.Elem(), depth+1)
	case reflect.Struct:
		for i := range t.NumField() {
			f := t.Field(i)
			fmt.Fprintf(b, " %s %q", f.Name, f.Tag)
			layout(b, f.Type, depth+1)
		}
	}
}
