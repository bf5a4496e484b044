// Package watch owns a running pull:
//
//	feed -> wire -> record.Writer          every reading, raw, first of all
//	          |
//	          +-> pull.Engine -> Snapshot  the latest only, taken by the screen when it likes
//	                    |
//	                    +-> events         through a queue of their own to bell, log and screen
//
// One goroutine does all of it in order; the feed has its own, the record's
// disk work has its own, and so has whoever listens to events. Nothing a
// screen, a terminal or a disk does can hold up a reading.
package watch

import (
	"context"
	"errors"
	"fmt"
	"runtime/debug"
	"sync"
	"sync/atomic"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/specimen"
	"draghand/internal/wire"
)

// lostReason closes a pull whose source failed for good.
const lostReason = "source lost"

// publishEvery is how often a snapshot is made: well under a frame at 30 a
// second, so that a frame is never two ticks old.
const publishEvery = 15 * time.Millisecond

// Watch is one running pull. Snapshot, Trace and Do may be called from any
// goroutine; Run once.
type Watch struct {
	o        Options
	head     record.Head // of the record
	decoder  *wire.Decoder
	clock    *wire.Clock
	engine   *pull.Engine
	stop     *rig.First // of the rig
	writer   keeper
	events   *queue
	commands chan Command
	snap     atomic.Pointer[Snapshot]
	trip     *tripLine // nil: none

	deaf bool // the listener panicked; owned by the events' goroutine

	traceMu sync.Mutex
	trace   Pyramid

	storyMu sync.Mutex
	story   []Told

	// owned by Run's goroutine
	began    time.Time // when Run was called
	start    time.Time // of the record
	last     time.Duration
	lastWall time.Time // the moment last belongs to
	lastSeen time.Time // when the newest good line came in
	heard    time.Time // the same, or when the source was opened again
	ticked   time.Time // when the loop looked last whether the source is silent
	pardon   time.Time // until when a silence may be the machine's
	arrival  time.Time // of the chunk in work, as the feed stamps it
	taken    time.Time // when it was taken from the feed, or came, if that was before the pull
	missed   int       // chunks from before the pull that are still to come
	good     int64
	rate     rateMeter
	status   string
	silent   bool
	opening  opening
	quality  quality
	endless  endless
	opened   bool // the source was there
	torn     bool // it may begin and end in the middle of a line
	late     bool // the late disk was told
	waits    bool // that the pull waits was told
	told     []pull.Event
	saveErr  error
}

// New checks the options and opens the record, if there is to be one. From here
// on its folder exists; nothing is read before Run.
func New(o Options) (*Watch, error) {
	if err := o.Specimen.Validate(); err != nil {
		return nil, err
	}
	far := o.Specimen.Side == specimen.Far
	if why := o.Rig.TakesSides(); far && why != nil {
		return nil, fmt.Errorf("the bar cannot stand on the far side: %w", why)
	}
	o.Rig = o.Rig.BarOn(far).EndsOf(o.Specimen.ExpectLow)
	dec, err := wire.NewDecoder(layoutOf(o.Rig.Source))
	if err != nil {
		return nil, err
	}
	if o.Kind == "" {
		o.Kind = pull.Tension
	}
	if o.Started.IsZero() {
		o.Started = time.Now()
	}
	if o.Time == RateTime && o.Rig.Source.Rate <= 0 {
		return nil, errors.New("the readings carry no time and the rig file states no rate")
	}
	head := record.Head{
		Program: "draghand " + o.Version, Started: o.Started, Kind: o.Kind, Specimen: o.Specimen, Rig: o.Rig, Source: o.Feed.Name(), LastZero: o.LastZero,
	}
	if head.Arming = o.Arming; o.Arming != nil && o.Arming.Reason != "" {
		head.Overrides = []string{o.Arming.Reason}
	}
	if o.Kind == pull.Proof {
		head.Proof = &record.Proof{Target: o.Proof.Target, Hold: record.SecondsOf(o.Proof.Hold)}
	}
	w := &Watch{
		o: o, head: head, decoder: dec, commands: make(chan Command, 16), events: newQueue(), status: "waiting",
		engine: pull.New(head.Config()), stop: o.Rig.FirstStop(),
	}
	w.clock = newClock(o.Rig.Source)
	if o.Look {
		w.writer = keepNothing{}
	} else if w.writer, err = record.Create(o.Shelf, head); err != nil {
		return nil, err
	}
	if !o.Look { // what is not armed speaks for nothing
		w.trip = newTripLine(o.Trip, w.tellTrip)
	}
	w.publish(false, "")
	return w, nil
}

// Snapshot is the pull as last published. Never nil.
func (w *Watch) Snapshot() *Snapshot { return w.snap.Load() }

// Trace copies the force from one time to another into dst, as
// Pyramid.CopyRange does.
func (w *Watch) Trace(dst *Trace, from, to time.Duration) {
	w.traceMu.Lock()
	defer w.traceMu.Unlock()
	w.trace.CopyRange(dst, from, to)
}

// Do asks for a command; it never blocks. A command on a full queue is
// dropped: sixteen unserved ones mean the pull is over.
func (w *Watch) Do(c Command) {
	select {
	case w.commands <- c:
	default:
	}
}

// Run carries the pull from its first reading to the closed record. It returns
// when the pull is over for any reason, ctx included; the record is closed in
// every case, a panic included.
func (w *Watch) Run(ctx context.Context) Result {
	listened := make(chan struct{})
	go func() {
		defer close(listened)
		w.events.drain(w.tell)
	}()
	w.startTrip()
	w.began = time.Now()
	w.start = w.began
	w.lastSeen, w.heard, w.lastWall, w.ticked = w.start, w.start, w.start, w.start
	reason, srcErr := w.guarded(ctx)
	w.trip.finish()
	var res Result
	if srcErr != nil && !w.opened && w.writer.Abandon() == nil {
		// The source was never there: nothing was pulled, nothing is kept.
		res = Result{State: w.engine.State().Clone(), Reason: reason, Source: srcErr, Head: w.head}
		w.emit(Event{Kind: Failed, Text: srcErr.Error()})
		w.publish(true, srcErr.Error())
	} else {
		res = w.finish(reason, srcErr)
	}
	w.events.close()
	select {
	case <-listened:
	case <-time.After(2 * time.Second): // a listener that is stuck may stay so; the record is closed
	}
	return res
}

// tell hands one event to the listener. A listener that panics is not asked
// again; the pull goes on.
func (w *Watch) tell(e Event) {
	if w.o.Listen == nil || w.deaf {
		return
	}
	defer func() {
		if recover() != nil {
			w.deaf = true
			w.trip.end() // the person is told nothing any more
		}
	}()
	w.o.Listen(e)
}

// guarded runs the loop and turns a panic in it into a reason to close.
func (w *Watch) guarded(ctx context.Context) (reason string, err error) {
	defer func() {
		if p := recover(); p != nil {
			reason, err = "fault in the program", fmt.Errorf("fault in the program: %v\n%s", p, debug.Stack())
		}
	}()
	return w.loop(ctx)
}
