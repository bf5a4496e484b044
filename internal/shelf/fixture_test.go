package shelf

import (
	"bytes"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// began is the start of the newest record of the fixtures.
var began = time.Date(2026, 11, 25, 14, 3, 22, 0, time.UTC)

// head is a pull of bar n of melt M1, simulated: no metal was pulled.
func head(t testing.TB, n int) record.Head {
	t.Helper()
	r, err := rig.Parse("example", []byte(rig.Example()))
	must(t, err)
	return record.Head{
		Program: "draghand test", Started: began.Add(-time.Duration(n) * time.Hour), Kind: pull.Tension, Rig: r, Source: "sim:",
		Specimen: specimen.Specimen{
			ID: fmt.Sprint(n), Melt: "M1", Alloy: "C90500", Simulated: true,
			Diameters: []si.Length{12.52 * si.Millimetre, 12.5 * si.Millimetre},
		},
		Remarks: []string{"one", "two"},
	}
}

// keep writes a closed record with one reading. state is edited before it is
// closed; of edit nil the pull broke at 36,750 N.
func keep(t testing.TB, shelf string, h record.Head, edit func(*pull.State)) string {
	t.Helper()
	w, err := record.Create(shelf, h)
	must(t, err)
	w.Append(0, nil, []byte("819"), "")
	s := pull.State{
		Kind: h.Kind, Phase: pull.Broken, Outcome: pull.Broken, LoadedAt: time.Second,
		Peak: pull.Point{T: time.Minute, Gauge: 17.5e6, Ram: 73500, Specimen: 36750},
	}
	if edit != nil {
		edit(&s)
	}
	c := record.ClosingFrom(s, record.ByBreak)
	c.Ended = h.Started.Add(time.Minute)
	must(t, w.Close(c))
	return w.Dir()
}

// copies are n records made of one by copying its files under other names and
// starts. It is quicker than writing and syncing each.
func copies(t testing.TB, shelf string, n int) {
	t.Helper()
	first := keep(t, t.TempDir(), head(t, 0), nil)
	text, err := os.ReadFile(filepath.Join(first, record.HeadFile))
	must(t, err)
	copiesOf(t, shelf, n, text)
}

// copiesFinished are n records with a head as large as a real one's: of a pull on the
// simulated rig, finished, its results with their budget in it. testdata/finished.json
// is what draghand watch and finish wrote.
func copiesFinished(t testing.TB, shelf string, n int) {
	t.Helper()
	text, err := os.ReadFile(filepath.Join("testdata", "finished.json"))
	must(t, err)
	copiesOf(t, shelf, n, text)
}

func copiesOf(t testing.TB, shelf string, n int, text []byte) {
	t.Helper()
	first := keep(t, t.TempDir(), head(t, 0), nil)
	files := map[string][]byte{}
	for _, name := range []string{record.SamplesFile, record.SumFile, record.LockFile} {
		b, err := os.ReadFile(filepath.Join(first, name))
		must(t, err)
		files[name] = b
	}
	var told struct{ Started time.Time }
	must(t, json.Unmarshal(text, &told))
	old := told.Started.Format(time.RFC3339Nano)
	for i := range n {
		at := began.Add(-time.Duration(i) * time.Minute)
		dir := filepath.Join(shelf, at.Format("2006-01-02T150405Z")+fmt.Sprintf("-M1-%d", i))
		must(t, os.Mkdir(dir, 0o755))
		files[record.HeadFile] = bytes.Replace(text, []byte(old), []byte(at.Format(time.RFC3339)), 1)
		for name, b := range files {
			must(t, os.WriteFile(filepath.Join(dir, name), b, 0o644))
		}
	}
}
