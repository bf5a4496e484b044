package shelf

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/si"

	"github.com/google/go-cmp/cmp"
)

// settledList lists with a cache as if the records had been left alone for an hour.
func settledList(t testing.TB, dir, path string) []Entry {
	t.Helper()
	all, err := listAt(context.Background(), dir, Options{Cache: path}, time.Now().Add(time.Hour))
	must(t, err)
	return all
}

// mark changes the alloy of every entry in a cache, so that it is seen which entries
// a list takes from there.
func mark(t testing.TB, dir, path string) {
	t.Helper()
	b, err := os.ReadFile(path)
	must(t, err)
	abs, err := filepath.Abs(dir)
	must(t, err)
	key := cacheKey(abs)
	var names []string
	var entries []held
	for n, k := range decodeCache(b, key) {
		k.text = bytes.Replace(k.text, []byte(`"alloy":"C90500"`), []byte(`"alloy":"cached"`), 1)
		names, entries = append(names, n), append(entries, k)
	}
	must(t, os.WriteFile(path, encodeCache(key, names, entries), 0o600))
}

// cachedOf counts the entries that come from a marked cache.
func cachedOf(all []Entry) (n int) {
	for _, e := range all {
		if e.Specimen.Alloy == "cached" {
			n++
		}
	}
	return n
}

const some100 = 100

// A list with a cache says what one without says, and takes from it all that it holds.
func TestCache(t *testing.T) {
	dir, path := t.TempDir(), filepath.Join(t.TempDir(), "deep", "cache")
	copies(t, dir, some100)
	keep(t, dir, checkHead(t, 1), nil)
	stuck, err := record.Create(dir, head(t, 3))
	must(t, err)
	defer stuck.Close(record.Closing{})
	spoil(t, keep(t, dir, head(t, 4), nil), func(s string) string { return s[:len(s)/2] })
	want := list(t, dir)
	for _, run := range []string{"cold", "from the cache"} {
		if d := cmp.Diff(want, settledList(t, dir, path)); d != "" {
			t.Fatalf("%s (-without +with)\n%s", run, d)
		}
	}
	mark(t, dir, path)
	if n := cachedOf(settledList(t, dir, path)); n != some100+1 {
		t.Errorf("%d of %d entries come from the cache: of those closed every one does", n, some100+1)
	}
	if left, err := filepath.Glob(path + "?*"); err != nil || len(left) != 0 {
		t.Errorf("left beside the cache: %v, %v", left, err)
	}
	must(t, os.Remove(path))
	if d := cmp.Diff(want, settledList(t, dir, path)); d != "" {
		t.Errorf("its cache deleted (-without +with)\n%s", d)
	}
}

// Whatever is done to a record, the next list has it as it is.
func TestCacheSeesChanges(t *testing.T) {
	other := func(b []byte) []byte { return bytes.Replace(b, []byte(`"C90500"`), []byte(`"C83600"`), 1) } // of the same length
	for name, c := range map[string]struct {
		change func(t *testing.T, file string, was []byte, st os.FileInfo)
		want   string
		unix   bool // takes what only Linux and macOS tell
	}{
		"edited in place": {func(t *testing.T, file string, was []byte, _ os.FileInfo) {
			must(t, os.WriteFile(file, other(was), 0o644))
		}, "C83600", false},
		"another length": {func(t *testing.T, file string, was []byte, st os.FileInfo) {
			must(t, os.WriteFile(file, append(other(was), '\n'), 0o644))
			must(t, os.Chtimes(file, st.ModTime(), st.ModTime()))
		}, "C83600", false},
		"edited, its time put back": {func(t *testing.T, file string, was []byte, st os.FileInfo) {
			must(t, os.WriteFile(file, other(was), 0o644))
			must(t, os.Chtimes(file, st.ModTime(), st.ModTime()))
		}, "C83600", true},
		"another put in its place, with its time": {func(t *testing.T, file string, was []byte, st os.FileInfo) {
			must(t, os.WriteFile(file+".new", other(was), 0o644))
			must(t, os.Chtimes(file+".new", st.ModTime(), st.ModTime()))
			must(t, os.Rename(file+".new", file))
		}, "C83600", true},
		"an older one put in its place": {func(t *testing.T, file string, was []byte, st os.FileInfo) {
			must(t, os.WriteFile(file, other(was), 0o644))
			must(t, os.Chtimes(file, st.ModTime(), st.ModTime().Add(-time.Hour)))
		}, "C83600", false},
	} {
		t.Run(name, func(t *testing.T) {
			if c.unix && runtime.GOOS != "linux" && runtime.GOOS != "darwin" {
				t.Skip("size and time of the file are all that is told here: docs/shelf.md says so")
			}
			dir, path := t.TempDir(), filepath.Join(t.TempDir(), "cache")
			copies(t, dir, some100)
			all := settledList(t, dir, path)
			mark(t, dir, path)
			file := filepath.Join(all[50].Dir, record.HeadFile)
			was, err := os.ReadFile(file)
			must(t, err)
			st, err := os.Stat(file)
			must(t, err)
			c.change(t, file, was, st)
			got := settledList(t, dir, path)
			if got[50].Specimen.Alloy != c.want || cachedOf(got) != some100-1 {
				t.Errorf("alloy %q, want %q; %d from the cache", got[50].Specimen.Alloy, c.want, cachedOf(got))
			}
		})
	}
}

// What is gone is gone, what is new is there, and what is no longer closed says so.
func TestCacheComeAndGo(t *testing.T) {
	dir, path := t.TempDir(), filepath.Join(t.TempDir(), "cache")
	copies(t, dir, some100)
	all := settledList(t, dir, path)
	must(t, os.RemoveAll(all[0].Dir))
	must(t, os.Remove(filepath.Join(all[1].Dir, record.HeadFile)))
	keep(t, dir, head(t, 7), nil)
	if d := cmp.Diff(list(t, dir), settledList(t, dir, path)); d != "" {
		t.Errorf("(-without +with)\n%s", d)
	}
}

// A record that was changed a moment ago is not kept: it may change again within the
// step of the file system's clock.
func TestCacheLeavesTheNewest(t *testing.T) {
	began := time.Unix(1_700_000_000, 0)
	for _, c := range []struct {
		modified, changed time.Duration // before it was asked for
		want              bool
	}{
		{3 * time.Second, 3 * time.Second, true},
		{time.Second, 3 * time.Second, false},
		{3 * time.Second, time.Second, false}, // its time was put back
		{2 * time.Second, 2 * time.Second, false},
		{-time.Hour, time.Hour, false}, // from the future
	} {
		s := stamp{modified: began.Add(-c.modified).UnixNano(), changed: began.Add(-c.changed).UnixNano()}
		if s.settled(began) != c.want {
			t.Errorf("%+v: %v", c, !c.want)
		}
	}
	dir, path := t.TempDir(), filepath.Join(t.TempDir(), "cache")
	copies(t, dir, some100)
	_, err := listAt(context.Background(), dir, Options{Cache: path}, time.Now().Add(-time.Hour))
	must(t, err)
	if _, err := os.Stat(path); err == nil {
		t.Error("what was changed after the list began is held")
	}
}

// A cache that is torn, altered, of another shelf or of another program is none, and
// is written anew; one that cannot be read or written is no error.
func TestCacheHurt(t *testing.T) {
	dir := t.TempDir()
	copies(t, dir, some100)
	want := list(t, dir)
	edit := func(f func([]byte) []byte) func(*testing.T, string) {
		return func(t *testing.T, path string) {
			b, err := os.ReadFile(path)
			must(t, err)
			must(t, os.WriteFile(path, f(b), 0o600))
		}
	}
	for name, hurt := range map[string]func(*testing.T, string){
		"empty":          edit(func([]byte) []byte { return nil }),
		"torn":           edit(func(b []byte) []byte { return b[:len(b)/2] }),
		"its last byte":  edit(func(b []byte) []byte { return b[:len(b)-1] }),
		"a byte more":    edit(func(b []byte) []byte { return append(b, 0) }),
		"a byte altered": edit(func(b []byte) []byte { b[len(b)/2] ^= 1; return b }),
		"something else": edit(func([]byte) []byte { return []byte("shopping list") }),
		"a newer kind": edit(func(b []byte) []byte {
			return bytes.Replace(b, []byte(cacheVersion), []byte("draghand shelf cache 99 "), 1)
		}),
		"of another shelf": func(t *testing.T, path string) { other(t, path) },
		"a folder":         func(t *testing.T, path string) { must(t, os.Remove(path)); must(t, os.Mkdir(path, 0o700)) },
		"no folder for it": func(t *testing.T, path string) {
			must(t, os.Remove(path))
			must(t, os.Remove(filepath.Dir(path)))
			must(t, os.WriteFile(filepath.Dir(path), nil, 0o600))
		},
		"deleted meanwhile": func(t *testing.T, path string) { must(t, os.RemoveAll(filepath.Dir(path))) },
	} {
		t.Run(name, func(t *testing.T) {
			path := filepath.Join(t.TempDir(), "folder", "cache")
			settledList(t, dir, path)
			mark(t, dir, path)
			hurt(t, path)
			for range 2 {
				if d := cmp.Diff(want, settledList(t, dir, path)); d != "" {
					t.Fatalf("(-without +with)\n%s", d)
				}
			}
		})
	}
}

// other writes the cache of another shelf to path.
func other(t *testing.T, path string) {
	t.Helper()
	dir := t.TempDir()
	copies(t, dir, some100)
	must(t, os.Remove(path))
	settledList(t, dir, path)
	mark(t, dir, path)
}

// Few records are not worth a file.
func TestCacheOfFew(t *testing.T) {
	dir, path := t.TempDir(), filepath.Join(t.TempDir(), "cache")
	copies(t, dir, cacheLeast-1)
	if n := len(settledList(t, dir, path)); n != cacheLeast-1 {
		t.Error(n)
	}
	if _, err := os.Stat(path); err == nil {
		t.Error("a cache of few is written")
	}
}

// Several programs list one shelf at once while records come.
func TestCacheByMany(t *testing.T) {
	dir, path := t.TempDir(), filepath.Join(t.TempDir(), "cache")
	copies(t, dir, some100)
	var all sync.WaitGroup
	for n := range 6 {
		all.Go(func() {
			for i := range 5 {
				if n == 0 {
					keep(t, dir, head(t, 10+i), nil)
				}
				got, err := listAt(context.Background(), dir, Options{Cache: path}, time.Now().Add(time.Hour))
				if err != nil || len(got) < some100 {
					t.Errorf("%d entries, %v", len(got), err)
				}
			}
		})
	}
	all.Wait()
	if d := cmp.Diff(list(t, dir), settledList(t, dir, path)); d != "" {
		t.Errorf("(-without +with)\n%s", d)
	}
}

// fill sets every field that a cache could lose to something that is not zero.
func fill(v reflect.Value, n *int) {
	*n++
	switch v.Kind() {
	case reflect.String:
		v.SetString(fmt.Sprintf("text %d", *n))
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int, reflect.Int64:
		v.SetInt(int64(*n))
	case reflect.Uint8:
		v.SetUint(1)
	case reflect.Float64:
		v.SetFloat(float64(*n) / 7)
	case reflect.Pointer:
		if v.Type() == reflect.TypeFor[*Words]() {
			return // made of the others, where somebody filters
		}
		v.Set(reflect.New(v.Type().Elem()))
		fill(v.Elem(), n)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 2, 2))
		fill(v.Index(0), n)
		fill(v.Index(1), n)
	case reflect.Struct:
		if v.Type() == reflect.TypeFor[time.Time]() {
			v.Set(reflect.ValueOf(began.Add(time.Duration(*n))))
			return
		}
		for i := range v.NumField() {
			fill(v.Field(i), n) // an unexported field panics: a cache would lose it
		}
	default:
		panic("fill: " + v.Kind().String())
	}
}

// No field of an entry is lost in a cache: one that is added later neither.
func TestCacheKeepsEveryField(t *testing.T) {
	var e Entry
	n := 0
	fill(reflect.ValueOf(&e).Elem(), &n)
	e.Condition, e.Units = Whole, si.Metric
	e.Check.Made.Path.BarFar = false // never written: of the bar
	k := keepable(e, stamp{size: 1})
	c := cache{had: map[string]held{"a": k}}
	got, _, ok := c.take("a", stamp{size: 1})
	got.Dir, got.Name = e.Dir, e.Name
	if d := cmp.Diff(e, got); !ok || d != "" {
		t.Errorf("%v (-before +after)\n%s", ok, d)
	}
	e.Elongation = new(float64) // a bar that broke without stretching: 0 is not nil
	c.had["a"] = keepable(e, stamp{size: 1})
	if got, _, _ := c.take("a", stamp{size: 1}); got.Elongation == nil || *got.Elongation != 0 {
		t.Error("an elongation of 0 is lost")
	}
}

// FuzzCache: any bytes are read without a panic; what they give is an entry of a
// closed record, and only for the very stamp that stands with it.
func FuzzCache(f *testing.F) {
	e := Entry{Condition: Whole, Kind: pull.Tension, Strength: 3e8}
	whole := encodeCache("key", []string{"a", "b"}, []held{keepable(e, stamp{1, 2, 3, 4}), keepable(e, stamp{5, 6, 7, 8})})
	body := whole[len(cacheVersion)+len("key\n") : len(whole)-sumLen]
	f.Add(body, false)
	f.Add(whole, true)
	f.Add(body[:len(body)-1], false)
	f.Add([]byte{0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0xff, 0x7f, 'a'}, false)
	f.Add([]byte(strings.Repeat("\x00", 34)), false)
	f.Fuzz(func(t *testing.T, b []byte, asIs bool) {
		if !asIs { // with a head and a sum that fit, so that the rest is looked at
			b = append([]byte(cacheVersion+"key\n"), b...)
			b = appendSum(b)
		}
		c := cache{had: decodeCache(b, "key")}
		for name, k := range c.had {
			if got, _, ok := c.take(name, k.stamp); ok && got.Condition != Whole {
				t.Fatalf("a record that is %q is given", got.Condition)
			}
			for i := range 4 {
				s := k.stamp
				switch i {
				case 0:
					s.size++
				case 1:
					s.modified++
				case 2:
					s.changed++
				case 3:
					s.inode++
				}
				if _, _, ok := c.take(name, s); ok {
					t.Fatalf("given for another stamp, %+v of %+v", s, k.stamp)
				}
			}
		}
		if decodeCache(b, "other") != nil {
			t.Fatal("read with another key")
		}
	})
}

func appendSum(b []byte) []byte {
	s := cacheSum(b)
	return append(b, byte(s), byte(s>>8), byte(s>>16), byte(s>>24))
}
