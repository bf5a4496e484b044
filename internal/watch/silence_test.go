package watch_test

import (
	"context"
	"errors"
	"fmt"
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"github.com/google/go-cmp/cmp"

	"draghand/internal/feed"
	"draghand/internal/record"
	"draghand/internal/watch"
)

// An open source that falls silent under load is told within a second, and a
// replay knows of it.
func TestSilenceIsMarked(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		r := exampleRig(t)
		var mu sync.Mutex
		var seen []watch.EventKind
		silent := make(chan struct{})
		var told time.Duration // how long after the last reading
		var last time.Time
		w := newWatch(t, watch.Options{
			Rig: r, Shelf: t.TempDir(),
			Listen: func(e watch.Event) {
				mu.Lock()
				defer mu.Unlock()
				seen = append(seen, e.Kind)
				if e.Alarm != nil && e.Alarm.Blind {
					told = time.Since(last)
					close(silent)
				}
			},
			Feed: scripted(func(ctx context.Context, out func(feed.Chunk)) error {
				out(feed.Chunk{Kind: feed.Opened, At: time.Now()})
				begun := time.Now()
				mu.Lock()
				last = begun // made-up time stands while they are sent
				mu.Unlock()
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
		if told < 500*time.Millisecond || told > time.Second {
			t.Errorf("the silence was told %v after the last reading, want 0.5 to 1 s", told)
		}
		t.Logf("told %v after the last reading", told)
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
	})
}

// A source that comes back and says nothing is not seen, however often it
// comes back.
func TestBackAndSilent(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
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
	})
}
