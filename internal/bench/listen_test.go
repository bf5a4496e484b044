package bench

import (
	"sync/atomic"
	"testing"

	"draghand/internal/watch"
)

// A listener that stands still in the look is told of the pull only once it is
// back: it never hears two things at once. The pull is recorded meanwhile.
func TestListenerHearsOneThingAtATime(t *testing.T) {
	t.Parallel()
	var (
		stall, stalled, release = atomic.Bool{}, make(chan struct{}), make(chan struct{})
		in, most                atomic.Int32
		armed                   = make(chan struct{})
	)
	d := &board{raw: slack}
	b := withBoard(t, d, nil, func(_ *table, o *Options) {
		o.Listen = func(e watch.Event) {
			if n := in.Add(1); n > most.Load() {
				most.Store(n)
			}
			defer in.Add(-1)
			if stall.CompareAndSwap(true, false) {
				close(stalled)
				<-release
			}
			if e.Kind == watch.Armed {
				close(armed)
			}
		}
	})
	b.ready(t)
	stall.Store(true)
	d.do(func() { d.raw = slack + 400 })
	<-stalled
	d.do(func() { d.raw = slack })
	await(t, "it may be armed", func() bool { b.goRound(); return len(b.View().Refusals) == 0 })
	w, err := b.Arm("")
	if err != nil {
		t.Fatal(err)
	}
	await(t, "the pull reads", func() bool { return w.Snapshot().State.Readings > 200 })
	select {
	case <-armed:
		t.Error("told of the pull while it stood still in the look")
	default:
	}
	close(release)
	<-armed
	if n := most.Load(); n != 1 {
		t.Errorf("%d calls at once", n)
	}
}
