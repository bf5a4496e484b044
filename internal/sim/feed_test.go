package sim

import (
	"bytes"
	"context"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/feed"
)

// chunk is a feed.Chunk kept, with the time of its call.
type chunk struct {
	feed.Chunk
	called time.Time
}

// collect runs the feed for d of the bubble's clock.
func collect(t *testing.T, f *SimFeed, d time.Duration) []chunk {
	t.Helper()
	ctx, cancel := context.WithTimeout(t.Context(), d)
	defer cancel()
	var all []chunk
	if err := f.Run(ctx, func(c feed.Chunk) {
		c.Data = bytes.Clone(c.Data)
		all = append(all, chunk{c, time.Now()})
	}); err != nil {
		t.Fatalf("Run: %v", err)
	}
	return all
}

func TestFeedKeepsThePace(t *testing.T) {
	for _, row := range []struct{ rate, speed float64 }{{200, 1}, {1000, 1}, {20000, 1}, {200, 0.5}, {1000, 10}} {
		synctest.Test(t, func(t *testing.T) {
			o := Options{Seed: 1, Rate: row.rate, Idle: -1}
			const real = 2 * time.Second
			begin := time.Now()
			all := collect(t, NewFeed(mustNew(t, o), row.speed), real)
			if all[0].Kind != feed.Opened || all[0].Torn {
				t.Fatalf("first comes %+v", all[0])
			}
			var got []byte
			for _, c := range all[1:] {
				if c.Kind != feed.Data || len(c.Data) == 0 {
					t.Fatalf("among the data: %+v", c)
				}
				got = append(got, c.Data...)
				// At carries simulated time, the call comes at real time, held
				// back by a grain at most.
				virtual := c.At.Sub(begin)
				late := c.called.Sub(begin) - time.Duration(float64(virtual)/row.speed)
				if late < 0 || late > 2*grain {
					t.Fatalf("rate %g speed %g: readings of %s are told %s late", row.rate, row.speed, virtual, late)
				}
				if most := max(1, int(row.rate*grain.Seconds())); bytes.Count(c.Data, []byte{'\n'}) > most {
					t.Fatalf("rate %g: %d lines in one chunk, want at most %d", row.rate, bytes.Count(c.Data, []byte{'\n'}), most)
				}
			}
			want := text(mustNew(t, o), time.Duration(float64(real)*row.speed))
			if !bytes.HasPrefix(want, got) || len(want)-len(got) > 2000 {
				t.Errorf("rate %g speed %g: %d bytes in %s, want %d of them", row.rate, row.speed, len(got), real, len(want))
			}
		})
	}
}

func TestFeedUnplugged(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		s := mustNew(t, Options{Seed: 1, Fault: "unplug"})
		begin := time.Now()
		all := collect(t, NewFeed(s, 1), 25*time.Second)
		var kinds []feed.Kind
		var lost time.Time
		for i, c := range all {
			if c.Kind == feed.Data {
				continue
			}
			kinds = append(kinds, c.Kind)
			switch c.Kind {
			case feed.Lost:
				lost = c.At
				if late := c.At.Sub(begin) - s.Truth().FaultAt; late < 0 || late > 10*time.Millisecond || c.Err == nil {
					t.Errorf("lost %s after the fault, error %v", late, c.Err)
				}
			case feed.Back:
				if gone := c.At.Sub(lost); gone < UnplugFor || gone > UnplugFor+10*time.Millisecond {
					t.Errorf("gone for %s", gone)
				}
				if all[i+1].Kind != feed.Data {
					t.Errorf("after Back comes %s", all[i+1].Kind)
				}
			}
		}
		if len(kinds) != 3 || kinds[0] != feed.Opened || kinds[1] != feed.Lost || kinds[2] != feed.Back {
			t.Errorf("events %v", kinds)
		}
	})
}

func TestFeedFlatOut(t *testing.T) {
	s := mustNew(t, Options{Seed: 1, Rate: 1000})
	ctx, cancel := context.WithCancel(t.Context())
	defer cancel()
	lines := 0
	begin := time.Now()
	err := NewFeed(s, 0).Run(ctx, func(c feed.Chunk) {
		lines += bytes.Count(c.Data, []byte{'\n'})
		if at := c.At.Sub(begin); at > 25*time.Second {
			cancel()
		}
	})
	if err != nil || lines < 25000 || lines > 25010 {
		t.Errorf("25 s of pull: %d lines, error %v", lines, err)
	}
	if took := time.Since(begin); took > 20*time.Second {
		t.Errorf("as fast as possible took %s for 25 s", took)
	}
}
