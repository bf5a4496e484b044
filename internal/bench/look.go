package bench

import (
	"context"
	"sync/atomic"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/specimen"
	"draghand/internal/watch"
)

// looking is a watch of the readings without a record.
type looking struct {
	w         *watch.Watch
	rig       *rig.Rig
	kind      pull.Kind
	side      specimen.Side
	simulated bool
	ask       atomic.Bool // for a zero, once it has seen enough
	cancel    context.CancelFunc
	done      chan struct{}
}

// tendLook begins to look at an open source, and anew where the rig or the kind is
// another, or a zero is wanted of what reads as load. Of load that came and went
// the look takes care itself.
func (b *Bench) tendLook() {
	var (
		r     *rig.Rig
		state SourceState
		anew  bool
		setup Setup
	)
	b.locked(func() {
		r, state, anew = b.form.rig, b.state, b.anew
		b.anew = false
		_, setup = b.form.read()
	})
	if r != nil && setup.unfit(r) {
		setup.Kind = pull.Tension // to see what the sensor says
	}
	if r == nil || b.src == nil || state == SourceFailed || state == NoSource {
		b.stopLook()
		return
	}
	var zero *float64
	if l := b.look; l != nil {
		s := l.w.Snapshot()
		if l.rig == r && l.kind == setup.Kind && l.side == setup.Bar.Side && !s.Closed && !anew {
			l.askZero(&s.State)
			return
		}
		if l.rig == r && s.State.Zero.Set {
			raw := s.State.Zero.Raw
			zero = &raw
		}
		b.stopLook()
	}
	if raw, ok := record.LastZero(b.o.Shelf, r.Name, b.src.simulated); ok {
		b.mu.Lock()
		b.lastZero = &raw
		b.mu.Unlock()
		if zero == nil {
			zero = &raw
		}
	} else {
		b.mu.Lock()
		b.lastZero = nil
		b.mu.Unlock()
	}
	w, err := watch.New(watch.Options{
		Look: true, Feed: b.src.standing.Attach(), Rig: r, Kind: setup.Kind, LastZero: zero, Listen: b.overhear,
		Specimen: specimen.Specimen{Simulated: b.src.simulated, Side: setup.Bar.Side}, Version: b.o.Version,
	})
	if err != nil { // the rig file asks for lines that cannot be
		b.mu.Lock()
		b.form.sourceErr = err
		b.setSource(SourceFailed, err)
		b.mu.Unlock()
		return
	}
	ctx, cancel := context.WithCancel(b.ctx)
	l := &looking{
		w: w, rig: r, simulated: b.src.simulated, kind: setup.Kind, side: setup.Bar.Side, cancel: cancel, done: make(chan struct{}),
	}
	l.ask.Store(anew)
	b.mu.Lock()
	b.look = l
	b.changed()
	b.mu.Unlock()
	go func() {
		defer close(l.done)
		defer b.caught()
		l.w.Run(ctx)
	}()
}

// A look that is to ask for a zero does so between these times: a zero takes 2 s
// of readings, and one that was refused for want of them is asked for again.
const (
	askFrom = 2 * time.Second
	askTill = 6 * time.Second
)

// askZero asks for the zero that a person asked the look before for.
func (l *looking) askZero(s *pull.State) {
	switch {
	case !l.ask.Load() || s.T < askFrom:
	case s.T > askTill || s.Zero.Quality == "asked":
		l.ask.Store(false)
	default:
		l.w.Do(watch.ZeroNow)
	}
}

// stopLook ends the look, if there is one. The caller holds work.
func (b *Bench) stopLook() {
	l := b.look
	if l == nil {
		return
	}
	l.cancel()
	<-l.done
	b.mu.Lock()
	b.look = nil
	b.changed()
	b.mu.Unlock()
}

// overhear passes on what the look tells, but for its own beginning and end.
func (b *Bench) overhear(e watch.Event) {
	switch e.Kind {
	case watch.Armed, watch.Ended, watch.Saved, watch.EventKind(pull.EvPeak):
		return
	}
	if e.Phase == pull.Ended { // the look's own end: nothing was pulled
		return
	}
	b.listen(e)
}

// listen tells the listener, one thing at a time: a look whose listener stands
// still ends without it, and the pull after it must not speak into its last word.
func (b *Bench) listen(e watch.Event) {
	if b.o.Listen == nil {
		return
	}
	b.listening.Lock()
	defer b.listening.Unlock()
	b.o.Listen(e)
}
