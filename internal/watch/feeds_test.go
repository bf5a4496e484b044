package watch_test

import (
	"context"
	"fmt"
	"testing"
	"time"

	"draghand/internal/feed"
	"draghand/internal/rig"
	"draghand/internal/sim"
)

// simulated is the feed of a simulated pull, far faster than life.
func simulated(t testing.TB, r *rig.Rig, fault string, seed uint64) feed.Feed {
	t.Helper()
	s, err := sim.New(sim.Options{Rig: r, Seed: seed, Fault: fault})
	if err != nil {
		t.Fatal(err)
	}
	return sim.NewFeed(s, 200)
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
