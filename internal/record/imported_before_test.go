package record

import (
	"strings"
	"testing"
	"time"

	"draghand/internal/pull"
)

// An import that was cut off is not taken for one of the whole file, recovered or not;
// one that is being made is told as that.
func TestImportsCutOff(t *testing.T) {
	shelf := t.TempDir()
	sha := func(c string) string { return strings.Repeat(c, 64) }
	begun := func(sha string, at time.Duration, rows int) *Writer {
		h := simulatedHead()
		h.Started = h.Started.Add(at)
		h.Rig.Sensor.Zeroed = true
		h.Imported = &Imported{File: "made-up.csv", SHA256: sha, Rows: 3, BadRows: 1}
		w, err := Create(shelf, h)
		must(t, err)
		w.Mark(ms(0), pull.Bad, 1, "x")
		for i := range rows {
			w.Append(ms(i+1), nil, []byte("819"), "")
		}
		return w
	}
	closed := func(w *Writer) string {
		w.Mark(ms(9), pull.End, 0, "")
		must(t, w.Close(replayed(t, w)))
		return w.Name()
	}
	cut := func(w *Writer) string {
		closed(w)
		spoil(t, w.Dir(), HeadFile, func(b []byte) []byte {
			b, err := withField(b, "closing", nil)
			must(t, err)
			return b
		})
		return w.Name()
	}
	whole := closed(begun(sha("a"), 0, 3))
	early := cut(begun(sha("a"), time.Minute, 2))
	short := closed(begun(sha("b"), 2*time.Minute, 2)) // as Recover leaves it
	again := cut(begun(sha("c"), 3*time.Minute, 2))
	last := cut(begun(sha("c"), 4*time.Minute, 3))
	w := begun(sha("d"), 5*time.Minute, 1)
	defer closed(w)
	if early == whole || again == last {
		t.Fatal("names clash")
	}
	want := map[string]ImportedAs{
		sha("a"): {Name: whole},
		sha("b"): {Name: short, Cut: true},
		sha("c"): {Name: last, Cut: true},
		sha("d"): {Name: w.Name(), Writing: true},
		sha("e"): {},
	}
	all := Imports(shelf)
	for k, v := range want {
		if all[k] != v {
			t.Errorf("all: %c: %+v, want %+v", k[0], all[k], v)
		}
		if got := ImportOf(shelf, k); got != v {
			t.Errorf("one: %c: %+v, want %+v", k[0], got, v)
		}
	}
}
