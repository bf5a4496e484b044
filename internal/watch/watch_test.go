package watch_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/sim"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

func exampleRig(t testing.TB) *rig.Rig {
	t.Helper()
	r, err := rig.Parse("example", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func bar() specimen.Specimen {
	return specimen.Specimen{ID: "1", Melt: "M1", Diameters: []si.Length{12.5 * si.Millimetre}, Simulated: true}
}

// simulated is the feed of a simulated pull, far faster than life.
func simulated(t testing.TB, r *rig.Rig, fault string, seed uint64) feed.Feed {
	t.Helper()
	s, err := sim.New(sim.Options{Rig: r, Seed: seed, Fault: fault})
	if err != nil {
		t.Fatal(err)
	}
	return sim.NewFeed(s, 200)
}

func newWatch(t testing.TB, o watch.Options) *watch.Watch {
	t.Helper()
	w, err := watch.New(o)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// The live pull and a replay of its record end in the same state, whatever went
// wrong on the way.
func TestReplayGivesTheLiveState(t *testing.T) {
	for _, fault := range append([]string{""}, sim.Faults()...) {
		t.Run("fault "+fault, func(t *testing.T) {
			t.Parallel()
			r := exampleRig(t)
			w := newWatch(t, watch.Options{
				Feed: simulated(t, r, fault, 5), Rig: r, Specimen: bar(), Shelf: t.TempDir(), For: 40 * time.Second,
				Listen: func(e watch.Event) { // reads all of every event, while the engine goes on
					if _, err := json.Marshal(e); err != nil {
						t.Error(err)
					}
				},
			})
			w.Do(watch.AckAlarms)
			w.Do(watch.ZeroNow)
			res := w.Run(t.Context())
			if res.Save != nil || res.Source != nil {
				t.Fatalf("save %v, source %v", res.Save, res.Source)
			}
			rec, err := record.Open(res.Record)
			if err != nil {
				t.Fatal(err)
			}
			replayed, err := rec.Replay(nil)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(res.State, replayed); d != "" {
				t.Errorf("live (-) and replayed (+) differ:\n%s", d)
			}
			if replayed.Readings < 1000 {
				t.Errorf("only %d readings: the test shows nothing", replayed.Readings)
			}
			want := record.ClosingFrom(replayed, res.Reason)
			got := *rec.Head.Closing
			want.Ended, want.SamplesBytes, want.SamplesLines, want.SamplesSHA256 = got.Ended, got.SamplesBytes, got.SamplesLines, got.SamplesSHA256
			if d := cmp.Diff(got, want); d != "" {
				t.Errorf("the closing kept (-) and that of the replay (+) differ:\n%s", d)
			}
		})
	}
}

// scripted is a feed that does what a function says.
type scripted func(ctx context.Context, out func(feed.Chunk)) error

func (scripted) Name() string { return "scripted" }

func (s scripted) Run(ctx context.Context, out func(feed.Chunk)) error { return s(ctx, out) }

func lines(from, n int) []byte {
	var b []byte
	for i := range n {
		b = fmt.Appendf(b, "%d,%d\n", (from+i)*1000, 820+i%2)
	}
	return b
}

// A source that fails, panics or ends: the record is closed and whole.
func TestSourceFailures(t *testing.T) {
	broken := errors.New("the wire is cut")
	for name, c := range map[string]struct {
		after  func() error
		reason string
		isErr  bool
	}{
		"ends":   {func() error { return nil }, "end of source", false},
		"fails":  {func() error { return broken }, "source lost", true},
		"panics": {func() error { panic("feed") }, "source lost", true},
	} {
		t.Run(name, func(t *testing.T) {
			r := exampleRig(t)
			w := newWatch(t, watch.Options{
				Rig: r, Shelf: t.TempDir(), Feed: scripted(func(_ context.Context, out func(feed.Chunk)) error {
					out(feed.Chunk{Kind: feed.Opened, At: time.Now()})
					out(feed.Chunk{Kind: feed.Data, At: time.Now(), Data: lines(0, 100)})
					return c.after()
				}),
			})
			res := w.Run(t.Context())
			if res.Reason != c.reason || (res.Source != nil) != c.isErr {
				t.Errorf("reason %q, source error %v; want %q, error %v", res.Reason, res.Source, c.reason, c.isErr)
			}
			if res.State.Readings != 100 {
				t.Errorf("%d readings, want 100", res.State.Readings)
			}
			if rep := record.Check(res.Record); rep.Status != record.Whole {
				t.Errorf("record: %s", rep.Text())
			}
			if s := w.Snapshot(); !s.Closed || !s.Record.Saved {
				t.Errorf("last snapshot closed %v, saved %v", s.Closed, s.Record.Saved)
			}
		})
	}
}

// A listener that never returns, or panics, holds up no reading.
func TestListenerCannotHoldUpThePull(t *testing.T) {
	for name, listen := range map[string]func(watch.Event){
		"stuck":  func(watch.Event) { select {} },
		"panics": func(watch.Event) { panic("listener") },
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			r := exampleRig(t)
			w := newWatch(t, watch.Options{Feed: simulated(t, r, "", 2), Rig: r, Specimen: bar(), Shelf: t.TempDir(), Listen: listen})
			if res := w.Run(t.Context()); res.State.Outcome != pull.Broken || res.Save != nil {
				t.Errorf("outcome %q, save %v", res.State.Outcome, res.Save)
			}
		})
	}
}

// Ending by the context and by the person closes the record with its reason.
func TestEndings(t *testing.T) {
	r := exampleRig(t)
	endless := scripted(func(ctx context.Context, out func(feed.Chunk)) error {
		out(feed.Chunk{Kind: feed.Opened, At: time.Now()})
		for i := 0; ; i++ {
			out(feed.Chunk{Kind: feed.Data, At: time.Now(), Data: lines(i, 1)})
			select {
			case <-ctx.Done():
				return nil
			case <-time.After(time.Millisecond):
			}
		}
	})
	ctx, cancel := context.WithCancel(t.Context())
	w := newWatch(t, watch.Options{Feed: endless, Rig: r, Shelf: t.TempDir(), Listen: func(e watch.Event) {
		if e.Kind == watch.Armed {
			cancel()
		}
	}})
	if res := w.Run(ctx); res.Reason != record.BySignal || res.Save != nil {
		t.Errorf("reason %q, save %v", res.Reason, res.Save)
	}
	w = newWatch(t, watch.Options{Feed: endless, Rig: r, Shelf: t.TempDir()})
	w.Do(watch.EndPull)
	if res := w.Run(t.Context()); res.Reason != record.ByPerson || res.Save != nil {
		t.Errorf("reason %q, save %v", res.Reason, res.Save)
	}
	w = newWatch(t, watch.Options{Feed: endless, Rig: r, Shelf: t.TempDir(), For: 50 * time.Millisecond})
	if res := w.Run(t.Context()); res.Reason != record.ByTime || res.Save != nil {
		t.Errorf("reason %q, save %v", res.Reason, res.Save)
	}
}

// An open source that falls silent under load is told within a second, and a
// replay knows of it.
func TestSilenceIsMarked(t *testing.T) {
	r := exampleRig(t)
	var mu sync.Mutex
	var seen []watch.EventKind
	silent := make(chan struct{})
	w := newWatch(t, watch.Options{
		Rig: r, Shelf: t.TempDir(),
		Listen: func(e watch.Event) {
			mu.Lock()
			defer mu.Unlock()
			seen = append(seen, e.Kind)
			if e.Alarm != nil && e.Alarm.Blind {
				close(silent)
			}
		},
		Feed: scripted(func(ctx context.Context, out func(feed.Chunk)) error {
			out(feed.Chunk{Kind: feed.Opened, At: time.Now()})
			begun := time.Now()
			for i := range 4000 {
				// 2.5 s of rest, then a steep rise to half of the link bar's
				// limit, as fast as the engine takes it.
				raw := 820
				if i > 2500 {
					raw += (i - 2500) / 4
				}
				out(feed.Chunk{Kind: feed.Data, At: begun.Add(time.Duration(i) * time.Millisecond), Data: fmt.Appendf(nil, "%d,%d\n", i*1000, raw+i%2)})
			}
			select {
			case <-silent:
			case <-ctx.Done():
			case <-time.After(10 * time.Second):
				return errors.New("nobody noticed the silence")
			}
			return nil
		}),
	})
	res := w.Run(t.Context())
	if res.Source != nil {
		t.Fatalf("%v; events %v, phase %v", res.Source, seen, res.State.Phase)
	}
	rec, err := record.Open(res.Record)
	if err != nil {
		t.Fatal(err)
	}
	s, err := rec.Replay(nil)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(res.State, s); d != "" {
		t.Errorf("live (-) and replayed (+) differ:\n%s", d)
	}
}

// loadedThen is a live source that rests, loads to some 30 kN, and then does
// what then says.
func loadedThen(then func(ctx context.Context, out func(feed.Chunk), at time.Time) error) feed.Feed {
	return scripted(func(ctx context.Context, out func(feed.Chunk)) error {
		begun := time.Now()
		out(feed.Chunk{Kind: feed.Opened, At: begun, Torn: true})
		out(feed.Chunk{Kind: feed.Data, At: begun, Data: []byte("\n")})
		var at time.Time
		for i := range 6000 {
			raw := 820
			if i > 2500 {
				raw += (i - 2500) / 6
			}
			at = begun.Add(time.Duration(i) * time.Millisecond)
			out(feed.Chunk{Kind: feed.Data, At: at, Data: fmt.Appendf(nil, "%d,%d\n", i*1000, raw+i%2)})
		}
		return then(ctx, out, at)
	})
}

// A live source that ends under load has left the person blind: that is raised
// before the pull is closed. What a cut wire leaves of a line is no reading.
func TestSourceEndsUnderLoad(t *testing.T) {
	r := exampleRig(t)
	w := newWatch(t, watch.Options{Rig: r, Specimen: bar(), Shelf: t.TempDir(), Feed: loadedThen(func(_ context.Context, out func(feed.Chunk), at time.Time) error {
		out(feed.Chunk{Kind: feed.Data, At: at, Data: []byte("6000000,18")})
		out(feed.Chunk{Kind: feed.End, At: at})
		return nil
	})})
	res := w.Run(t.Context())
	blind := false
	for _, a := range res.State.Alarms {
		blind = blind || a.Blind
	}
	if !blind || res.State.Outcome != pull.Ended {
		t.Errorf("outcome %q, alarms %+v: want ended, and blindness", res.State.Outcome, res.State.Alarms)
	}
	if res.State.Readings != 6000 {
		t.Errorf("%d readings, want 6000: the torn last line is none", res.State.Readings)
	}
}

// A source that comes back and says nothing is not seen, however often it
// comes back.
func TestBackAndSilent(t *testing.T) {
	r := exampleRig(t)
	told := make(chan struct{}, 100)
	var w *watch.Watch
	w = newWatch(t, watch.Options{Rig: r, Specimen: bar(), Shelf: t.TempDir(), Feed: loadedThen(func(ctx context.Context, out func(feed.Chunk), at time.Time) error {
		out(feed.Chunk{Kind: feed.Lost, At: at, Err: errors.New("unplugged")})
		out(feed.Chunk{Kind: feed.Back, At: at.Add(260 * time.Millisecond), Torn: true})
		deadline := time.After(10 * time.Second)
		for {
			if s := w.Snapshot(); s.Source.Status == "silent" {
				if s.State.Seen {
					return errors.New("the old force is shown as seen")
				}
				return nil
			}
			select {
			case <-told:
			case <-time.After(20 * time.Millisecond):
			case <-deadline:
				return errors.New("nobody noticed the silence")
			}
		}
	})})
	if res := w.Run(t.Context()); res.Source != nil {
		t.Error(res.Source)
	}
}

// --for ends a pull whose source says nothing, too, and the person is told that
// no reading came.
func TestForWithoutReadings(t *testing.T) {
	told := make(chan string, 100)
	w := newWatch(t, watch.Options{
		Rig: exampleRig(t), Shelf: t.TempDir(), For: 3500 * time.Millisecond, Listen: func(e watch.Event) { told <- e.Text },
		Feed: scripted(func(ctx context.Context, out func(feed.Chunk)) error {
			out(feed.Chunk{Kind: feed.Opened, At: time.Now(), Torn: true})
			out(feed.Chunk{Kind: feed.Data, At: time.Now(), Data: []byte("\nnot a reading\x00\n")})
			<-ctx.Done()
			return nil
		}),
	})
	begun := time.Now()
	if res := w.Run(t.Context()); res.Reason != record.ByTime {
		t.Errorf("reason %q, want %q", res.Reason, record.ByTime)
	}
	if d := time.Since(begun); d > 8*time.Second {
		t.Errorf("ended after %v, want 3.5 s", d)
	}
	close(told)
	for text := range told {
		if strings.Contains(text, "no reading in the first 3s") {
			return
		}
	}
	t.Error("nobody was told that no reading came")
}

// Whoever is woken by an event finds what it is about in the snapshot.
func TestSnapshotBeforeEvent(t *testing.T) {
	r := exampleRig(t)
	var w *watch.Watch
	alarms := 0
	ready := make(chan struct{})
	w = newWatch(t, watch.Options{
		Feed: simulated(t, r, "open", 3), Rig: r, Specimen: bar(), Shelf: t.TempDir(), For: 30 * time.Second,
		Listen: func(e watch.Event) {
			<-ready
			if e.Alarm == nil || e.Alarm.Returned || e.Alarm.Acknowledged {
				return
			}
			if alarms++; alarms == 1 && len(w.Snapshot().State.Alarms) == 0 {
				t.Error("the first alarm is told before it is in the snapshot")
			}
		},
	})
	close(ready)
	w.Run(t.Context())
	if alarms == 0 {
		t.Error("no alarm: the test shows nothing")
	}
}

// No record can be made: New says so, and nothing is pulled.
func TestNoPlaceToRecord(t *testing.T) {
	_, err := watch.New(watch.Options{Feed: scripted(nil), Rig: exampleRig(t), Shelf: filepath.Join("watch_test.go", "shelf")})
	if err == nil {
		t.Fatal("a shelf below a file was taken")
	}
}
