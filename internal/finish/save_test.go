package finish

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/strength"

	"github.com/google/go-cmp/cmp"
)

// pulled is a whole pull to the break, as a program before this wrote it; a copy.
// Simulated: no metal was pulled.
func pulled(t testing.TB) string {
	t.Helper()
	const name = "2026-11-25T122446Z-M1-5-earlier"
	dir := filepath.Join(t.TempDir(), name)
	if err := os.CopyFS(dir, os.DirFS(filepath.Join("..", "..", "testdata", "records", name))); err != nil {
		t.Fatal(err)
	}
	return dir
}

func open(t testing.TB, dir string) *record.Record {
	t.Helper()
	rec, err := record.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

func headText(t testing.TB, dir string) []byte {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, record.HeadFile))
	if err != nil {
		t.Fatal(err)
	}
	return text
}

func broke() record.Finished {
	return record.Finished{After: specimen.After{Diameters: []si.Length{9.8 * si.Millimetre}, Where: specimen.MidGauge}}
}

// What is saved is what is given back, what stands in pull.json, and what comes of
// the record when it is recomputed.
func TestSave(t *testing.T) {
	dir := pulled(t)
	said, err := record.NewSaid("fresh grain", broke().At)
	if err != nil {
		t.Fatal(err)
	}
	got, err := Save(dir, broke(), said)
	if err != nil {
		t.Fatal(err)
	}
	rec := open(t, dir)
	again, err := Results(rec)
	if err != nil {
		t.Fatal(err)
	}
	asJSON := func(r strength.Results) string {
		text, err := json.Marshal(r)
		if err != nil {
			t.Fatal(err)
		}
		return string(text)
	}
	var kept bytes.Buffer
	if err := json.Compact(&kept, rec.Head.Results); err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(asJSON(got), asJSON(again)); d != "" {
		t.Errorf("recomputed otherwise: %s", d)
	}
	if d := cmp.Diff(asJSON(got), kept.String()); d != "" {
		t.Errorf("kept otherwise: %s", d)
	}
	if len(got.Said) != 1 || got.Said[0] != "fresh grain" || rec.Head.Measured().Where != specimen.MidGauge || rec.Head.Measured().At.IsZero() {
		t.Errorf("said %q, measured %+v", got.Said, rec.Head.Measured())
	}
	if r := record.Check(dir); r.Status != record.Whole {
		t.Error(r.Text())
	}
}

// A pull that was cut off can be finished: the bar is broken all the same.
func TestSaveCutOff(t *testing.T) {
	dir := pulled(t)
	text := headText(t, dir)
	i := bytes.Index(text, []byte(`"closing"`))
	text = append(bytes.TrimRight(text[:i], " \n,"), '}')
	if err := os.WriteFile(filepath.Join(dir, record.HeadFile), text, 0o644); err != nil {
		t.Fatal(err)
	}
	got, err := Save(dir, broke())
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(strings.Join(got.Remarks, "\n"), "never closed") {
		t.Errorf("remarks %q", got.Remarks)
	}
	if r := record.Check(dir); r.Status != record.Unfinished {
		t.Error(r.Text())
	}
}

// Nothing is written where the measurements cannot be, the readings are not as
// they were written, or the pull is being recorded.
func TestSaveRefused(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(t *testing.T, dir string)
		f     func(*record.Finished)
		is    error
	}{
		"cannot be": {func(*testing.T, string) {}, func(f *record.Finished) { f.Diameters[0] = 20e-3 }, record.ErrFinished},
		"damaged": {func(t *testing.T, dir string) {
			path := filepath.Join(dir, record.SamplesFile)
			b, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			at := bytes.LastIndexByte(b[:len(b)/2], '\n') - 2 // the last digit of a raw number
			b[at] = '0' + (b[at]-'0'+1)%10                    // still a number
			if err := os.WriteFile(path, b, 0o644); err != nil {
				t.Fatal(err)
			}
		}, func(*record.Finished) {}, ErrDamaged},
		"recorded": {func(t *testing.T, dir string) {
			unlock, err := record.Lock(dir)
			if err != nil {
				t.Fatal(err)
			}
			t.Cleanup(func() { _ = unlock() })
		}, func(*record.Finished) {}, record.ErrBusy},
	} {
		t.Run(name, func(t *testing.T) {
			dir := pulled(t)
			c.spoil(t, dir)
			before := headText(t, dir)
			f := broke()
			c.f(&f)
			if _, err := Save(dir, f); !errors.Is(err, c.is) {
				t.Errorf("%v", err)
			}
			if !bytes.Equal(headText(t, dir), before) {
				t.Error("pull.json changed")
			}
		})
	}
}

// What somebody typed into pull.json and cannot be is left out, with a remark.
func TestResultsOfWhatCannotBe(t *testing.T) {
	rec := open(t, pulled(t))
	f := broke()
	f.Diameters[0] = 20e-3
	rec.Head.Finished = []record.Finished{f}
	if p := Pull(&rec.Head, "x", pull.State{}, nil); p.After != nil {
		t.Errorf("after %+v", p.After)
	}
	got, err := Results(rec)
	if err != nil || !strings.Contains(strings.Join(got.Remarks, "\n"), "left out: measurements not taken: final diameter 0.7874 in is above the first") {
		t.Errorf("%v, %q", err, got.Remarks)
	}
}

// All that stands in the head reaches the results: nothing is left out by one
// caller and not by another. The seed is that of the name: FNV-1a of "a" is
// 0xaf63dc4c8601ec8c in the published table of its authors.
func TestPull(t *testing.T) {
	if Seed("a") != 0xaf63dc4c8601ec8c {
		t.Errorf("seed of a: %x", Seed("a"))
	}
	h := head(t, pull.Tension)
	h.Overrides = []string{"in haste"}
	h.Said = []record.Said{{Text: "fine grain"}}
	form := NewForm(h, si.Metric, nil)
	_ = form.Set(FieldDial, "172.4 bar ± 3.4 bar")
	_ = form.Set(FieldMinimum, "275 MPa")
	f, err := form.Finished()
	if err != nil {
		t.Fatal(err)
	}
	h.Finished = []record.Finished{{}, f}
	p := Pull(&h, "a", pull.State{}, nil)
	if p.Record != "a" || p.Overrides[0] != "in haste" || p.Said[0] != "fine grain" || p.After.Minimum != 275e6 || p.Dial == nil || p.DialError == nil ||
		p.Seed != Seed("a") || p.Draws != Draws || p.Bar.ID != "3" || p.Config.Area != h.Specimen.Area() {
		t.Errorf("%+v", p)
	}
}

// What is open, in words.
func TestMissing(t *testing.T) {
	h := head(t, pull.Tension)
	all := strings.Join(Missing(&h), "\n")
	for _, want := range []string{"elongation not known: no final gauge length", "reduction of area not known: no final diameter", "nobody says where it broke", "no minimum is stated"} {
		if !strings.Contains(all, want) {
			t.Errorf("%q is missing in %q", want, all)
		}
	}
	h.Specimen.GaugeLength, h.Specimen.Diameters = 0, nil
	if all = strings.Join(Missing(&h), "\n"); !strings.Contains(all, "no gauge length was marked before") || !strings.Contains(all, "no diameter was measured before") {
		t.Errorf("%q", all)
	}
	h = head(t, pull.Tension)
	f := broke()
	f.GaugeLength, f.Minimum = 58e-3, 275e6
	h.Finished = []record.Finished{f}
	if got := Missing(&h); len(got) != 0 {
		t.Errorf("all is there: %q", got)
	}
	f.Diameters = []si.Length{12.5 * si.Millimetre, 12.51 * si.Millimetre}
	f.Failed = ""
	h.Finished = []record.Finished{f}
	if got := strings.Join(Missing(&h), "\n"); got != "reduction of area not known: the final diameter is no smaller than the least before" {
		t.Errorf("as thick as before: %q", got)
	}
	// The mean of several counts, in whatever order they stand.
	for _, two := range [][]si.Length{{12.6 * si.Millimetre, 12.0 * si.Millimetre}, {12.0 * si.Millimetre, 12.6 * si.Millimetre}} {
		f.Diameters = two
		h.Finished = []record.Finished{f}
		if got := Missing(&h); len(got) != 0 {
			t.Errorf("%v: %q", two, got)
		}
	}
	f.Where = specimen.InGrip
	h.Finished = []record.Finished{f}
	if got := Missing(&h); len(got) != 2 || !strings.Contains(got[0], "it broke in the grip") {
		t.Errorf("in the grip: %q", got)
	}
	h.Finished, h.Closing = nil, &record.Closing{Outcome: pull.LetOff}
	if got := Missing(&h); len(got) != 0 {
		t.Errorf("nothing broke: %q", got)
	}
}

// What nobody can have seen on a bar that was let off is not written, however it
// was made; the record stays as it was.
func TestSaveRefusesABreakOfAWhole(t *testing.T) {
	dir := pulled(t)
	path := filepath.Join(dir, record.HeadFile)
	let := bytes.Replace(headText(t, dir), []byte(`"outcome": "broken"`), []byte(`"outcome": "let-off"`), 1)
	if err := os.WriteFile(path, let, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, f := range []record.Finished{broke(), {After: specimen.After{Looks: []specimen.Look{specimen.Flat}}}} {
		if _, err := Save(dir, f); !errors.Is(err, record.ErrFinished) || !strings.Contains(err.Error(), "nothing broke in this pull") {
			t.Errorf("%+v: %v", f, err)
		}
	}
	if !bytes.Equal(headText(t, dir), let) || !bytes.Contains(let, []byte("let-off")) {
		t.Error("pull.json was changed, or was never let off")
	}
}
