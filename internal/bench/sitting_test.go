package bench

import (
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/shelf"
	"draghand/internal/sim"
	"draghand/internal/watch"
)

// speed is how much faster than life the sittings are.
const speed = 30

// await waits until something is so.
func await(t testing.TB, what string, so func() bool) {
	t.Helper()
	limit := time.After(40 * time.Second)
	tick := time.NewTicker(2 * time.Millisecond)
	defer tick.Stop()
	for !so() {
		select {
		case <-limit:
			t.Fatalf("waited in vain until %s", what)
		case <-tick.C:
		}
	}
}

// counted counts how often a source was opened.
type counted struct {
	feed.Feed
	opened *atomic.Int32
}

func (c counted) Run(ctx context.Context, out func(feed.Chunk)) error {
	return c.Feed.Run(ctx, func(x feed.Chunk) {
		if x.Kind == feed.Opened {
			c.opened.Add(1)
		}
		out(x)
	})
}

func (c counted) Begin() { c.Feed.(feed.Beginner).Begin() }

// table is a bench with the simulated rig on it.
type table struct {
	*Bench
	shelf  string
	opened atomic.Int32
	armed  []Setup // told by Armed
	fault  string  // of the simulated pulls
}

// sat makes a bench, and runs it until the test is over.
func sat(t *testing.T, change func(*table, *Options)) *table {
	t.Helper()
	b := &table{shelf: filepath.Join(t.TempDir(), "shelf")}
	o := Options{
		Shelf: b.shelf, Version: "test",
		LoadRig: func(path string) (*rig.Rig, error) { return rig.Load(path) },
		BuiltIn: func(pull.Kind) (*rig.Rig, error) { return exampleRig(t), nil },
		Armed:   func(s Setup) { b.armed = append(b.armed, s) },
		Open: func(from string, r *rig.Rig, _ Setup) (feed.Feed, watch.TimeBase, bool, error) {
			if !simulated(from) {
				f, err := feed.Open(from, feed.Options{Baud: r.Source.Baud})
				base := watch.HostTime
				if strings.HasPrefix(from, "file:") {
					base = watch.BoardTime
				}
				return f, base, false, err
			}
			idle := sim.Options{Rig: r, Seed: 5}
			f, err := sim.NewSitting(idle, func(n int) (*sim.Sim, error) {
				one := idle
				one.Seed, one.Fault = one.Seed+uint64(n), b.fault
				return sim.New(one)
			}, speed)
			return counted{f, &b.opened}, watch.HostTime, true, err
		},
	}
	if change != nil {
		change(b, &o)
	}
	b.Bench = New(o)
	done := make(chan error, 1)
	go func() { done <- b.Run(t.Context()) }()
	t.Cleanup(func() {
		b.Close()
		if err := <-done; err != nil {
			t.Error(err)
		}
	})
	return b
}

// Arm gives a reason for all that stands on the bench now.
func (b *table) Arm(reason string) (*watch.Watch, error) { return b.Bench.Arm(reason, b.View()) }

// next is the number that the next bar of this melt would have.
func (b *table) next() string {
	b.mu.Lock()
	defer b.mu.Unlock()
	_, s := b.form.read()
	return b.nextID(s)
}

// kinds are the first words of the refusals, for messages.
func whats(rs []Refusal) string {
	var out []string
	for _, r := range rs {
		out = append(out, r.What)
	}
	return strings.Join(out, " | ")
}

func (b *table) refused(what string) bool {
	return slices.ContainsFunc(b.View().Refusals, func(r Refusal) bool { return strings.Contains(r.What, what) })
}

// goRound confirms every point.
func (b *table) goRound() {
	for _, p := range b.View().Points {
		b.Confirm(p.ID, true)
	}
}

func (b *table) records(t testing.TB) []string {
	t.Helper()
	dirs, err := os.ReadDir(b.shelf)
	if err != nil && !errors.Is(err, os.ErrNotExist) {
		t.Fatal(err)
	}
	var out []string
	for _, d := range dirs {
		out = append(out, d.Name())
	}
	return out
}

func set(t testing.TB, b *table, id FieldID, text string) {
	t.Helper()
	if err := b.Set(id, text); err != nil {
		t.Fatalf("set %s to %q: %v", id, text, err)
	}
}

// A sitting of two bars: everything that refuses arming, one by one, then a pull
// to the break, a remark, and the next bar on the source that stayed open.
func TestSitting(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := sat(t, nil)
		refusals := func(arm string) {
			t.Helper()
			if _, err := b.Arm(arm); err == nil {
				t.Fatal("armed")
			} else if why := new(Refused); !errors.As(err, &why) || why.Next() == "" {
				t.Fatalf("refused by %v", err)
			}
			if left := b.records(t); len(left) != 0 {
				t.Fatalf("a refused arming left %v", left)
			}
		}
		await(t, "it runs", func() bool { return b.refused("no rig") && b.refused("no source") })
		for _, r := range b.View().Refusals {
			if r.What == "" || r.Next == "" {
				t.Errorf("refusal %+v", r)
			}
		}
		refusals("I know better") // no rig and no source are final

		set(t, b, FieldSource, "sim:")
		await(t, "the zero is taken", func() bool {
			l := b.View().Look
			return l != nil && l.State.Zero.Set
		})
		v := b.View()
		if v.Rig == nil || v.Source != SourceOpen || !slices.Equal(v.Unknown, []string{"pins"}) || b.refused("no rig") || b.refused("source") {
			t.Fatalf("rig %v, source %s, unknown %v, refusals %s", v.Rig, v.Source, v.Unknown, whats(v.Refusals))
		}
		if len(v.Refusals) != 2 || !b.refused("no diameter") || !b.refused("11 points of 11") || v.Refusals[0].Final || v.Refusals[1].Final {
			t.Fatalf("refusals: %s", whats(v.Refusals))
		}
		refusals("")

		if err := b.Set(FieldDiameters, "12,5 mm"); err == nil || !b.refused("diameters: a comma") || b.refused("no diameter") {
			t.Errorf("a fault in a field: %v, %s", err, whats(b.View().Refusals))
		}
		refusals("I know better") // a fault is final
		set(t, b, FieldDiameters, "12.5 mm, 12.51 mm")
		set(t, b, FieldMelt, "M1")
		set(t, b, FieldSpecimen, "01")
		set(t, b, FieldTags, "1150 °C, sand")
		set(t, b, FieldExpect, "40 .. 50 ksi")
		b.goRound()
		if rs := b.View().Refusals; len(rs) != 0 {
			t.Fatalf("refused: %s", whats(rs))
		}
		b.Confirm(PointAir, false)
		refusals("")
		if err := b.Zero(); err != nil {
			t.Fatal(err)
		}
		await(t, "the zero is the person's", func() bool { return b.View().Look.State.Zero.Quality == "asked" })
		if b.Running() != nil || b.Ended() != nil || b.Result().Record != "" {
			t.Error("a pull before any was armed")
		}
		if err := b.Remark("too early"); err == nil {
			t.Error("a remark on no pull")
		}

		first := b.pull(t, "bled yesterday")
		if len(first.Bar.Diameters) != 2 || first.Bar.ID != "01" || !first.Bar.Simulated || first.Override != "bled yesterday" || first.NextID != "02" {
			t.Errorf("ended: %+v", first)
		}
		rec, err := record.Open(first.Record)
		if err != nil {
			t.Fatal(err)
		}
		a := rec.Head.Arming
		if a == nil || len(a.Confirmed) != 10 || len(a.Unconfirmed) != 1 || a.Unconfirmed[0].ID != "air" || a.Reason != "bled yesterday" ||
			len(a.Overruled) != 1 || !slices.Equal(rec.Head.Overrides, []string{"bled yesterday"}) {
			t.Errorf("arming as recorded: %+v, overrides %q", a, rec.Head.Overrides)
		}
		if !slices.Equal(rec.Head.Specimen.Tags, []string{"1150 °C", "sand"}) || rec.Head.Specimen.ExpectLow == 0 {
			t.Errorf("specimen as recorded: %+v", rec.Head.Specimen)
		}
		if r := record.Check(first.Record); r.Status != record.Whole {
			t.Error(r.Text())
		}
		// Its results stand in it before anybody finishes it, as the shelf shows them.
		if e := shelf.Read(first.Record); e.Expanded == 0 || first.Results.StrengthExpandedPa == nil || float64(e.Expanded) != *first.Results.StrengthExpandedPa || !e.Open() {
			t.Errorf("on the shelf: ± %v, counts %q; ended with %v", e.Expanded, e.Counts, first.Results.StrengthExpandedPa)
		}

		if err := b.Remark("broke in the fillet"); err != nil {
			t.Fatal(err)
		}
		now := b.Ended()
		if !slices.Equal(now.Remarks, []string{"broke in the fillet"}) || len(first.Remarks) != 0 || !slices.Contains(now.Lines, "said       broke in the fillet") {
			t.Errorf("remarks %q, lines %q", now.Remarks, now.Lines)
		}
		if rec, err = record.Open(first.Record); err != nil || len(rec.Head.Said) != 1 || rec.Head.Said[0].Text != "broke in the fillet" {
			t.Errorf("in the record: %+v, %v", rec.Head.Said, err)
		}

		b.NextBar()
		v = b.View()
		if s, d := field(t, v.Fields, FieldSpecimen).Text, field(t, v.Fields, FieldDiameters).Text; s != "02" || d != "" || b.next() != "03" {
			t.Errorf("next bar %q with diameters %q, then %q", s, d, b.next())
		}
		if field(t, v.Fields, FieldMelt).Text != "M1" || !b.refused("4 points of 11 are not seen to: guard, line, air, stroke") {
			t.Errorf("of the next bar: %s", whats(v.Refusals))
		}
		set(t, b, FieldDiameters, "12.5 mm")
		b.goRound()
		await(t, "it may be armed again", func() bool { return len(b.View().Refusals) == 0 })
		second := b.pull(t, "")
		if second.Override != "" || second.Bar.ID != "02" || second.Record == first.Record {
			t.Errorf("second: %+v", second)
		}
		if n := b.opened.Load(); n != 1 {
			t.Errorf("the source was opened %d times", n)
		}
		if bars := b.View().Bars; len(bars) != 2 || bars[0].Specimen != "01" || bars[1].Specimen != "02" || !strings.Contains(bars[1].Strength, "ksi") ||
			bars[1].Outcome != "broken" || bars[1].Melt != "M1" || bars[1].Record != second.Name {
			t.Errorf("bars %+v", bars)
		}
		if len(b.armed) != 2 || b.armed[1].Bar.ID != "02" {
			t.Errorf("armed with %+v", b.armed)
		}
	})
}

// pull arms and waits for the end of a pull that breaks a bar of C90500: its
// peak lies where the simulator's own truth has it.
func (b *table) pull(t *testing.T, reason string) *Ended {
	t.Helper()
	w, err := b.Arm(reason)
	if err != nil {
		t.Fatal(err)
	}
	if b.Running() != w || b.Ended() != nil || !b.refused("a pull is being recorded") || b.View().Look != nil {
		t.Errorf("after arming: running %v, ended %v, refused %s", b.Running() == w, b.Ended(), whats(b.View().Refusals))
	}
	if _, err := b.Arm("twice"); err == nil {
		t.Error("armed twice")
	}
	if err := b.Set(FieldSource, "serial:/dev/null"); err == nil {
		t.Error("the source was changed under a pull")
	}
	await(t, "the pull is closed", func() bool { return b.Ended() != nil })
	e := b.Ended()
	if b.Running() != nil || e.Results.Phase != "broken" || e.Reason != record.ByBreak || e.Saved != "" || e.Source != "" || e.Name != filepath.Base(e.Record) {
		t.Fatalf("ended: %+v", e)
	}
	truth, err := sim.New(sim.Options{Rig: exampleRig(t), Seed: 5 + uint64(len(b.armed)-1)})
	if err != nil {
		t.Fatal(err)
	}
	// 0.5 % is the transducer's accuracy in the example rig.
	want := float64(truth.Truth().PeakSpecimen)
	if got := e.Results.Peak.SpecimenN; math.Abs(got/want-1) > 0.005+0.005 {
		t.Errorf("peak %.0f N, truly %.0f N", got, want)
	}
	if e.Results.Zero.Quality != "quiet" {
		t.Errorf("zero %q: none was taken from what came before arming", e.Results.Zero.Quality)
	}
	if res := b.Result(); res.Record != e.Record || res.State.Outcome != pull.Broken {
		t.Errorf("result %+v", res)
	}
	return e
}
