package watch

import (
	"slices"
	"sync"
	"testing"
)

// slowLine answers when it is let.
type slowLine struct {
	mu    sync.Mutex
	calls []bool
	begun chan bool
	let   chan struct{}
}

func (s *slowLine) Hold(ok bool) error {
	s.mu.Lock()
	s.calls = append(s.calls, ok)
	s.mu.Unlock()
	s.begun <- ok
	<-s.let
	return nil
}

func (s *slowLine) Close() error { return nil }

// While the port is busy only the newest wish counts, but a drop is never
// passed over.
func TestTripLineOwesADrop(t *testing.T) {
	s := &slowLine{begun: make(chan bool, 100), let: make(chan struct{})}
	l := newTripLine(s, func(string) {})
	go l.run()
	next := func(want bool) {
		t.Helper()
		if got := <-s.begun; got != want {
			t.Fatalf("the line is set %v, want %v", got, want)
		}
	}
	next(false) // whatever it was before
	s.let <- struct{}{}
	l.follow(true)
	next(true)
	for _, wish := range []bool{false, true, false, true, true} {
		l.follow(wish)
	}
	s.let <- struct{}{}
	next(false) // those two in one
	s.let <- struct{}{}
	next(true)
	l.follow(false)
	l.follow(true)
	l.end()
	l.follow(true) // nobody holds it any more
	close(s.let)
	l.finish()
	s.mu.Lock()
	defer s.mu.Unlock()
	if last := s.calls[len(s.calls)-1]; last || l.text() != "dropped" {
		t.Errorf("set %v, shown %q: want it dropped at the end", s.calls, l.text())
	}
	if at := slices.Index(s.calls[4:], true); at >= 0 {
		t.Errorf("set %v: held after the end", s.calls)
	}
}

// Without a trip line there is nothing to do and nothing to show.
func TestNoTripLine(t *testing.T) {
	l := newTripLine(nil, nil)
	l.follow(true)
	l.tick()
	l.run()
	l.end()
	l.finish()
	if l != nil || l.text() != "" {
		t.Errorf("%v shows %q", l, l.text())
	}
}
