package shelf

import (
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

func list(t testing.TB, dir string) []Entry {
	t.Helper()
	all, err := List(context.Background(), dir, Options{})
	must(t, err)
	return all
}

// spoil rewrites the head of a record.
func spoil(t *testing.T, dir string, edit func(string) string) {
	t.Helper()
	p := filepath.Join(dir, record.HeadFile)
	b, err := os.ReadFile(p)
	must(t, err)
	must(t, os.WriteFile(p, []byte(edit(string(b))), 0o644))
}

// Every kind of folder is an entry with its reason, the newest first; files and
// hidden folders are left out.
func TestConditions(t *testing.T) {
	dir := t.TempDir()
	keep(t, dir, head(t, 1), nil)
	elsewhere, err := record.Create(t.TempDir(), head(t, 2))
	must(t, err)
	// Its writer died: the same folder without a holder of its lock.
	must(t, os.CopyFS(filepath.Join(dir, elsewhere.Name()), os.DirFS(elsewhere.Dir())))
	must(t, elsewhere.Close(record.Closing{}))
	live, err := record.Create(dir, head(t, 3))
	must(t, err)
	defer live.Close(record.Closing{})
	spoil(t, keep(t, dir, head(t, 4), nil), func(s string) string { return strings.Replace(s, `"format": 1`, `"format": 7`, 1) })
	spoil(t, keep(t, dir, head(t, 5), nil), func(s string) string { return s[:len(s)/2] })
	must(t, os.Remove(filepath.Join(keep(t, dir, head(t, 6), nil), record.HeadFile)))
	must(t, os.Mkdir(filepath.Join(dir, "holiday"), 0o755))
	must(t, os.Mkdir(filepath.Join(dir, ".hidden"), 0o755))
	must(t, os.WriteFile(filepath.Join(dir, "notes.txt"), nil, 0o644))
	must(t, os.Mkdir(filepath.Join(dir, "letters"), 0o755))
	must(t, os.WriteFile(filepath.Join(dir, "letters", record.HeadFile), []byte(`{"a":1}`), 0o644))
	must(t, os.Symlink(filepath.Join(dir, "holiday"), filepath.Join(dir, "link")))

	want := []struct {
		name      string
		condition Condition
		reason    string
	}{
		{"2026-11-25T130322Z-M1-1", Whole, ""},
		{"2026-11-25T120322Z-M1-2", Unfinished, ""},
		{"2026-11-25T110322Z-M1-3", Writing, ""},
		{"2026-11-25T100322Z-M1-4", Newer, "made by a newer draghand (format 7): update"},
		{"2026-11-25T090322Z-M1-5", Damaged, "pull.json is torn, its end is missing; put it back from a copy"},
		{"2026-11-25T080322Z-M1-6", Damaged, "pull.json is missing; put it back from a copy"},
		{"letters", Foreign, "pull.json has no format number: not a pull record"},
		{"holiday", Foreign, "no pull record: it holds no pull.json"},
		{"link", Foreign, "no pull record: it holds no pull.json"},
	}
	got := list(t, dir)
	if len(got) != len(want) {
		t.Errorf("%d entries, want %d", len(got), len(want))
	}
	for i, w := range want[:min(len(want), len(got))] {
		g := got[i]
		if g.Name != w.name || g.Condition != w.condition || g.Reason != w.reason || g.Dir != filepath.Join(dir, w.name) {
			t.Errorf("entry %d: %+v, want %v", i, g, w)
		}
		if g.Readable() != (i < 3) || g.Readable() && (g.Specimen.Melt != "M1" || g.Remarks != 2 || g.Kind != pull.Tension || g.RigName == "") {
			t.Errorf("entry %d: %+v", i, g)
		}
	}
	for i, e := range got[1:3] {
		if e.Strength != 0 || e.AtLeast != 0 || e.Peak != 0 || e.Outcome != "" {
			t.Errorf("entry %d has results: %+v", i+1, e)
		}
	}
}

// A pull.json that is no file does not hold the list up.
func TestHeadIsAFolder(t *testing.T) {
	dir := t.TempDir()
	must(t, os.MkdirAll(filepath.Join(dir, "odd", record.HeadFile), 0o755))
	if got := list(t, dir); len(got) != 1 || got[0].Condition != Foreign || !strings.Contains(got[0].Reason, "is no file") {
		t.Errorf("%+v", got)
	}
}

// A shelf that is not there is empty; one that is a file is an error.
func TestNoShelf(t *testing.T) {
	dir := t.TempDir()
	if got := list(t, filepath.Join(dir, "none")); len(got) != 0 {
		t.Errorf("%v", got)
	}
	file := filepath.Join(dir, "file")
	must(t, os.WriteFile(file, nil, 0o644))
	if _, err := List(context.Background(), file, Options{}); err == nil {
		t.Error("a file is a shelf")
	}
}

func TestCancelled(t *testing.T) {
	dir := t.TempDir()
	copies(t, dir, 3)
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if got, err := List(ctx, dir, Options{}); !errors.Is(err, context.Canceled) || got != nil {
		t.Errorf("%v, %v", got, err)
	}
}

// Results from the closing state. By hand: 36,750 N on π/4 · (12.5 mm)², which
// is 122.718463 mm², are 299.465941 MPa.
func TestResults(t *testing.T) {
	const mpa = 299.465941e6
	outcome := func(p pull.Phase) func(*pull.State) { return func(s *pull.State) { s.Phase, s.Outcome = p, p } }
	for name, c := range map[string]struct {
		edit                          func(*pull.State)
		kind                          pull.Kind
		bare                          bool
		peak, stress, strength, least float64
		result, how                   string
	}{
		"broken":      {nil, pull.Tension, false, 36750, mpa, mpa, 0, "299 MPa", "broken, simulated"},
		"faded":       {outcome(pull.Faded), pull.Tension, false, 36750, mpa, mpa, 0, "299 MPa", "faded, simulated"},
		"let off":     {outcome(pull.LetOff), pull.Tension, false, 36750, mpa, 0, mpa, "at least 299 MPa", "let-off, simulated"},
		"unclear":     {outcome(pull.Unclear), pull.Tension, false, 36750, mpa, 0, mpa, "at least 299 MPa", "unclear, simulated"},
		"no diameter": {nil, pull.Tension, true, 36750, 0, 0, 0, "force 36.75 kN", "broken, simulated"},
		"proof":       {outcome(pull.LetOff), pull.Proof, false, 36750, mpa, 0, 0, "36.75 kN", "proof let-off, simulated"},
		"crush":       {outcome(pull.Ended), pull.Crush, false, 36750, mpa, 0, 0, "36.75 kN", "crush ended, simulated"},
		"no load": {func(s *pull.State) {
			s.LoadedAt, s.Phase, s.Outcome = 0, pull.Ended, pull.Ended
			s.Peak = pull.Point{T: 1, Specimen: 12}
		}, pull.Tension, false, 0, 0, 0, 0, "no load seen", "slack, simulated"},
		"no peak": {func(s *pull.State) { s.Peak = pull.Point{} }, pull.Tension, false, 0, 0, 0, 0, "no load seen", "broken, simulated"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := t.TempDir()
			h := head(t, 1)
			h.Kind = c.kind
			if c.bare {
				h.Specimen.Diameters = nil
			}
			keep(t, dir, h, c.edit)
			e := list(t, dir)[0]
			for what, v := range map[string][2]float64{
				"peak": {float64(e.Peak), c.peak}, "stress": {float64(e.Stress), c.stress},
				"strength": {float64(e.Strength), c.strength}, "at least": {float64(e.AtLeast), c.least},
			} {
				if math.Abs(v[0]-v[1]) > 2e-9*v[1] { // a stress given to nine digits
					t.Errorf("%s %v, want %v", what, v[0], v[1])
				}
			}
			if got := e.Result(si.Metric); got != c.result {
				t.Errorf("result %q, want %q", got, c.result)
			}
			if got := e.How(); got != c.how {
				t.Errorf("how %q, want %q", got, c.how)
			}
		})
	}
}

// A bar whose grip or whose rig gave way has no strength: it bore at least the
// peak, as the results say. The last word counts.
func TestResultsFinished(t *testing.T) {
	grip, middle, pin := specimen.After{Where: specimen.InGrip}, specimen.After{Where: specimen.MidGauge}, specimen.After{Failed: "upper pin"}
	for name, c := range map[string]struct {
		finished []specimen.After
		result   string
	}{
		"in the middle":    {[]specimen.After{middle}, "299 MPa"},
		"in the grip":      {[]specimen.After{grip}, "at least 299 MPa"},
		"part of the rig":  {[]specimen.After{pin}, "at least 299 MPa"},
		"corrected":        {[]specimen.After{grip, middle}, "299 MPa"},
		"corrected to bad": {[]specimen.After{middle, pin}, "at least 299 MPa"},
	} {
		dir := t.TempDir()
		h := head(t, 1)
		for _, a := range c.finished {
			h.Finished = append(h.Finished, record.Finished{At: began, After: a})
		}
		keep(t, dir, h, nil)
		e := list(t, dir)[0]
		if got := e.Result(si.Metric); got != c.result || e.Strength != 0 && e.AtLeast != 0 {
			t.Errorf("%s: %q, want %q", name, got, c.result)
		}
		if full := strings.HasPrefix(c.result, "at least"); full == (e.Strength != 0) || full != (e.AtLeast != 0) {
			t.Errorf("%s: strength %v, at least %v", name, e.Strength, e.AtLeast)
		}
	}
}

// A head may hold anything: what is kept of it stays small, and the section is
// that of the smallest diameter all the same.
func TestHostileHead(t *testing.T) {
	dir := t.TempDir()
	h := head(t, 1)
	h.Specimen.ID, h.Specimen.Alloy = strings.Repeat("鋳", 5000), "\x1b[2J\x00"
	h.Specimen.Diameters = slices.Repeat([]si.Length{13 * si.Millimetre}, 5000)
	h.Specimen.Diameters[4000] = 12.5 * si.Millimetre
	keep(t, dir, h, nil)
	e := list(t, dir)[0]
	if len(e.Specimen.ID) > mostText+3 || len(e.Specimen.Diameters) != mostDiameters || e.Specimen.Diameter() != 12.5*si.Millimetre {
		t.Errorf("%d bytes, %d diameters, %v", len(e.Specimen.ID), len(e.Specimen.Diameters), e.Specimen.Diameter())
	}
	if math.Abs(float64(e.Strength)-299.465941e6) > 1 {
		t.Errorf("strength %v", e.Strength)
	}
}

// Two records of the same second are told apart by the number behind the name.
func TestOrder(t *testing.T) {
	dir := t.TempDir()
	h := head(t, 1)
	h.Specimen = specimen.Specimen{Melt: "M1"}
	for range 11 {
		keep(t, dir, h, nil)
	}
	var got []string
	for _, e := range list(t, dir) {
		got = append(got, strings.TrimPrefix(e.Name, "2026-11-25T130322Z-M1"))
	}
	if want := "[-11 -10 -9 -8 -7 -6 -5 -4 -3 -2 ]"; fmt.Sprint(got) != want {
		t.Errorf("%v, want %v", got, want)
	}
}
