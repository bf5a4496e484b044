package watch_test

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/record"
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
					stood, next = stood+1, n+20 // again before what waited was all looked at
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
					if d := at.Sub(ended); d < 400*time.Millisecond || d > 800*time.Millisecond { // a tick and the standstill's 0.2 s more
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
		bearTheirTimes(t, res.Record, period)
	})
}

// bearTheirTimes holds that no two readings of a record stand at one moment.
func bearTheirTimes(t *testing.T, dir string, period time.Duration) {
	t.Helper()
	rec, err := record.Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	samples, err := os.ReadFile(filepath.Join(rec.Dir, record.SamplesFile))
	if err != nil {
		t.Fatal(err)
	}
	was, readings := int64(-1), 0
	for line := range strings.SplitSeq(string(samples), "\n") {
		fields := strings.Split(line, ",")
		us, err := strconv.ParseInt(fields[0], 10, 64)
		if err != nil || len(fields) < 3 || fields[2] == "" { // a heading or a mark
			continue
		}
		if readings++; was >= 0 && us-was < period.Microseconds()/2 {
			t.Fatalf("%q is %d µs after the reading before it, sent %v apart", line, us-was, period)
		}
		was = us
	}
	if readings < 10_000 {
		t.Errorf("only %d readings in the record", readings)
	}
}

// A source that is silent in truth is told also where the machine stands still for a
// moment again and again.
func TestSilenceIsToldByAMachineThatIsHeldUp(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		var stumbles atomic.Bool
		r := startTrip(t, watch.HostTime, func(o *watch.Options) {
			o.Judged = func(int64) {
				if stumbles.Load() {
					time.Sleep(150 * time.Millisecond)
				}
			}
		})
		r.stream(700 * time.Millisecond)
		stumbles.Store(true)
		from := time.Now()
		for r.Snapshot().Source.Status != "silent" {
			if time.Since(from) > 1100*time.Millisecond { // 0.5 s, 0.2 s, and a standstill with its tick at each end
				t.Fatal("nobody tells the silence")
			}
			r.board.send(feed.Chunk{Kind: feed.Data, Data: []byte("7")}) // part of a line: no reading
		}
		t.Logf("told after %v", time.Since(from))
		r.cancel()
		r.ended(t)
	})
}

// The trip line is not held over a standstill in which nothing was heard, whether the
// source turns out to be silent or not, and is not held again before it is heard.
func TestStandstillDropsTheTripLine(t *testing.T) {
	for _, long := range []time.Duration{600 * time.Millisecond, 900 * time.Millisecond, 1200 * time.Millisecond, 3 * time.Second} {
		t.Run(long.String(), func(t *testing.T) {
			synctest.Test(t, func(t *testing.T) {
				var stop atomic.Bool
				r := startTrip(t, watch.HostTime, func(o *watch.Options) {
					o.Judged = func(int64) {
						if stop.CompareAndSwap(true, false) {
							time.Sleep(long)
						}
					}
				})
				r.stream(700 * time.Millisecond)
				r.wantHeld(t, "readings come", true)
				seen := len(r.lamp.changes())
				stop.Store(true)
				r.board.read(atRest, 1)
				from := time.Now()
				time.Sleep(long + 2*time.Second)
				c := r.lamp.changes()[seen:]
				if len(c) != 1 || c[0].ok {
					t.Fatalf("the line went %v in the silence, want one drop", c)
				}
				if d, most := c[0].at.Sub(from), min(long, 1100*time.Millisecond)+100*time.Millisecond; d > most {
					t.Errorf("dropped %v after the last reading, want %v at most", d, most)
				}
				r.stream(time.Second)
				r.wantHeld(t, "readings come again", true)
				r.cancel()
				r.ended(t)
			})
		})
	}
}
