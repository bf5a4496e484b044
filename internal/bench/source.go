package bench

import (
	"context"
	"errors"
	"fmt"
	"time"

	"draghand/internal/feed"
	"draghand/internal/rig"
	"draghand/internal/watch"
)

// source is one source held open for the sitting.
type source struct {
	key       string // what of the fields it was opened for
	simulated bool
	standing  *feed.Standing
	trip      feed.Trip // nil: none
	cancel    context.CancelFunc
	done      chan struct{} // it is closed
}

// told is a feed that says when it is open.
type told struct {
	feed.Feed
	opened func()
}

func (t told) Run(ctx context.Context, out func(feed.Chunk)) error {
	return t.Feed.Run(ctx, func(c feed.Chunk) {
		if c.Kind == feed.Opened {
			t.opened()
		}
		out(c)
	})
}

// Begin passes on that a pull begins.
func (t told) Begin() {
	if b, ok := t.Feed.(feed.Beginner); ok {
		b.Begin()
	}
}

// tend does what is to be done: reads the rig, opens the source, looks at it.
func (b *Bench) tend() {
	b.work.Lock()
	defer b.work.Unlock()
	b.mu.Lock()
	busy := b.running != nil
	b.mu.Unlock()
	if busy {
		return
	}
	b.tendShelf()
	b.tendRig(false)
	b.tendSource()
	b.tendLook()
	b.noteZero()
	b.noteLoad()
	b.tendPulled(false)
	b.tendHistory()
}

// tendShelf looks whether records can be made, at first and until they can.
func (b *Bench) tendShelf() {
	b.mu.Lock()
	failing := b.shelfErr != nil
	b.mu.Unlock()
	if b.shelved && !failing {
		return
	}
	b.shelved = true
	err := writable(b.o.Shelf)
	b.mu.Lock()
	defer b.mu.Unlock()
	if (err != nil) != failing {
		b.changed()
	}
	b.shelfErr = err
}

// tendSource opens the source that is asked for, where it is not open.
func (b *Bench) tendSource() {
	var (
		r     *rig.Rig
		from  string
		setup Setup
	)
	b.locked(func() {
		r, from = b.form.rig, b.form.source()
		_, setup = b.form.read()
	})
	b.mu.Lock()
	key := ""
	if r != nil && from != "" {
		key = fmt.Sprintf("%s %#v %+v", from, r.Source, r.Alarm.Trip)
		if simulated(from) || b.src != nil && b.src.simulated {
			key += fmt.Sprintf(" %p %s", r, setup.Kind)
		}
	}
	failed := b.state == SourceFailed
	retry := failed && !b.due && !b.failed.IsZero() && time.Since(b.failed) >= retryAfter
	again := retry || failed && b.due
	keep := r == nil && (b.form.rigErr != nil || b.form.loading) || // a fault in a rig file is no reason to reset the board
		r != nil && setup.unfit(r) && (simulated(from) || b.src != nil && b.src.simulated) // there is nothing to simulate
	b.mu.Unlock()
	if !keep && (b.src == nil && key != "" && b.state != SourceFailed || b.src != nil && b.src.key != key || again) {
		b.stopLook()
		b.stopSource()
		if !retry {
			b.mu.Lock()
			b.setSource(NoSource, nil)
			b.mu.Unlock()
		}
		b.openSource(key, from, r, setup, retry)
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.due {
		b.due = false
		b.changed()
	}
	if key == "" && b.src == nil {
		b.setSource(NoSource, nil)
	}
	if b.form.source() != from { // changed meanwhile
		b.due = true
		b.kick()
	}
}

// setSource notes what became of the source. The caller holds mu.
func (b *Bench) setSource(s SourceState, err error) {
	if b.state != s || b.srcErr != err {
		b.state, b.srcErr = s, err
		b.changed()
	}
}

// openSource opens a source and holds it open. A retry leaves it failed until it
// is open. The caller holds work.
func (b *Bench) openSource(key, from string, r *rig.Rig, setup Setup, retry bool) {
	if key == "" {
		return
	}
	f, base, sim, err := b.o.Open(from, r, setup)
	if err == nil && base != watch.HostTime {
		err = &Unfit{
			What: fmt.Sprintf("%s does not send readings as they are measured", from),
			Hint: "draghand watch and draghand import read files; name a port, a network address or sim: here",
		}
	}
	var trip feed.Trip
	note := ""
	if err == nil && b.o.Trip != nil {
		trip, note, err = b.o.Trip(f, r)
	}
	b.mu.Lock()
	defer b.mu.Unlock()
	b.changed()
	if err != nil {
		b.failed = time.Time{} // nothing but another source helps
		b.form.sourceErr = err
		b.setSource(SourceFailed, err)
		return
	}
	b.form.sourceErr = nil
	if sim && !simulated(from) {
		key += fmt.Sprintf(" %p %s", r, setup.Kind)
	}
	ctx, cancel := context.WithCancel(b.ctx)
	s := &source{key: key, simulated: sim, trip: trip, cancel: cancel, done: make(chan struct{})}
	s.standing = feed.NewStanding(told{f, func() {
		b.mu.Lock()
		b.setSource(SourceOpen, nil)
		b.mu.Unlock()
		b.kick()
	}})
	b.src, b.tripNote = s, tidy(note)
	if b.failed = (time.Time{}); !retry {
		b.setSource(OpeningSource, nil)
	}
	go func() {
		defer close(s.done)
		defer b.caught()
		err := s.standing.Run(ctx)
		if ctx.Err() != nil {
			return
		}
		if err == nil {
			err = &Unfit{What: "the source has ended: it has no more readings", Hint: "name it again, or another one"}
		}
		b.mu.Lock()
		b.failed = time.Time{}
		if errors.Is(err, feed.ErrSource) {
			b.failed = time.Now()
		}
		b.setSource(SourceFailed, err)
		b.mu.Unlock()
		b.kick()
	}()
}

// stopSource closes the source, if there is one. The caller holds work.
func (b *Bench) stopSource() {
	if b.src == nil {
		return
	}
	watch.CloseTrip(b.src.trip)
	b.src.cancel()
	<-b.src.done
	b.src = nil
	b.mu.Lock()
	defer b.mu.Unlock()
	b.tripNote = ""
	b.changed()
}
