package bench

import (
	"context"
	"os"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"

	"draghand/internal/feed"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/watch"
)

// broken is a bench in whose parts a test makes faults.
func broken(t *testing.T, d *board, change func(*Options)) (b *table, ended chan error) {
	t.Helper()
	o := Options{
		Shelf:   t.TempDir(),
		LoadRig: func(string) (*rig.Rig, error) { return exampleRig(t), nil },
		Open: func(string, *rig.Rig, Setup) (feed.Feed, watch.TimeBase, bool, error) {
			return d, watch.HostTime, false, nil
		},
		Initial: map[FieldID]string{FieldRig: "r", FieldSource: "serial:board", FieldDiameters: "12.5 mm", FieldSpecimen: "1"},
	}
	change(&o)
	b = &table{Bench: New(o), shelf: o.Shelf}
	ended = make(chan error, 1)
	go func() { ended <- b.Run(context.WithoutCancel(t.Context())) }()
	t.Cleanup(b.Close)
	return b, ended
}

// fails wants Run's error, and a bench that answers all the same.
func (b *table) fails(t *testing.T, ended chan error) {
	t.Helper()
	err := <-ended
	if err == nil || !strings.Contains(err.Error(), "fault in the program: a test's fault (fault_test.go:") {
		t.Errorf("ended with %v", err)
	}
	if b.Running() != nil {
		t.Error("a pull runs on")
	}
	if _, err := b.Arm("I know better"); err == nil {
		t.Error("armed on a broken bench")
	}
}

// A fault while the bench tends its things ends Run with an error.
func TestFaultInTending(t *testing.T) {
	t.Parallel()
	for name, change := range map[string]func(*Options){
		"the rig": func(o *Options) { o.LoadRig = func(string) (*rig.Rig, error) { panic("a test's fault") } },
		"the source": func(o *Options) {
			o.Open = func(string, *rig.Rig, Setup) (feed.Feed, watch.TimeBase, bool, error) { panic("a test's fault") }
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				b, ended := broken(t, &board{raw: slack}, change)
				b.fails(t, ended)
			})
		})
	}
}

// A fault beside a pull that runs ends the pull, closes its record and drops the
// trip line.
func TestFaultBesideAPull(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		l := &line{}
		b, ended := broken(t, &board{raw: slack}, func(o *Options) {
			o.Trip = func(feed.Feed, *rig.Rig) (feed.Trip, string, error) { return l, "", nil }
		})
		b.ready(t)
		if _, err := b.Arm(""); err != nil {
			t.Fatal(err)
		}
		await(t, "the line is held", func() bool { held, _, _ := l.is(); return held })
		go func() {
			defer b.caught()
			panic("a test's fault")
		}()
		b.fails(t, ended)
		if held, _, closed := l.is(); held || !closed {
			t.Errorf("the line is held %v, closed %v", held, closed)
		}
		e := b.Ended()
		if e == nil {
			t.Fatal("the pull has no end")
		}
		if r := record.Check(e.Record); r.Status != record.Whole || r.Writing {
			t.Error(r.Text())
		}
	})
}

// A fault when a pull is put away leaves what there is of it named.
func TestFaultInFinishing(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		var asked atomic.Bool
		b, ended := broken(t, &board{raw: slack}, func(o *Options) {
			o.Rescue = func(*watch.Watch) (string, error) { asked.Store(true); panic("a test's fault") }
		})
		b.ready(t)
		w, err := b.Arm("")
		if err != nil {
			t.Fatal(err)
		}
		await(t, "it reads", func() bool { return w.Snapshot().State.Readings > 50 })
		if err := os.RemoveAll(w.Snapshot().Record.Path); err != nil {
			t.Skipf("the system keeps a folder in use: %v", err)
		}
		w.Do(watch.EndPull)
		b.fails(t, ended)
		if bars := b.View().Bars; !asked.Load() || len(bars) != 1 || !strings.HasPrefix(bars[0].Saved, "NOT SAVED") {
			t.Errorf("bars %+v", bars)
		}
	})
}
