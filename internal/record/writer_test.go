package record

import (
	"bytes"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"draghand/internal/pull"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// The bytes are those docs/pull-record.md promises, written out by hand.
func TestBytes(t *testing.T) {
	dir := smallRecord(t, t.TempDir())
	got, err := os.ReadFile(filepath.Join(dir, SamplesFile))
	must(t, err)
	want := "t_us,dev_t,raw,note\n" +
		"0,1000,819,\n" +
		"1000,2000,820,\n" +
		"2000,,,\"bad=1 text=82,\\x00 \"\"q\"\"\"\n" +
		"3000,4000,4095,above range\n" +
		"4000,5000,-8.25e2,\n" +
		"5000,,,lost text=unplugged\n" +
		"6000,,,end\n"
	if d := cmp.Diff(want, string(got)); d != "" {
		t.Errorf("samples.csv (-want +got):\n%s", d)
	}
	if filepath.Base(dir) != "2026-11-25T140322Z-M1-3" {
		t.Errorf("folder = %q", filepath.Base(dir))
	}
	lines, rs := readDir(t, dir)
	wantLines := []line{
		{R: pull.Reading{T: 0, Raw: 819}, Dev: "1000", Raw: "819"},
		{R: pull.Reading{T: ms(1), Raw: 820}, Dev: "2000", Raw: "820"},
		{R: pull.Reading{T: ms(2), Mark: pull.Bad, Count: 1}, Text: "82,\x00 \"q\"", Note: "bad=1 text=82,\x00 \"q\""},
		{R: pull.Reading{T: ms(3), Raw: 4095}, Dev: "4000", Raw: "4095", Note: "above range"},
		{R: pull.Reading{T: ms(4), Raw: -825}, Dev: "5000", Raw: "-8.25e2"},
		{R: pull.Reading{T: ms(5), Mark: pull.Lost}, Text: "unplugged", Note: "lost text=unplugged"},
		{R: pull.Reading{T: ms(6), Mark: pull.End}, Note: "end"},
	}
	if d := cmp.Diff(wantLines, lines); d != "" || rs.Err() != nil || rs.Torn() != 0 {
		t.Errorf("read back, err %v, torn %d (-want +got):\n%s", rs.Err(), rs.Torn(), d)
	}
	if r := Check(dir); r.Status != Whole || r.Lines != 7 || r.ProvenLines != 7 || r.SHA256 != "match" || r.Sums != 3 || !r.Intact() {
		t.Errorf("Check = %+v", r)
	}
}

// Whatever is appended is read back, in its order, with its times never going
// back and its bad lines all counted.
func TestRoundTrip(t *testing.T) {
	shelf := t.TempDir()
	number := rapid.OneOf(
		rapid.Map(rapid.IntRange(0, 4095), strconv.Itoa),
		rapid.Map(rapid.Float64(), func(f float64) string { return strconv.FormatFloat(f, 'g', -1, 64) }),
		rapid.StringMatching(`[+-]?[0-9]{1,9}(\.[0-9]{0,9})?(e[+-]?[0-9]{1,2})?`),
	)
	anyText := rapid.Map(rapid.SliceOfN(rapid.Byte(), 0, MaxEvidence), func(b []byte) string { return string(b) })
	rapid.Check(t, func(rt *rapid.T) {
		w, err := Options{FS: &troubled{now: trouble{noSync: true}}}.Create(shelf, simulatedHead())
		if err != nil {
			rt.Fatal(err)
		}
		var want []line
		var at time.Duration
		badIn, badOut := 0, 0
		for range rapid.IntRange(0, 60).Draw(rt, "n") {
			t := time.Duration(rapid.Int64Range(-1e6, 1e12).Draw(rt, "t"))
			at = max(at, t.Truncate(time.Microsecond))
			if rapid.Bool().Draw(rt, "reading") {
				dev := anyText.Draw(rt, "dev")
				dev = dev[:min(len(dev), MaxField)]
				raw, note := number.Draw(rt, "raw"), anyText.Draw(rt, "note")
				w.Append(t, []byte(dev), []byte(raw), note)
				v, _ := strconv.ParseFloat(raw, 64)
				want = append(want, line{R: pull.Reading{T: at, Raw: v}, Dev: dev, Raw: raw, Note: note})
				continue
			}
			m := rapid.SampledFrom(marks[:]).Draw(rt, "mark").mark
			count, text := rapid.IntRange(1, 5).Draw(rt, "count"), anyText.Draw(rt, "text")
			told := w.Mark(t, m, count, text)
			badOut += told
			if m == pull.Bad {
				badIn += count
				if told > 0 {
					want = append(want, line{R: pull.Reading{T: at, Mark: m, Count: told}, Text: text})
				}
				continue
			}
			if told > 0 {
				want = append(want, line{R: pull.Reading{T: at, Mark: pull.Bad, Count: told}})
			}
			want = append(want, line{R: pull.Reading{T: at, Mark: m}, Text: text})
		}
		if rest := badIn - badOut; rest > 0 {
			want = append(want, line{R: pull.Reading{T: at, Mark: pull.Bad, Count: rest}})
		}
		if err := w.Close(Closing{}); err != nil {
			rt.Fatal(err)
		}
		rec, err := Open(w.Dir())
		if err != nil {
			rt.Fatal(err)
		}
		rs := rec.Readings()
		got := readAll(rs)
		for i := range got {
			if got[i].R.Mark != pull.NoMark {
				got[i].Note = "" // TestBytes has it
			}
		}
		if d := cmp.Diff(want, got); d != "" || rs.Err() != nil {
			rt.Fatalf("err %v (-want +got):\n%s", rs.Err(), d)
		}
		if r := Check(w.Dir()); r.Status != Whole || r.Lines != int64(len(want)) {
			rt.Fatalf("Check = %+v", r)
		}
		_ = os.RemoveAll(w.Dir()) // the shelf goes with the test anyway
	})
}

// A raw that is no number would make the rest unreadable: it becomes evidence.
func TestAppendRefuses(t *testing.T) {
	for name, raw := range map[string]string{
		"empty": "", "word": "of", "too large": "1e999", "comma": "1,5", "long": strings.Repeat("1", MaxField+1), "line end": "1\n2",
	} {
		t.Run(name, func(t *testing.T) {
			w := mustCreate(t, Options{}, t.TempDir())
			if bad := w.Append(ms(1), nil, []byte(raw), ""); bad != 1 {
				t.Errorf("Append says %d bad lines, want 1", bad)
			}
			must(t, w.Close(Closing{}))
			got, rs := readDir(t, w.Dir())
			want := []line{{R: pull.Reading{T: ms(1), Mark: pull.Bad, Count: 1}, Text: raw, Note: "bad=1"}}
			if raw != "" {
				want[0].Note += " text=" + raw
			}
			if d := cmp.Diff(want, got); d != "" || rs.Err() != nil {
				t.Errorf("err %v (-want +got):\n%s", rs.Err(), d)
			}
		})
	}
}

// Bad lines that wait to be told, and a flood of refused readings: Append never
// says 0 for what it did not take.
func TestAppendRefusesInFlood(t *testing.T) {
	w := mustCreate(t, Options{}, t.TempDir())
	told := 0
	for i := range maxTexts + 3 {
		told += w.Mark(ms(i/10), pull.Bad, 1, "x")
	}
	waiting := maxTexts + 3 - told
	if waiting == 0 {
		t.Fatal("no bad line waits: the test shows nothing")
	}
	if bad := w.Append(ms(11), nil, []byte("of"), ""); bad != waiting+1 {
		t.Errorf("Append = %d, want the %d waiting and its own", bad, waiting)
	}
	if bad := w.Append(ms(11), nil, []byte("of"), ""); bad != 1 {
		t.Errorf("Append = %d, want 1", bad)
	}
	if bad := w.Append(ms(11), nil, []byte("7"), ""); bad != 0 {
		t.Errorf("Append = %d for a reading", bad)
	}
	must(t, w.Close(Closing{}))
	got, _ := readDir(t, w.Dir())
	sum := 0
	for _, l := range got {
		sum += l.R.Count
	}
	if last := got[len(got)-1]; sum != maxTexts+5 || last.Raw != "7" {
		t.Errorf("%d bad lines recorded, want %d; last %+v", sum, maxTexts+5, last)
	}
}

// A flood of bad lines leaves the file flat and loses no count.
func TestFlood(t *testing.T) {
	w := mustCreate(t, Options{}, t.TempDir())
	const n = 200_000 // 200 s at 1 kHz
	told := 0
	evidence := strings.Repeat("\xff", 1000)
	for i := range n {
		told += w.Mark(ms(i), pull.Bad, 1, evidence)
	}
	told += w.Mark(ms(n), pull.End, 0, "")
	must(t, w.Close(Closing{}))
	if told != n {
		t.Errorf("told of %d bad lines, want %d", told, n)
	}
	got, _ := readDir(t, w.Dir())
	sum, texts := 0, 0
	for _, l := range got {
		sum += l.R.Count
		if l.Text != "" {
			texts++
		}
	}
	// 100 texts, then a line in 0.1 s of 200 s, and the end.
	if sum != n || texts != maxTexts || len(got) > maxTexts+2000+2 {
		t.Errorf("%d bad lines in %d lines with %d texts, want %d in at most %d with %d", sum, len(got), texts, n, maxTexts+2002, maxTexts)
	}
}

// Append copies into memory and allocates nothing once its blocks are there.
func TestAppendAllocs(t *testing.T) {
	w := mustCreate(t, Options{}, t.TempDir())
	defer w.Close(Closing{})
	dev, raw := []byte("123456789"), []byte("2048")
	at := time.Duration(0)
	// 1,000 lines are under half a block: none is needed beyond the two there.
	if n := testing.AllocsPerRun(1000, func() { at += time.Millisecond; w.Append(at, dev, raw, "") }); n != 0 {
		t.Errorf("Append allocates %v a line", n)
	}
}

// Lines reach the kernel and the disk without anybody asking; an event syncs
// at once. How soon a line is in the file, TestKilled measures.
func TestRhythm(t *testing.T) {
	w := mustCreate(t, Options{}, t.TempDir())
	defer w.Close(Closing{})
	csv := filepath.Join(w.Dir(), SamplesFile)
	w.Append(ms(1), nil, []byte("7"), "")
	until(t, "the line is in the file", func() bool {
		b, _ := os.ReadFile(csv)
		return bytes.HasSuffix(b, []byte("1000,,7,\n"))
	})
	until(t, "the line is synced", func() bool { h := w.Health(); return h.Synced == h.Bytes && h.SyncedAge == 0 })

	slow := mustCreate(t, Options{SyncEvery: time.Hour}, t.TempDir())
	defer slow.Close(Closing{})
	slow.Append(ms(1), nil, []byte("7"), "")
	if h := slow.Health(); h.SyncedAge <= 0 || h.Synced >= h.Bytes {
		t.Errorf("a fresh line counts as synced: %+v", h)
	}
	slow.Event()
	until(t, "the event synced the line", func() bool { h := slow.Health(); return h.Synced == h.Bytes })
}

// The head is checked before a folder is made.
func TestCreateRefuses(t *testing.T) {
	for name, spoil := range map[string]func(*Head){
		"no start":     func(h *Head) { h.Started = time.Time{} },
		"year 12026":   func(h *Head) { h.Started = h.Started.AddDate(10_000, 0, 0) },
		"no rig":       func(h *Head) { h.Rig = nil },
		"zero is NaN":  func(h *Head) { h.LastZero = ptr(nan()) },
		"rig with NaN": func(h *Head) { h.Rig.Path.Share = nan() },
	} {
		t.Run(name, func(t *testing.T) {
			h := simulatedHead()
			spoil(&h)
			shelf := t.TempDir()
			if _, err := Create(shelf, h); err == nil {
				t.Error("Create = nil")
			}
			if names, _ := os.ReadDir(shelf); len(names) > 0 {
				t.Errorf("left %v behind", names)
			}
		})
	}
}

// Pulls of one second and one specimen get names of their own.
func TestCollision(t *testing.T) {
	shelf := filepath.Join(t.TempDir(), "made", "when missing")
	var names []string
	for range 3 {
		w := mustCreate(t, Options{}, shelf)
		names = append(names, w.Name())
		must(t, w.Close(Closing{}))
	}
	want := []string{"2026-11-25T140322Z-M1-3", "2026-11-25T140322Z-M1-3-2", "2026-11-25T140322Z-M1-3-3"}
	if d := cmp.Diff(want, names); d != "" {
		t.Error(d)
	}
}
