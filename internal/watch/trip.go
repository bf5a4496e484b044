package watch

import (
	"fmt"
	"sync"
	"time"

	"draghand/internal/feed"
)

const (
	// tripSlow is what a change of the trip line may take before it is told: a
	// USB adapter needs some milliseconds.
	tripSlow = 100 * time.Millisecond
	// tripAgain is how often the line is set anew while nothing changes: so an
	// adapter that was pulled out is noticed, and one that is back works again.
	tripAgain = time.Second
	// tripAlive is how long the pull's own goroutine may say nothing before the
	// line is dropped: a program that is stuck sees no force. It speaks every
	// publishEvery.
	tripAlive = time.Second
	tripLook  = 100 * time.Millisecond // how often that is looked at
)

// tripLine drives a trip line on a goroutine of its own, which is handed the
// newest wish only. A nil one is none.
type tripLine struct {
	line feed.Trip
	tell func(text string)
	wake chan struct{} // holds one
	quit chan struct{}
	done chan struct{}

	mu    sync.Mutex
	wish  bool
	owed  bool // a drop was wished since the line was last set: it is never passed over
	over  bool // dropped for good
	alive time.Time
	shown string // for the snapshot
	fault string // what was told of a line that does not work; empty while it does
}

func newTripLine(line feed.Trip, tell func(string)) *tripLine {
	if line == nil {
		return nil
	}
	return &tripLine{
		line: line, tell: tell, shown: "dropped",
		wake: make(chan struct{}, 1), quit: make(chan struct{}), done: make(chan struct{}),
	}
}

// follow wishes the line held or dropped. It never waits for the port.
func (t *tripLine) follow(ok bool) {
	if t == nil {
		return
	}
	t.mu.Lock()
	ok = ok && !t.over
	changed := ok != t.wish
	t.wish, t.owed = ok, t.owed || changed && !ok
	t.mu.Unlock()
	if changed {
		t.signal()
	}
}

// tick says that the pull's goroutine goes round.
func (t *tripLine) tick() {
	if t == nil {
		return
	}
	t.mu.Lock()
	t.alive = time.Now()
	t.mu.Unlock()
}

// end drops the line for good. Any goroutine may call it, again too.
func (t *tripLine) end() {
	if t == nil {
		return
	}
	t.mu.Lock()
	t.wish, t.owed, t.over = false, true, true
	t.mu.Unlock()
	t.signal()
}

// finish is end, and waits a moment until it is done.
func (t *tripLine) finish() {
	if t == nil {
		return
	}
	t.end()
	close(t.quit)
	select {
	case <-t.done:
	case <-time.After(2 * tripSlow): // a port that is stuck may stay so
	}
}

// text is for the snapshot: "held", "dropped" or "failed: …"; empty without a
// trip line.
func (t *tripLine) text() string {
	if t == nil {
		return ""
	}
	t.mu.Lock()
	defer t.mu.Unlock()
	return t.shown
}

func (t *tripLine) signal() {
	select {
	case t.wake <- struct{}{}:
	default:
	}
}

// run sets the line as wished until finish.
func (t *tripLine) run() {
	if t == nil {
		return
	}
	defer close(t.done)
	t.tick()
	t.set(false)
	look := time.NewTicker(tripLook)
	defer look.Stop()
	setAt, stale := time.Now(), false
	for {
		last, timed := false, false
		select {
		case <-t.wake:
		case <-look.C:
			timed = true
		case <-t.quit:
			last = true
		}
		t.mu.Lock()
		wish, owed, quiet := t.wish, t.owed, time.Since(t.alive) > tripAlive
		t.owed = false
		t.mu.Unlock()
		turned := quiet != stale
		stale = quiet
		if turned && quiet && wish {
			t.tell(fmt.Sprintf("trip line dropped: nothing was heard of the pull for %v", tripAlive))
		}
		wish = wish && !stale
		if timed && !turned && !owed && time.Since(setAt) < tripAgain {
			continue
		}
		if owed && wish {
			t.set(false)
		}
		t.set(wish)
		setAt = time.Now()
		if last {
			return
		}
	}
}

// set sets the line, and tells once what is wrong with it.
func (t *tripLine) set(ok bool) {
	from := time.Now()
	answered := false
	slow := time.AfterFunc(tripSlow, func() {
		t.failed(fmt.Sprintf("the port has not answered for %v", tripSlow), &answered)
	})
	err := t.hold(ok)
	slow.Stop()
	took := time.Since(from)
	t.mu.Lock()
	answered = true
	t.mu.Unlock()
	if err != nil {
		t.failed(err.Error(), nil)
		return
	}
	t.mu.Lock()
	was := t.fault
	t.fault, t.shown = "", "dropped"
	if ok {
		t.shown = "held"
	}
	shown := t.shown
	t.mu.Unlock()
	switch {
	case took > tripSlow:
		t.tell(fmt.Sprintf("trip line %s, but it took %.1f s: look at the adapter and its cable", shown, took.Seconds()))
	case was != "":
		t.tell("trip line works again: " + shown)
	}
}

// hold sets the line; a panic in it is an error like any other.
func (t *tripLine) hold(ok bool) (err error) {
	defer func() {
		if p := recover(); p != nil {
			err = fmt.Errorf("fault in the program: %v", p)
		}
	}()
	return t.line.Hold(ok)
}

// failed notes why the line does not work, and tells it when it is new; not
// where what is late has been answered meanwhile.
func (t *tripLine) failed(why string, answered *bool) {
	t.mu.Lock()
	if answered != nil && *answered {
		t.mu.Unlock()
		return
	}
	news := t.fault != why
	t.fault, t.shown = why, "failed: "+why
	t.mu.Unlock()
	if news {
		t.tell("TRIP LINE FAILED, count on nothing it shows: " + why)
	}
}
