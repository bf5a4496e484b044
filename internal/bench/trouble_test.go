package bench

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/watch"
)

// hurry is how much faster than the wall's a board's time goes, as that of a
// hurried simulator does.
const hurry = 10

// board is a source that sends a raw number fifty times a second of its own time,
// and does what a test tells it.
type board struct {
	mu     sync.Mutex
	raw    float64
	opened int
	gone   bool  // the plug is out
	fails  error // it cannot be opened
	quiet  bool  // it says nothing
	fine   bool  // it tells parts of a count: set before it runs
}

func (d *board) Name() string { return "serial:board" }

func (d *board) now() (raw float64, gone, quiet bool) {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.raw, d.gone, d.quiet
}

func (d *board) do(f func()) {
	d.mu.Lock()
	defer d.mu.Unlock()
	f()
}

func (d *board) Run(ctx context.Context, out func(feed.Chunk)) error {
	d.mu.Lock()
	err := d.fails
	if err == nil {
		d.opened++
	}
	d.mu.Unlock()
	if err != nil {
		return err
	}
	start, lost := time.Now(), false
	now := func() time.Time { return start.Add(hurry * time.Since(start)) }
	out(feed.Chunk{Kind: feed.Opened, At: start})
	tick := time.NewTicker(2 * time.Millisecond)
	defer tick.Stop()
	for n := 0; ; n++ {
		select {
		case <-ctx.Done():
			return nil
		case <-tick.C:
		}
		raw, gone, quiet := d.now()
		switch {
		case gone && !lost:
			lost = true
			out(feed.Chunk{Kind: feed.Lost, At: now(), Err: errors.New("unplugged")})
		case !gone && lost:
			lost = false
			out(feed.Chunk{Kind: feed.Back, At: now()})
		}
		if gone || quiet {
			continue
		}
		// A count of noise, as any converter has it: a number that stands still is stuck.
		// The mean of an odd number of readings is then not half a count, and on a busy
		// machine they are few: where that matters the noise is finer.
		count := strconv.FormatFloat(raw+float64(n%2), 'f', 0, 64)
		if d.fine {
			count = strconv.FormatFloat(raw+0.495+0.01*float64(n%2), 'f', 3, 64)
		}
		at := now()
		text := fmt.Sprintf("%d,%s\n", at.Sub(start).Microseconds(), count)
		out(feed.Chunk{Kind: feed.Data, At: at, Data: []byte(text)})
	}
}

// slack is the raw number of no load in the example rig: 4 mA over 250 Ω at 5 V
// in 4096 is 819.2.
const slack = 819

// withBoard is a bench on such a board, with a rig as a test has it.
func withBoard(t *testing.T, d *board, r func() (*rig.Rig, error), change func(*table, *Options)) *table {
	t.Helper()
	if r == nil {
		r = func() (*rig.Rig, error) { return exampleRig(t), nil }
	}
	return sat(t, func(b *table, o *Options) {
		o.LoadRig = func(string) (*rig.Rig, error) { return r() }
		o.Open = func(string, *rig.Rig, Setup) (feed.Feed, watch.TimeBase, bool, error) {
			return d, watch.HostTime, false, nil
		}
		o.Initial = map[FieldID]string{FieldRig: "rig.toml", FieldSource: "serial:board", FieldDiameters: "12.5 mm", FieldMelt: "M1", FieldSpecimen: "1"}
		if change != nil {
			change(b, o)
		}
	})
}

func (b *table) ready(t *testing.T) {
	t.Helper()
	await(t, "there is a rig", func() bool { return b.View().Rig != nil })
	b.goRound()
	await(t, "it may be armed", func() bool { return len(b.View().Refusals) == 0 })
}

// What the look sees refuses arming while it is so, and no longer.
func TestLookRefuses(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		d := &board{raw: slack}
		b := withBoard(t, d, nil, nil)
		b.ready(t)

		d.do(func() { d.gone = true })
		await(t, "the loss is seen", func() bool { return b.refused("the source was lost") })
		if _, err := b.Arm("I know better"); err == nil {
			t.Error("armed without a source")
		}
		d.do(func() { d.gone = false })
		await(t, "the source is back", func() bool { return len(b.View().Refusals) == 0 })

		d.do(func() { d.quiet = true })
		await(t, "the silence is heard", func() bool { return b.refused("no reading comes") })
		d.do(func() { d.quiet = false })
		await(t, "it talks again", func() bool { return len(b.View().Refusals) == 0 })

		d.do(func() { d.raw = 4095 }) // the converter is full
		await(t, "the signal is above range", func() bool { return b.refused("the sensor's signal is above range") })
		d.do(func() { d.raw = 0 }) // a broken wire
		await(t, "the circuit is open", func() bool { return b.refused("the sensor's signal is open circuit") })
		d.do(func() { d.raw = slack })
		await(t, "it is sound again", func() bool { return len(b.View().Refusals) == 0 })

		d.do(func() { d.raw = slack + 400 }) // some 85 bar
		await(t, "the load is seen", func() bool { return b.refused("there is load on the rig") })
		if _, err := b.Arm(""); err == nil {
			t.Error("armed under load")
		}
		d.do(func() { d.raw = slack })
		await(t, "the points of the bar are open", func() bool { return b.refused("3 points of 11 are not seen to: guard, line, stroke") })
		b.goRound()
		await(t, "the load is off and a zero taken anew", func() bool { return len(b.View().Refusals) == 0 })
		if b.View().Look.State.Phase != pull.Slack {
			t.Error("the look still lies behind its load: no zero could be taken")
		}
		if d.opened != 1 {
			t.Errorf("opened %d times", d.opened)
		}
	})
}

// A source that is not there yet is tried again; it says why meanwhile.
func TestSourceComesLater(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		d := &board{raw: slack, fails: &feed.Error{What: `serial port "board" is not there`, Hint: "plug it in", Err: feed.ErrSource}}
		b := withBoard(t, d, nil, nil)
		await(t, "it failed", func() bool { return b.View().Source == SourceFailed })
		if v := b.View(); !strings.Contains(v.SourceErr, "is not there: plug it in") || !b.refused("the source cannot be used: serial port") {
			t.Errorf("%q, refused: %s", v.SourceErr, whats(v.Refusals))
		}
		d.do(func() { d.fails = nil })
		await(t, "it is open", func() bool { return b.View().Source == SourceOpen })
		if err := b.View().SourceErr; err != "" {
			t.Errorf("it still says %q", err)
		}
		b.ready(t)
	})
}

// A zero that wandered since the last pull refuses until a reason is given, and
// then is the one that the pull begins with.
func TestZeroMoved(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		d := &board{raw: slack}
		b := withBoard(t, d, nil, nil)
		b.ready(t)
		b.pullBoard(t, d, "")
		d.do(func() { d.raw = slack + 50 }) // 1.5 % of the range of 3277 counts
		await(t, "it is refused by itself", func() bool { return b.refused("no zero yet") || b.refused("there is load on the rig") })
		await(t, "the zero is taken, and far off", func() bool {
			if b.refused("the zero has moved by") {
				return true
			}
			_ = b.Zero() // again and again, as an impatient person would
			return false
		})
		b.goRound()
		if rs := b.View().Refusals; len(rs) != 1 || rs[0].Final {
			t.Fatalf("refused: %s", whats(rs))
		}
		e := b.pullBoard(t, d, "cold morning")
		if z := e.Results.Zero; z.Raw == nil || *z.Raw < slack+49 || *z.Raw > slack+52 {
			t.Errorf("the pull's zero is %v, not the person's", z.Raw)
		}
		if e.Override != "cold morning" || len(e.Results.Remarks) == 0 || !strings.Contains(strings.Join(e.Lines, "\n"), "armed against a refusal, for this reason: cold morning") {
			t.Errorf("ended: %+v", e)
		}
	})
}

// pullBoard arms, and ends the pull at once.
func (b *table) pullBoard(t *testing.T, d *board, reason string) *Ended {
	t.Helper()
	w, err := b.Arm(reason)
	if err != nil {
		t.Fatal(err)
	}
	await(t, "the pull has its zero", func() bool { return w.Snapshot().State.Zero.Set })
	w.Do(watch.EndPull)
	await(t, "it is closed", func() bool { return b.Ended() != nil })
	return b.Ended()
}

// Another rig, kind or source is taken in the background; another bar opens
// nothing. A rig file with faults closes no port.
func TestWhatOpensAnew(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		d := &board{raw: slack}
		r := exampleRig(t)
		var mu sync.Mutex
		var rigErr error
		b := withBoard(t, d, func() (*rig.Rig, error) {
			mu.Lock()
			defer mu.Unlock()
			return r, rigErr
		}, nil)
		b.ready(t)
		for id, text := range map[FieldID]string{FieldMelt: "M2", FieldTags: "sand", FieldAlloy: "bronze", FieldDiameters: "10 mm", FieldGauge: "50 mm"} {
			set(t, b, id, text)
		}
		if rs := b.View().Refusals; len(rs) != 0 {
			t.Errorf("another bar: %s", whats(rs))
		}

		mu.Lock()
		rigErr = errors.New("rig.toml:3: no")
		mu.Unlock()
		set(t, b, FieldRig, "rig.toml")
		await(t, "the fault is told", func() bool { return b.refused("the rig file cannot be used: rig.toml:3: no") })
		if f := field(t, b.View().Fields, FieldRig); f.Fault != "rig.toml:3: no" {
			t.Errorf("fault %q", f.Fault)
		}
		mu.Lock()
		rigErr = nil
		other := *exampleRig(t)
		other.Limits = other.Limits[:1]
		r = &other
		mu.Unlock()
		set(t, b, FieldRig, "rig.toml")
		await(t, "the rig is another", func() bool { v := b.View(); return v.Rig != nil && len(v.Unknown) == 0 })
		await(t, "its points are asked for", func() bool { return b.refused("points of 10 are not seen to") })
		for _, p := range b.View().Points {
			if p.Done != p.ID.ofPeople() {
				t.Errorf("on another rig %s is seen to: %v", p.ID, p.Done)
			}
		}
		b.ready(t)
		if d.opened != 1 {
			t.Errorf("opened %d times for a rig that reads the same port", d.opened)
		}

		set(t, b, FieldKind, "proof")
		await(t, "the kind is taken", func() bool { return b.refused("are not seen to: stroke, proof-pressure, held") })
		set(t, b, FieldTarget, "20 kN")
		b.ready(t)
		if d.opened != 1 {
			t.Errorf("opened %d times for another kind", d.opened)
		}
		set(t, b, FieldSource, "serial:other")
		await(t, "the other source is open", func() bool { d.mu.Lock(); defer d.mu.Unlock(); return d.opened == 2 })
		b.ready(t)
		set(t, b, FieldSource, "")
		set(t, b, FieldRig, "")
		await(t, "there is nothing", func() bool { return b.refused("no rig") && b.refused("no source") && b.View().Source == NoSource })
		if err := b.Set("colour", "red"); err == nil {
			t.Error("a field that is none")
		}
		b.Confirm("no such point", true)
	})
}

// A rig of which nothing is known may be armed for a reason.
func TestNoKnownLimit(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		d := &board{raw: slack}
		b := withBoard(t, d, func() (*rig.Rig, error) {
			r := exampleRig(t)
			for i := range r.Limits {
				r.Limits[i] = rig.Limit{Name: r.Limits[i].Name, Kind: rig.Unknown, Factor: 1}
			}
			return r, nil
		}, nil)
		await(t, "it is refused for the limits alone", func() bool {
			b.goRound()
			rs := b.View().Refusals
			return len(rs) == 1 && strings.Contains(rs[0].What, "no part of this rig has a known limit") && !rs[0].Final
		})
	})
}

// Where nothing can be saved nothing is armed, and no folder is left.
func TestShelfCannotBeWritten(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		d := &board{raw: slack}
		b := withBoard(t, d, nil, func(b *table, o *Options) {
			file := filepath.Join(filepath.Dir(b.shelf), "file")
			if err := os.WriteFile(file, nil, 0o600); err != nil {
				t.Fatal(err)
			}
			o.Shelf = filepath.Join(file, "shelf")
		})
		await(t, "it is refused", func() bool { return b.refused("the pull could not be saved") })
		if _, err := b.Arm("I know better"); err == nil {
			t.Error("armed")
		}
		if err := writable(filepath.Join(b.shelf, "a", "b")); err != nil {
			t.Errorf("a shelf yet to be made: %v", err)
		}
		if _, err := os.Stat(b.shelf); err == nil {
			t.Error("looking made a folder")
		}
	})
}

// A file is no source for a bench.
func TestFileIsNoSource(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := sat(t, func(_ *table, o *Options) {
			o.LoadRig = func(string) (*rig.Rig, error) { return exampleRig(t), nil }
			o.Initial = map[FieldID]string{FieldRig: "rig.toml", FieldSource: "file:readings.csv"}
		})
		await(t, "it is refused", func() bool { return b.refused("does not send readings as they are measured") })
		if f := field(t, b.View().Fields, FieldSource); !strings.Contains(f.Fault, "draghand watch") {
			t.Errorf("fault %q", f.Fault)
		}
	})
}

// The bench closes a pull that runs, and its record.
func TestCloseEndsThePull(t *testing.T) {
	t.Parallel()
	for name, cancelled := range map[string]bool{"closed": false, "cancelled": true} {
		t.Run(name, func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				d := &board{raw: slack}
				ctx, cancel := context.WithCancel(t.Context())
				defer cancel()
				shelf := t.TempDir()
				b := New(Options{
					Shelf: shelf, LoadRig: func(string) (*rig.Rig, error) { return exampleRig(t), nil },
					Open: func(string, *rig.Rig, Setup) (feed.Feed, watch.TimeBase, bool, error) {
						return d, watch.HostTime, false, nil
					},
					Initial: map[FieldID]string{FieldRig: "r", FieldSource: "serial:board", FieldDiameters: "12.5 mm"},
				})
				if _, err := b.Arm("too early", b.View()); err == nil {
					t.Fatal("armed before it runs")
				}
				done := make(chan error, 1)
				go func() { done <- b.Run(ctx) }()
				(&table{Bench: b}).ready(t)
				w, err := b.Arm("", nil)
				if err != nil {
					t.Fatal(err)
				}
				await(t, "the pull reads", func() bool { return w.Snapshot().State.Readings > 0 })
				want := record.ByPerson
				if cancelled {
					want = record.BySignal
					cancel()
				} else {
					b.Close()
				}
				if err := <-done; err != nil {
					t.Error(err)
				}
				e := b.Ended()
				if e == nil || e.Reason != want {
					t.Fatalf("ended: %+v, want %q", e, want)
				}
				if r := record.Check(e.Record); r.Status != record.Whole || r.Writing {
					t.Error(r.Text())
				}
				if _, err := b.Arm("again", b.View()); err == nil {
					t.Error("armed on a bench that is put away")
				}
				b.Close()
			})
		})
	}
}

// A sensor that moves while it is looked at reads as load, and can be given a new
// zero all the same: by the person, who sees that there is none.
func TestZeroOfWhatReadsAsLoad(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		d := &board{raw: slack}
		b := withBoard(t, d, nil, nil)
		b.ready(t)
		d.do(func() { d.raw = slack + 50 })
		await(t, "it reads as load", func() bool {
			l := b.View().Look
			return l != nil && l.State.Phase == pull.Loading && b.refused("there is load on the rig")
		})
		if err := b.Zero(); err == nil || !strings.Contains(err.Error(), "ask again after 2 s") {
			t.Fatalf("asked once: %v", err)
		}
		await(t, "it is taken when asked again", func() bool { return b.Zero() == nil })
		await(t, "the zero is the person's", func() bool {
			l := b.View().Look
			return l != nil && l.State.Zero.Quality == "asked" && l.State.Zero.Raw > slack+49
		})
		await(t, "it wants a reason", func() bool { b.goRound(); return b.refused("the zero was taken") })
		if rs := b.View().Refusals; len(rs) != 1 || rs[0].Final || !strings.Contains(rs[0].What, "it may be load") {
			t.Errorf("refused: %s", whats(rs))
		}
		b.pullBoard(t, d, "the sensor has moved: no oil in the ram")
		set(t, b, FieldSpecimen, "2")
		await(t, "that zero is believed from then on", func() bool { b.goRound(); return len(b.View().Refusals) == 0 })
	})
}
