package watch_test

import (
	"context"
	"os"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/sim"
	"draghand/internal/watch"
)

func await(t *testing.T, what string, ok func() bool) {
	t.Helper()
	tick := time.NewTicker(5 * time.Millisecond)
	defer tick.Stop()
	for begun := time.Now(); !ok(); <-tick.C {
		if time.Since(begun) > 30*time.Second {
			t.Fatalf("no %s within 30 s", what)
		}
	}
}

// A look shows a pull that nobody armed, goes on after its end with an engine
// begun anew and the zero it had as its last zero, and keeps nothing.
func TestLook(t *testing.T) {
	for _, c := range []struct{ name, fault string }{{"break", ""}, {"let off", "let-off"}} {
		t.Run(c.name, func(t *testing.T) {
			t.Parallel()
			synctest.Test(t, func(t *testing.T) {
				r, shelf := exampleRig(t), t.TempDir()
				var mu sync.Mutex
				var told []watch.EventKind
				w := newWatch(t, watch.Options{
					Feed: simulated(t, r, c.fault, 5), Rig: r, Shelf: shelf, Look: true,
					Listen: func(e watch.Event) {
						mu.Lock()
						defer mu.Unlock()
						told = append(told, e.Kind)
					},
				})
				ctx, cancel := context.WithCancel(t.Context())
				defer cancel()
				done := make(chan watch.Result, 1)
				go func() { done <- w.Run(ctx) }()
				loaded := false
				await(t, "pull and what comes after it", func() bool {
					s := &w.Snapshot().State
					loaded = loaded || watch.Loaded(s.Phase)
					return loaded && s.Phase == pull.Slack && s.Outcome == "" && s.Zero.Set
				})
				asked := w.Snapshot().State.Zero.T
				await(t, "zero that was asked for", func() bool { // it is refused until it is quiet
					w.Do(watch.ZeroNow)
					z := &w.Snapshot().State.Zero
					return z.T > asked && z.Quality == "asked"
				})
				if s := w.Snapshot(); s.Record != (watch.Record{}) || s.Source.Rate < 100 || s.Closed {
					t.Errorf("record %+v, rate %v, closed %v", s.Record, s.Source.Rate, s.Closed)
				}
				var tr watch.Trace
				if w.Trace(&tr, 0, time.Hour); len(tr.Columns) < 1000 {
					t.Errorf("a trace of %d columns", len(tr.Columns))
				}
				cancel()
				res := <-done
				if res.Record != "" || res.Reason != record.BySignal || res.Save != nil || res.Source != nil || res.Head.LastZero == nil {
					t.Errorf("record %q, reason %q, save %v, source %v, last zero %v", res.Record, res.Reason, res.Save, res.Source, res.Head.LastZero)
				}
				if s := w.Snapshot(); s.Record != (watch.Record{}) || !s.Closed {
					t.Errorf("at the end: record %+v, closed %v", s.Record, s.Closed)
				}
				mu.Lock()
				defer mu.Unlock()
				if slices.Contains(told, watch.Armed) || slices.Contains(told, watch.Saved) {
					t.Errorf("told %v", told)
				}
				if left, err := os.ReadDir(shelf); err != nil || len(left) > 0 {
					t.Errorf("on the shelf: %v, %v", left, err)
				}
				if _, err := w.Rescue(shelf); err == nil {
					t.Error("a look was saved")
				}
			})
		})
	}
}

// The zero of a pull comes from what was quiet before it was armed, and the record
// says the same when it is replayed.
func TestPullBeginsBeforeItIsArmed(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := exampleRig(t)
		s, err := sim.New(sim.Options{Rig: r, Seed: 5})
		if err != nil {
			t.Fatal(err)
		}
		standing := feed.NewStanding(sim.NewFeed(s, 1))
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		source := make(chan error, 1)
		go func() { source <- standing.Run(ctx) }()

		look := newWatch(t, watch.Options{Feed: standing.Attach(), Rig: r, Look: true})
		lookCtx, lookAway := context.WithCancel(ctx)
		looked := make(chan watch.Result, 1)
		go func() { looked <- look.Run(lookCtx) }()
		await(t, "zero at the look", func() bool {
			s := look.Snapshot()
			return s.State.Zero.Set && s.Now > 2600*time.Millisecond
		})
		lookAway()
		if res := <-looked; res.Source != nil || res.State.Readings < 500 { // 200 a second
			t.Fatalf("look: %v, %d readings", res.Source, res.State.Readings)
		}

		const before = 2500 * time.Millisecond
		zeroed := make(chan time.Duration, 1)
		var armed time.Time
		w := newWatch(t, watch.Options{
			Feed: standing.AttachFrom(before), Before: before, Rig: r, Specimen: bar(), Shelf: t.TempDir(),
			Listen: func(e watch.Event) {
				if e.Kind == watch.EventKind(pull.EvZero) && strings.HasPrefix(e.Text, "zero taken") {
					select {
					case zeroed <- time.Since(armed):
					default:
					}
				}
			},
		})
		armed = time.Now()
		pullCtx, closePull := context.WithCancel(ctx)
		defer closePull()
		done := make(chan watch.Result, 1)
		go func() { done <- w.Run(pullCtx) }()
		took := <-zeroed
		t.Logf("zero %v after Run", took)
		if took > 100*time.Millisecond {
			t.Errorf("the zero was set %v after Run, want within 100 ms", took)
		}
		await(t, "load", func() bool { return watch.Loaded(w.Snapshot().State.Phase) })
		snap := w.Snapshot()
		if n := len(snap.Story); n < 2 || !strings.HasPrefix(snap.Story[0].Text, "zero taken") || snap.Story[n-1].Text != string(pull.Loading) {
			t.Errorf("the story so far: %+v", snap.Story)
		}
		if wall := time.Since(armed) + before; snap.Now > wall+100*time.Millisecond || snap.Now < wall-200*time.Millisecond {
			t.Errorf("the record's time is %v, %v after it began", snap.Now, wall)
		}
		closePull()
		res := <-done
		if res.Save != nil || res.Source != nil {
			t.Fatalf("save %v, source %v", res.Save, res.Source)
		}
		rec, err := record.Open(res.Record)
		if err != nil {
			t.Fatal(err)
		}
		if early := armed.Sub(rec.Head.Started); early < before-200*time.Millisecond || early > before+100*time.Millisecond {
			t.Errorf("the record starts %v before it was armed, want %v", early, before)
		}
		replayed, err := rec.Replay(nil)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(res.State, replayed); d != "" {
			t.Errorf("live (-) and replayed (+) differ:\n%s", d)
		}
		if got := replayed.Zero; !got.Set || got.T > before {
			t.Errorf("zero %+v", got)
		}
		cancel()
		if err := <-source; err != nil {
			t.Error(err)
		}
	})
}

// What came before the pull keeps its own times, whatever is in it: bad lines and
// the silence after it too.
func TestTimesOfWhatCameBefore(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const n = 300 // chunks of 10 readings, 10 ms apart
		r := exampleRig(t)
		var silent []watch.Event
		var mu sync.Mutex
		begun := time.Now()
		w := newWatch(t, watch.Options{
			Rig: r, Specimen: bar(), Shelf: t.TempDir(), Before: 4 * time.Second,
			Listen: func(e watch.Event) {
				mu.Lock()
				defer mu.Unlock()
				if e.Kind == watch.EventKind(pull.EvLost) || strings.Contains(e.Text, "restarted") {
					silent = append(silent, e)
				}
			},
			Feed: scripted(func(ctx context.Context, out func(feed.Chunk)) error {
				first := begun.Add(-3300 * time.Millisecond) // the last one 0.31 s ago
				out(feed.Chunk{Kind: feed.Opened, At: first, Torn: true, Joined: true, Missed: n + 1})
				out(feed.Chunk{Kind: feed.Data, At: first, Data: []byte("\n")})
				for i := range n {
					data := lines(10*i, 10)
					if i%50 == 0 { // the first may be a greeting
						data = append([]byte("what?\n"), data...)
					}
					out(feed.Chunk{Kind: feed.Data, At: first.Add(time.Duration(i) * 10 * time.Millisecond), Data: data})
				}
				<-ctx.Done()
				return nil
			}),
		})
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		done := make(chan watch.Result, 1)
		go func() { done <- w.Run(ctx) }()
		await(t, "silence", func() bool { return w.Snapshot().Source.Status == "silent" })
		s := w.Snapshot()
		cancel()
		res := <-done
		st := res.State
		if st.Readings != 10*n || st.BadLines != 5 || !st.Zero.Set || st.Zero.T > 2500*time.Millisecond {
			t.Errorf("%d readings, %d bad lines, zero %+v", st.Readings, st.BadLines, st.Zero)
		}
		if age := time.Since(begun) + 310*time.Millisecond; s.Source.Age < 500*time.Millisecond || s.Source.Age > age {
			t.Errorf("the newest reading is %v old", s.Source.Age)
		}
		if s.Source.Rate < 900 || s.Source.Rate > 1100 {
			t.Errorf("%v readings a second, want 1000", s.Source.Rate)
		}
		rec, err := record.Open(res.Record)
		if err != nil {
			t.Fatal(err)
		}
		replayed, err := rec.Replay(nil)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(st, replayed); d != "" {
			t.Errorf("live (-) and replayed (+) differ:\n%s", d)
		}
		mu.Lock()
		defer mu.Unlock()
		// 3 s of readings, then half a second of none.
		if len(silent) != 1 || silent[0].T < 3400*time.Millisecond || silent[0].T > 3300*time.Millisecond+time.Since(begun) {
			t.Errorf("told of the silence: %+v", silent)
		}
	})
}
