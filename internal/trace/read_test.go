package trace

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// anySitting draws a pull of any shape.
func anySitting(t *rapid.T) sitting {
	s := sitting{
		hz:     rapid.SampledFrom([]int{20, 50, 200, 1000}).Draw(t, "hz"),
		wait:   time.Duration(rapid.IntRange(2500, 6000).Draw(t, "wait")) * time.Millisecond,
		load:   time.Duration(rapid.IntRange(2000, 9000).Draw(t, "load")) * time.Millisecond,
		topKN:  rapid.Float64Range(5, 40).Draw(t, "kN"),
		noise:  rapid.Float64Range(0, 3).Draw(t, "noise"),
		offset: rapid.Float64Range(-8, 8).Draw(t, "offset"),
		far:    rapid.Bool().Draw(t, "far"),
		noBar:  rapid.Bool().Draw(t, "no bar"),
		after:  time.Duration(rapid.IntRange(0, 2500).Draw(t, "after")) * time.Millisecond,
	}
	all := s.wait + s.load + s.after
	at := func(name string) time.Duration {
		return time.Duration(rapid.Int64Range(0, int64(all)).Draw(t, name)).Truncate(time.Millisecond)
	}
	if rapid.Bool().Draw(t, "seen all the way") {
		return s
	}
	for range rapid.IntRange(0, 2).Draw(t, "faults") {
		s.faults = append(s.faults, at("fault"))
	}
	for _, kind := range []*[]span{&s.away, &s.holes, &s.open} {
		for range rapid.IntRange(0, 1).Draw(t, "spans") {
			*kind = append(*kind, span{at("from"), time.Duration(rapid.IntRange(1, 3000).Draw(t, "for")) * time.Millisecond})
		}
	}
	return s
}

// whatever goes through the readings one by one finds each of them in its column,
// and each end of a column among them.
func checkColumns(t *rapid.T, rec *record.Record, tr *Trace, zero si.Pressure) {
	chain := rec.Head.Rig.Chain()
	type ends struct{ low, high si.Force }
	want := map[time.Duration]ends{}
	rs := rec.Readings()
	defer rs.Close()
	n := 0
	for rs.Next() {
		r := rs.Reading()
		p, sig := chain.Pressure(r.Raw)
		if r.Mark != pull.NoMark || sig != rig.OK {
			continue
		}
		n++
		f := chain.Specimen(p - zero)
		at := r.T / tr.Width * tr.Width
		if e, ok := want[at]; ok {
			want[at] = ends{min(e.low, f), max(e.high, f)}
		} else {
			want[at] = ends{f, f}
		}
	}
	must(t, rs.Err())
	got := map[time.Duration]ends{}
	for i, c := range tr.Columns {
		if i > 0 && c.At < tr.Columns[i-1].At+tr.Width {
			t.Fatalf("column %d at %v after one at %v", i, c.At, tr.Columns[i-1].At)
		}
		got[c.At] = ends{c.Low, c.High}
	}
	if d := cmp.Diff(want, got, cmp.AllowUnexported(ends{})); d != "" || n == 0 {
		t.Fatalf("%d readings; of the readings, of the trace (-+):\n%s", n, d)
	}
}

// A trace by whichever way is what a pass over all the readings gives.
func TestTraceIsThatOfTheReadings(t *testing.T) {
	root := t.TempDir()
	quick, pulls := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		shelf, err := os.MkdirTemp(root, "")
		must(t, err)
		defer os.RemoveAll(shelf)
		s := anySitting(t)
		dir := s.write(t, shelf)
		n := rapid.SampledFrom([]int{2, 7, 64, 1000, 4096, 20_000}).Draw(t, "columns")
		got, err := Read(dir, n)
		must(t, err)
		rec, err := record.Open(dir)
		must(t, err)
		state, err := rec.Replay(nil)
		must(t, err)
		if len(got.Columns) > n || len(got.Columns) == 0 {
			t.Fatalf("%d columns of at most %d", len(got.Columns), n)
		}
		checkColumns(t, rec, got, state.Zero.Pressure)
		full, err := passed(t.Context(), rec, n)
		must(t, err)
		near := cmp.Comparer(func(a, b time.Duration) bool { return (a - b).Abs() <= time.Microsecond })
		if d := cmp.Diff(full, got, near); d != "" {
			t.Fatalf("of a pass, of Read (-+):\n%s", d)
		}
		pulls++
		if _, ok := outlined(rec, n); ok {
			quick++
		}
		if got.Loaded != state.LoadedAt || state.LoadedAt != 0 && (got.Peak != state.Peak.T || got.PeakForce != state.Peak.Specimen) {
			t.Fatalf("loaded %v, peak %v at %v: the engine has %v, %v at %v", got.Loaded, got.PeakForce, got.Peak, state.LoadedAt, state.Peak.Specimen, state.Peak.T)
		}
		if (got.Area == 0) != s.noBar {
			t.Fatalf("section %v", got.Area)
		}
	})
	// Of a hundred some 58 are; -short draws twenty.
	if 10*quick < pulls {
		t.Errorf("%d of %d pulls were read by the overview: the test shows nothing", quick, pulls)
	}
}

// Where the force was out of sight for half a second and more, where the source was
// away and where the sensor was over its range no line joins what was seen.
func TestGaps(t *testing.T) {
	sec := time.Second
	for name, c := range map[string]struct {
		edit func(s *sitting)
		want []time.Duration // of the first reading after each gap
	}{
		"none":                      {func(s *sitting) {}, nil},
		"a wire off":                {func(s *sitting) { s.open = []span{{10 * sec, sec}} }, []time.Duration{11 * sec}},
		"a wire off for a moment":   {func(s *sitting) { s.open = []span{{10 * sec, 200 * time.Millisecond}} }, nil},
		"away":                      {func(s *sitting) { s.away = []span{{10 * sec, 100 * time.Millisecond}} }, []time.Duration{10*sec + 100*time.Millisecond}},
		"a hole":                    {func(s *sitting) { s.holes = []span{{10 * sec, 2 * sec}} }, []time.Duration{12 * sec}},
		"over the range":            {func(s *sitting) { s.faults = []time.Duration{10 * sec} }, []time.Duration{10*sec + 5*time.Millisecond}},
		"two, the one on the other": {func(s *sitting) { s.holes = []span{{10 * sec, 2 * sec}, {12*sec + 100*time.Millisecond, sec}} }, []time.Duration{12 * sec, 13*sec + 100*time.Millisecond}},
	} {
		t.Run(name, func(t *testing.T) {
			s := usual
			c.edit(&s)
			tr, err := Read(s.write(t, t.TempDir()), 65536)
			must(t, err)
			var got []time.Duration
			for _, col := range tr.Columns {
				if col.Gap {
					got = append(got, col.At)
				}
			}
			near := cmp.Comparer(func(a, b time.Duration) bool { return (a - b).Abs() <= tr.Width })
			if d := cmp.Diff(c.want, got, near); d != "" {
				t.Errorf("(-want +got):\n%s", d)
			}
			if few := tr.Between(0, tr.End, 5); slices.ContainsFunc(few, func(c Column) bool { return c.Gap }) != (len(c.want) > 0) {
				t.Errorf("in five columns: %+v", few)
			}
		})
	}
}

// What a record may be that is not whole.
func TestRecordsThatAreNotWhole(t *testing.T) {
	whole := usual.write(t, t.TempDir())
	of := func(edit func(dir string)) string {
		dir := filepath.Join(t.TempDir(), filepath.Base(whole))
		must(t, os.CopyFS(dir, os.DirFS(whole)))
		edit(dir)
		return dir
	}
	want, err := Read(whole, Plenty)
	must(t, err)
	samples := func(edit func(b []byte) []byte) string {
		return of(func(dir string) {
			path := filepath.Join(dir, record.SamplesFile)
			b, err := os.ReadFile(path)
			must(t, err)
			must(t, os.WriteFile(path, edit(b), 0o644))
		})
	}

	t.Run("no overview", func(t *testing.T) {
		got, err := Read(of(func(dir string) { must(t, os.Remove(filepath.Join(dir, record.OverviewFile))) }), Plenty)
		must(t, err)
		got.Dir = want.Dir
		if d := cmp.Diff(want, got); d != "" {
			t.Error(d)
		}
	})
	t.Run("cut off by a disk", func(t *testing.T) {
		got, err := Read(samples(func(b []byte) []byte { return b[:len(b)/2] }), Plenty)
		must(t, err)
		var damage *record.DamageError
		if !errors.As(got.Damage, &damage) || got.End > want.End*2/3 || len(got.Columns) < 1000 {
			t.Errorf("%v, to %v in %d columns", got.Damage, got.End, len(got.Columns))
		}
	})
	t.Run("nothing intact", func(t *testing.T) {
		var damage *record.DamageError
		if _, err := Read(samples(func(b []byte) []byte { return []byte("hello\n") }), Plenty); !errors.As(err, &damage) {
			t.Errorf("%v", err)
		}
	})
	t.Run("never closed", func(t *testing.T) {
		s := usual
		s.unended = true
		got, err := Read(s.write(t, t.TempDir()), Plenty)
		must(t, err)
		if !got.Unfinished || got.Damage != nil || got.PeakForce != want.PeakForce || got.Loaded != want.Loaded {
			t.Errorf("%+v", got)
		}
	})
	t.Run("being written", func(t *testing.T) {
		w, err := record.Create(t.TempDir(), usual.head(t))
		must(t, err)
		defer w.Close(record.Closing{})
		if _, err := Read(w.Dir(), Plenty); !errors.Is(err, ErrWriting) {
			t.Errorf("%v", err)
		}
	})
	t.Run("by eye", func(t *testing.T) {
		h := usual.head(t)
		dial, err := record.ParseDial("2500 psi", "")
		must(t, err)
		dial.Outcome = pull.Broken
		h.Dial = &dial
		dir, _, err := record.CreateDial(t.TempDir(), h)
		must(t, err)
		if _, err := Read(dir, Plenty); !errors.Is(err, ErrNoTrace) {
			t.Errorf("%v", err)
		}
	})
	t.Run("not one valid reading", func(t *testing.T) {
		s := usual
		s.open = []span{{0, time.Hour}}
		if _, err := Read(s.write(t, t.TempDir()), Plenty); !errors.Is(err, ErrBlank) {
			t.Errorf("%v", err)
		}
	})
	t.Run("foreign", func(t *testing.T) {
		if _, err := Read(t.TempDir(), Plenty); !errors.Is(err, record.ErrForeign) {
			t.Errorf("%v", err)
		}
	})
	t.Run("of an earlier program", func(t *testing.T) { // its closing does not say when the load began
		const dir = "../../testdata/records/2026-11-25T122446Z-M1-5-earlier"
		got, err := Read(dir, Plenty)
		must(t, err)
		rec, err := record.Open(dir)
		must(t, err)
		state, err := rec.Replay(nil)
		must(t, err)
		if got.Loaded == 0 || got.Loaded != state.LoadedAt || got.Break == 0 || got.Outcome != pull.Broken {
			t.Errorf("loaded at %v, broke at %v, %s; the engine has %v", got.Loaded, got.Break, got.Outcome, state.LoadedAt)
		}
	})
}

// A pull that never had a load has no moment to lay it by, and no peak.
func TestNeverLoaded(t *testing.T) {
	s := usual
	s.topKN = 0
	tr, err := Read(s.write(t, t.TempDir()), Plenty)
	must(t, err)
	_, start := tr.At(LoadStart)
	_, peak := tr.At(Peak)
	if start || peak || tr.Peak != 0 || tr.PeakForce != 0 || len(tr.Columns) == 0 {
		t.Errorf("%+v", tr)
	}
}

// Pulls are lined up where the force begins, not where the engine was sure of it.
func TestLoadStart(t *testing.T) {
	const ms = time.Millisecond
	ramp := func(rise float64, base si.Force) *Trace { // N a second from 5 s on
		tr := &Trace{Width: 10 * ms, Loaded: 5500 * ms}
		for at := time.Duration(0); at < 10*time.Second; at += tr.Width {
			f := base + si.Force(rise*max(0, (at-5*time.Second).Seconds()))
			tr.Columns = append(tr.Columns, Column{At: at, Low: f - 5, High: f + 5})
		}
		return tr
	}
	for name, c := range map[string]struct {
		tr       *Trace
		from, to time.Duration
	}{
		"a ramp":           {ramp(1000, 0), 5000 * ms, 5150 * ms},
		"a steep one":      {ramp(20_000, 0), 5000 * ms, 5150 * ms},
		"on a preload":     {ramp(1000, 2000), 5500 * ms, 5500 * ms}, // there is no lower to be seen
		"no columns":       {&Trace{Loaded: 5500 * ms, Width: 10 * ms}, 5500 * ms, 5500 * ms},
		"a coarse trace":   {&Trace{Loaded: 5500 * ms, Width: time.Second, Columns: []Column{{At: 4 * time.Second, Low: 0, High: 1}, {At: 5 * time.Second, Low: 0, High: 500}}}, 5000 * ms, 5000 * ms},
		"loaded in a hole": {&Trace{Loaded: 5500 * ms, Width: 10 * ms, Columns: []Column{{At: 4 * time.Second, High: 1}, {At: 6 * time.Second, High: 500}}}, 5500 * ms, 5500 * ms},
	} {
		if at, ok := c.tr.At(LoadStart); !ok || at < c.from || at > c.to {
			t.Errorf("%s: %v, want %v to %v", name, at, c.from, c.to)
		}
	}
}

// Of a pull that is short against its wait there are more columns.
func TestFine(t *testing.T) {
	s := sitting{hz: 50, wait: 20 * time.Minute, load: 5 * time.Second, topKN: 30, noise: 1, after: time.Second}
	dir := s.write(t, t.TempDir())
	plain, err := Read(dir, Plenty)
	must(t, err)
	fine, err := ReadFine(dir)
	must(t, err)
	if plain.Width < 200*time.Millisecond || fine.Width > plain.Width/8 || fine.PeakForce != plain.PeakForce {
		t.Errorf("%v wide, %v when fine", plain.Width, fine.Width)
	}
	dir = usual.write(t, t.TempDir())
	if plain, err = Read(dir, Plenty); err != nil {
		t.Fatal(err)
	}
	if fine, err = ReadFine(dir); err != nil || fine.Width != plain.Width {
		t.Errorf("%v: %v wide, %v when fine", err, plain.Width, fine.Width)
	}
}

// The far bar of a rig with unequal arms has its own force.
func TestFarSide(t *testing.T) {
	s := usual
	s.far = true
	h := s.head(t)
	if h.Specimen.Side != specimen.Far {
		t.Fatal(h.Specimen.Side)
	}
	dir := s.write(t, t.TempDir())
	rec, err := record.Open(dir)
	must(t, err)
	state, err := rec.Replay(nil)
	must(t, err)
	tr, err := Read(dir, Plenty)
	must(t, err)
	low, high, ok := tr.Extremes(0, tr.End+tr.Width)
	if !ok || high != state.PeakRaw.Specimen || low > 0 {
		t.Errorf("%v to %v, the engine's largest reading is %v", low, high, state.PeakRaw.Specimen)
	}
}
