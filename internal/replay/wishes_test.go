package replay

import (
	"math/rand/v2"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/watch"
)

// Whatever is wished for in whatever order, from the first moment on and while a
// screen looks, the state is in the end that of the lines up to the position.
func TestAnyWishes(t *testing.T) {
	dir, given := shape{n: 60_000, every: time.Millisecond, topKN: 50, at: 0.6}.write(t, t.TempDir())
	rec, err := record.Open(dir)
	must(t, err)
	for seed := range uint64(8) {
		r := open(t, dir, Options{})
		stop := make(chan struct{})
		go func() { // the screen
			var tr watch.Trace
			for {
				select {
				case <-stop:
					return
				default:
				}
				b, s := r.Playback(), r.Snapshot()
				r.Trace(&tr, max(0, b.At-10*time.Second), b.At)
				r.Trace(&tr, 0, b.Length)
				_ = s.State.Limits[0].Ratio
			}
		}()
		rnd := rand.New(rand.NewPCG(seed, 1))
		for range 40 {
			r.Control(Transport{
				Do: TransportKind(rnd.IntN(int(SeekBy) + 1)),
				To: time.Duration(rnd.Int64N(int64(80*time.Second))) - 10*time.Second,
				By: []float64{-1, 1, -3000, 5000, 0.5, 2, 1e9, -1e9}[rnd.IntN(8)],
			})
		}
		r.Control(Transport{Do: Step, By: 0}) // which also ends any playing
		until(t, "all wishes are served", func() bool {
			b := r.Playback()
			return len(r.wishes) == 0 && !b.Seeking && !b.Playing && b.Lines > 0
		})
		// A step to nowhere again: it is served after all before it.
		r.Control(Transport{Do: Step, By: 0})
		until(t, "the last is served", func() bool { b := r.Playback(); return len(r.wishes) == 0 && !b.Seeking })
		close(stop)
		r.Close()
		b := r.Playback()
		e := pull.New(rec.Head.Config())
		for _, rd := range given[:b.Line] {
			e.Step(rd)
		}
		if d := cmp.Diff(e.State().Clone(), r.Snapshot().State, cmpopts.EquateEmpty()); d != "" {
			t.Fatalf("seed %d, behind line %d at %v (fed, replayed):\n%s", seed, b.Line, b.At, d)
		}
		if b.Line > 0 && given[b.Line-1].T > b.At || b.Line < len(given) && given[b.Line].T < b.At {
			t.Errorf("seed %d: line %d at %v", seed, b.Line, b.At)
		}
	}
}
