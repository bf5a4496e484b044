package record

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"draghand/internal/pull"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// The overview of a closed record holds every extreme of the valid readings, in
// the bin it belongs to, and nothing of the faulty ones.
func TestOverviewHoldsEveryExtreme(t *testing.T) {
	for name, step := range map[string]time.Duration{"100 Hz": 10 * time.Millisecond, "a reading a minute": time.Minute, "20 kHz": 50 * time.Microsecond} {
		t.Run(name, func(t *testing.T) {
			w := mustCreate(t, Options{}, t.TempDir())
			rnd := rand.New(rand.NewPCG(1, 2))
			type one struct {
				at  time.Duration
				raw float64
			}
			var all []one
			at := time.Duration(0)
			for i := range 20000 {
				raw := 819 + math.Round(rnd.Float64()*3000)/2
				text := fmt.Append(nil, raw)
				if i%100 == 50 {
					text = []byte("4095") // above the band
				} else if i%100 == 51 {
					text = []byte("nan")
				} else {
					all = append(all, one{at, raw})
				}
				w.Append(at, nil, text, "")
				if at += step; i == 9000 {
					at += 3000 * step // a gap
				}
			}
			must(t, w.Close(ClosingFrom(pull.State{T: at}, ByEnd)))
			rec, err := Open(w.Dir())
			must(t, err)
			got, err := rec.Overview()
			must(t, err)
			want := make([]Span, len(got.Spans))
			for i := range want {
				want[i] = Span{math.Inf(1), math.Inf(-1)}
			}
			for _, o := range all {
				s := &want[o.at/got.Bin]
				s.Min, s.Max = min(s.Min, o.raw), max(s.Max, o.raw)
			}
			if d := cmp.Diff(want, got.Spans); d != "" {
				t.Errorf("of the readings, of the file (-+):\n%s", d)
			}
			if n := len(got.Spans); n > 4096 || at > 4*time.Second && n < 2048 {
				t.Errorf("%d bins of %v for %v", n, got.Bin, at)
			}
		})
	}
}

// An overview that is missing, hurt or of other samples is none; the record is as
// whole without it as with it.
func TestOverviewIsNeverTheTruth(t *testing.T) {
	dir := smallRecord(t, t.TempDir())
	tests := map[string]func(t *testing.T, dir string){
		"missing":        func(t *testing.T, dir string) { must(t, os.Remove(filepath.Join(dir, OverviewFile))) },
		"of other bytes": func(t *testing.T, dir string) { spoil(t, dir, OverviewFile, swap("samples_bytes=", "samples_bytes=1")) },
		"of other samples": func(t *testing.T, dir string) {
			spoil(t, dir, OverviewFile, swap("samples_sha256=", "samples_sha256=0"))
		},
		"cut off":         func(t *testing.T, dir string) { spoil(t, dir, OverviewFile, cutTo(170)) },
		"empty":           func(t *testing.T, dir string) { spoil(t, dir, OverviewFile, cutTo(0)) },
		"samples cut off": func(t *testing.T, dir string) { spoil(t, dir, SamplesFile, cutTo(100)) },
	}
	for name, hurt := range tests {
		t.Run(name, func(t *testing.T) {
			dir := copyRecord(t, dir)
			before := Check(dir)
			hurt(t, dir)
			rec, err := Open(dir)
			must(t, err)
			if o, err := rec.Overview(); !errors.Is(err, ErrNoOverview) || len(o.Spans) > 0 {
				t.Errorf("it was taken: %v, %v", o, err)
			}
			if after := Check(dir); name != "samples cut off" && after.Status != before.Status {
				t.Errorf("check says %s with it, %s now: %v", before.Status, after.Status, after.Reasons)
			}
		})
	}
	rec, err := Open(dir)
	must(t, err)
	o, err := rec.Overview()
	must(t, err)
	// The readings of smallRecord: 819 and 820, 4095 above the band, -825 open.
	if want := (Overview{1024 * time.Microsecond, []Span{{819, 820}}}); !cmp.Equal(want, o) {
		t.Errorf("got %+v, want %+v", o, want)
	}
}

// The example of the page is the one in testdata, belongs to its record, and is
// what the writer leaves of those readings.
func TestPageOverview(t *testing.T) {
	page, err := os.ReadFile(pagePath)
	must(t, err)
	kept, err := os.ReadFile(filepath.Join(fixtures, example, OverviewFile))
	must(t, err)
	if d := cmp.Diff(string(kept), blocks(string(page))[OverviewFile]); d != "" {
		t.Errorf("testdata has it otherwise (-testdata +page):\n%s", d)
	}
	rec, err := Open(filepath.Join(fixtures, example))
	must(t, err)
	o, err := rec.Overview()
	must(t, err)
	made := newOverview(rec.Head.Rig)
	for _, l := range readAll(rec.Readings()) {
		if l.R.Mark == pull.NoMark {
			made.add(l.R.T.Microseconds(), l.R.Raw)
		}
	}
	if d := cmp.Diff(made.done(), o); d != "" {
		t.Errorf("of the samples, of the page (-+):\n%s", d)
	}
}

// A disk that takes no overview takes nothing from the record.
func TestOverviewThatCannotBeWritten(t *testing.T) {
	w := mustCreate(t, Options{}, t.TempDir())
	w.Append(0, nil, []byte("819"), "")
	must(t, os.Mkdir(filepath.Join(w.Dir(), OverviewFile), 0o755)) // in its place
	must(t, w.Close(ClosingFrom(pull.State{}, ByEnd)))
	if r := Check(w.Dir()); r.Status != Whole {
		t.Errorf("%+v", r)
	}
}

// A record that was moved under way has its overview where it came to, of all its
// readings; one that lost some on the way has none.
func TestOverviewOfAMovedRecord(t *testing.T) {
	for _, lost := range []bool{false, true} {
		w := mustCreate(t, Options{SyncEvery: time.Millisecond}, t.TempDir())
		for i := range 6000 {
			w.Append(ms(i), nil, []byte("900"), "")
		}
		until(t, "all is synced", func() bool { h := w.Health(); return h.Synced == h.Bytes })
		if lost {
			must(t, os.Remove(filepath.Join(w.Dir(), SamplesFile)))
		}
		must(t, w.SaveElsewhere(t.TempDir()))
		w.Append(ms(6000), nil, []byte("1000"), "")
		must(t, w.Close(ClosingFrom(pull.State{T: ms(6000)}, ByEnd)))
		rec, err := Open(w.Dir())
		must(t, err)
		o, err := rec.Overview()
		switch {
		case lost && !errors.Is(err, ErrNoOverview):
			t.Errorf("lines were lost, and there is %v, %v", o, err)
		case !lost && (err != nil || o.Spans[0] != Span{900, 900} || o.Spans[len(o.Spans)-1].Max != 1000):
			t.Errorf("%v, %v", o, err)
		}
	}
}

// A pass from any place goes on as the whole pass does, marks and all, and the
// last readings are those of the pass.
func TestReadingsAtAPlace(t *testing.T) {
	rec, err := Open(smallRecord(t, t.TempDir()))
	must(t, err)
	all := readAll(rec.Readings())
	places := []Place{{}}
	rs := rec.Readings()
	for rs.Next() {
		places = append(places, rs.Place())
	}
	must(t, rs.Close())
	for i, p := range places {
		rs := rec.ReadingsAt(p)
		got := readAll(rs)
		if d := cmp.Diff(all[i:], got, cmpopts.EquateNaNs(), cmpopts.EquateEmpty()); d != "" || rs.Err() != nil {
			t.Errorf("from %d: %v\n%s", i, rs.Err(), d)
		}
	}
	var want []pull.Reading
	for _, l := range all {
		want = append(want, l.R)
	}
	if d := cmp.Diff(want, rec.LastReadings()); d != "" {
		t.Errorf("last readings:\n%s", d)
	}
}

// The last readings of a record longer than is read back are its last ones.
func TestLastReadingsOfALongRecord(t *testing.T) {
	w := mustCreate(t, Options{}, t.TempDir())
	for i := range 20000 {
		w.Append(ms(i), nil, fmt.Append(nil, i), "")
	}
	must(t, w.Close(ClosingFrom(pull.State{}, ByEnd)))
	rec, err := Open(w.Dir())
	must(t, err)
	got := rec.LastReadings()
	if len(got) < 1000 || len(got) > 5000 {
		t.Fatalf("%d readings", len(got))
	}
	for i, r := range got {
		if n := 20000 - len(got) + i; r.T != ms(n) || r.Raw != float64(n) {
			t.Fatalf("the %dth of %d is %+v", i, len(got), r)
		}
	}
}

// What parses is written again as the same text.
func FuzzOverview(f *testing.F) {
	sum := strings.Repeat("a1", 32)
	f.Add([]byte(overviewHeader + "\n0,,,bin_us=1024 samples_bytes=209 samples_sha256=" + sum + " rows=2\n0,819,820,\n2048,-1e-3,7.5,\n"))
	f.Add([]byte(overviewHeader + "\n0,,,bin_us=2048 samples_bytes=0 samples_sha256=" + sum + " rows=0\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		o, from, err := parseOverview(text)
		if err != nil {
			return
		}
		again, from2, err := parseOverview(encodeOverview(o, &Closing{SamplesBytes: from.bytes, SamplesSHA256: from.sha256}))
		if err != nil || from != from2 || !cmp.Equal(o, again, cmpopts.EquateEmpty()) {
			t.Errorf("%+v of %+v became %+v of %+v: %v", o, from, again, from2, err)
		}
		if len(o.Spans) > 4096 {
			t.Errorf("%d bins", len(o.Spans))
		}
	})
}

// Goal: at most 15 ns a reading.
func BenchmarkOverviewAdd(b *testing.B) {
	o := newOverview(exampleRig())
	us := int64(0)
	b.ReportAllocs()
	for b.Loop() {
		o.add(us, 900)
		us += 1000
	}
}
