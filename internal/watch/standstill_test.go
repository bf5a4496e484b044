package watch_test

import (
	"context"
	"fmt"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/watch"
)

// A machine that stands still is no source that says nothing: what was sent meanwhile
// is looked at first, and bears the times it was sent at. A source that is silent in
// truth is told all the same.
func TestStandstillIsNoSilence(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		const period, standstills = 5 * time.Millisecond, 30
		silent := make(chan time.Time, 1)
		stood := 0
		var next int64 = 700
		w := newWatch(t, watch.Options{
			Rig: exampleRig(t), Shelf: t.TempDir(),
			Judged: func(n int64) { // in the loop, which takes nothing until it is over
				if n >= next && stood < standstills {
					time.Sleep(time.Second)
					stood, next = stood+1, n+300
				}
			},
			Listen: func(e watch.Event) {
				if e.Kind == watch.EventKind(pull.EvLost) || e.Alarm != nil && e.Alarm.Blind {
					select {
					case silent <- time.Now():
					default:
					}
				}
			},
			Feed: scripted(func(ctx context.Context, out func(feed.Chunk)) error {
				out(feed.Chunk{Kind: feed.Opened, At: time.Now()})
				begun := time.Now()
				for i := range 12_000 {
					raw := 820 + i%2
					if i > 600 {
						raw += 200 // under load, where it counts
					}
					at := begun.Add(time.Duration(i) * period)
					time.Sleep(time.Until(at)) // what waits is sent at once
					out(feed.Chunk{Kind: feed.Data, At: at, Data: fmt.Appendf(nil, "%d,%d\n", i*5000, raw)})
				}
				if len(silent) > 0 {
					t.Error("a standstill was told as a silence")
				}
				ended := time.Now()
				select {
				case at := <-silent:
					if d := at.Sub(ended); d > time.Second {
						t.Errorf("the silence was told after %v", d)
					}
				case <-time.After(10 * time.Second):
					t.Error("nobody noticed the silence")
				}
				return nil
			}),
		})
		res := w.Run(t.Context())
		if res.Source != nil || stood != standstills {
			t.Errorf("%v; stood still %d times", res.Source, stood)
		}
	})
}
