package watch_test

import (
	"context"
	"fmt"
	"os"
	"runtime"
	"testing"
	"time"

	"draghand/internal/feed"
	"draghand/internal/watch"
)

// An hour's worth of readings at 1 kHz leaves the heap at 64 MB or less.
func TestHourOfReadingsLong(t *testing.T) {
	if os.Getenv("DRAGHAND_LONG") == "" {
		t.Skip("takes a while: set DRAGHAND_LONG")
	}
	const readings, chunk = 3_600_000, 512
	r := exampleRig(t)
	var took time.Duration
	w := newWatch(t, watch.Options{
		Rig: r, Shelf: t.TempDir(), Feed: scripted(func(_ context.Context, out func(feed.Chunk)) error {
			begun := time.Now()
			out(feed.Chunk{Kind: feed.Opened, At: begun})
			var b []byte
			for i := 0; i < readings; i += chunk {
				b = b[:0]
				for j := i; j < i+chunk; j++ {
					b = fmt.Appendf(b, "%d,%d\n", uint32(j*1000), 820+j%3)
				}
				out(feed.Chunk{Kind: feed.Data, At: begun.Add(time.Duration(i+chunk) * time.Millisecond), Data: b})
			}
			took = time.Since(begun)
			return nil
		}),
	})
	res := w.Run(t.Context())
	if res.Save != nil || res.State.Readings < readings {
		t.Fatalf("%d readings, save %v", res.State.Readings, res.Save)
	}
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	t.Logf("%d readings in %v (%.0f a second); heap %.1f MB in use, %.1f MB from the system (goal 64 MB)",
		readings, took.Round(time.Millisecond), readings/took.Seconds(), float64(m.HeapInuse)/1e6, float64(m.HeapSys)/1e6)
	if m.HeapInuse > 64e6 {
		t.Errorf("heap %.0f MB", float64(m.HeapInuse)/1e6)
	}
	runtime.KeepAlive(w)
}
