package bench

import (
	"sync"
	"testing"
	"testing/synctest"
	"time"

	"draghand/internal/feed"
	"draghand/internal/rig"
	"draghand/internal/watch"
)

// line is a trip line that remembers.
type line struct {
	mu           sync.Mutex
	held, closed bool
	everHeld     bool
}

func (l *line) Hold(ok bool) error {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.held, l.everHeld = ok, l.everHeld || ok
	return nil
}

func (l *line) Close() error {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.held, l.closed = false, true
	return nil
}

func (l *line) is() (held, ever, closed bool) {
	l.mu.Lock()
	defer l.mu.Unlock()
	return l.held, l.everHeld, l.closed
}

// The trip line is held by a pull alone, and closed with its source.
func TestTripLine(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		d, l := &board{raw: slack}, &line{}
		b := withBoard(t, d, nil, func(_ *table, o *Options) {
			o.Trip = func(feed.Feed, *rig.Rig) (feed.Trip, string, error) { return l, "", nil }
		})
		b.ready(t)
		if _, ever, _ := l.is(); ever {
			t.Error("held before a pull was armed")
		}
		w, err := b.Arm("")
		if err != nil {
			t.Fatal(err)
		}
		await(t, "it is held", func() bool { held, _, _ := l.is(); return held })
		w.Do(watch.EndPull)
		await(t, "the pull is closed", func() bool { return b.Ended() != nil })
		if held, _, closed := l.is(); held || closed {
			t.Errorf("after the pull: held %v, closed %v", held, closed)
		}
		set(t, b, FieldSource, "")
		await(t, "it is closed", func() bool { _, _, closed := l.is(); return closed })
	})
}

// stuckLine is a trip line whose adapter does not answer when it is closed.
type stuckLine struct {
	line
	closing chan struct{} // Close was called
	answer  chan struct{}
}

func (l *stuckLine) Close() error {
	close(l.closing)
	<-l.answer
	return l.line.Close()
}

// An adapter that does not answer holds up neither the bench nor its end.
func TestStuckTripLine(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		l := &stuckLine{closing: make(chan struct{}), answer: make(chan struct{})}
		defer close(l.answer)
		first := true
		b := withBoard(t, &board{raw: slack}, nil, func(_ *table, o *Options) {
			o.Trip = func(feed.Feed, *rig.Rig) (feed.Trip, string, error) {
				if first {
					first = false
					return l, "", nil
				}
				return nil, "", nil
			}
		})
		b.ready(t)
		set(t, b, FieldSource, "serial:other")
		<-l.closing
		since := time.Now()
		await(t, "the other source is read", func() bool { v := b.View(); return v.Source == SourceOpen && v.Look != nil })
		if took := time.Since(since); took > 5*time.Second {
			t.Errorf("the other source was open after %s", took)
		}
	})
}

// A rig with a trip line that this source does not drive says so.
func TestTripNote(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		b := withBoard(t, &board{raw: slack}, nil, func(_ *table, o *Options) {
			o.Trip = func(feed.Feed, *rig.Rig) (feed.Trip, string, error) { return nil, "it stays dropped", nil }
		})
		b.ready(t)
		if got := b.View().TripNote; got != "it stays dropped" {
			t.Errorf("note %q", got)
		}
		set(t, b, FieldRig, "")
		set(t, b, FieldSource, "")
		await(t, "it goes with its source", func() bool { return b.View().TripNote == "" })
	})
}
