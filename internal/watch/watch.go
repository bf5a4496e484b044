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

	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/specimen"
	"draghand/internal/wire"
)

// TimeBase is what a reading's time is taken from.
type TimeBase uint8

// The time bases.
const (
	// HostTime is the arrival at this computer, with the board's clock mapped
	// to it where the board sends one.
	HostTime TimeBase = iota
	// BoardTime is the board's clock alone, for a file whose lines all arrive
	// at once.
	BoardTime
	// RateTime counts readings at the rig's stated rate, for a file without
	// times.
	RateTime
)

// Command is what a person may ask of a running pull.
type Command uint8

// The commands.
const (
	ZeroNow   Command = iota // take a new zero
	AckAlarms                // acknowledge every alarm
	EndPull                  // close the pull
)

func (c Command) String() string {
	return [...]string{"take zero", "acknowledge alarms", "end the pull"}[c]
}

// Options is what a pull needs.
type Options struct {
	Feed     feed.Feed
	Rig      *rig.Rig
	Kind     pull.Kind
	Specimen specimen.Specimen
	Shelf    string // folder the record is made in
	Version  string
	LastZero *float64
	Time     TimeBase
	// For ends the pull after so long; 0: never.
	For time.Duration
	// ZeroReturn waits a little longer after the break for a quiet zero, as a
	// person at the screen would; without it the pull ends 2 s after the break.
	ZeroReturn bool
	// Listen is told every event, on a goroutine of its own; nil: nobody.
	Listen func(Event)
	// Judged is called after each chunk of readings has been through the
	// engine, on the pull's own goroutine, with the number of readings so far;
	// it must not wait. Nil: nobody is told.
	Judged func(readings int64)
	// Started is when the pull was armed; the zero value means now.
	Started time.Time
}

// Result is how a pull ended.
type Result struct {
	State  pull.State
	Record string // folder, empty where nothing could be saved
	Reason string // "break", "end of source", "time", "signal", "closed by the person", "source lost"
	// Source is why the source failed, Save why the record is not whole.
	Source, Save error
}

// lostReason closes a pull whose source failed for good.
const lostReason = "source lost"

// silence is how long an open source may say nothing before it is said; the
// same half second after which the engine calls the force unseen.
const silence = 500 * time.Millisecond

// firstLine is how long an opened board may take for its first good line:
// opening resets many, and they take 1 to 3 s to start (common practice, no
// source).
const firstLine = 3 * time.Second

// lateDisk is how long a reading may wait for the disk before it is said.
const lateDisk = 3 * time.Second

// publishEvery is how often a snapshot is made: well under a frame at 30 a
// second, so that a frame is never two ticks old.
const publishEvery = 15 * time.Millisecond

// zeroReturnWait is how long after the break a pull with ZeroReturn stays open
// at the most while no quiet zero is seen.
const zeroReturnWait = 8 * time.Second

// Watch is one running pull. Snapshot, Trace and Do may be called from any
// goroutine; Run once.
type Watch struct {
	o        Options
	decoder  *wire.Decoder
	clock    *wire.Clock
	engine   *pull.Engine
	writer   *record.Writer
	events   *queue
	commands chan Command
	snap     atomic.Pointer[Snapshot]

	deaf bool // the listener panicked; owned by the events' goroutine

	traceMu sync.Mutex
	trace   Trace

	// owned by Run's goroutine
	start    time.Time // of the record
	last     time.Duration
	lastWall time.Time // the moment last belongs to
	lastSeen time.Time // when the newest good line came in
	heard    time.Time // the same, or when the source was opened again
	arrival  time.Time // of the chunk in work, as the feed stamps it
	taken    time.Time // when it was taken from the feed
	good     int64
	rate     rateMeter
	status   string
	silent   bool
	opened   bool // the source was there
	torn     bool // it may begin and end in the middle of a line
	late     bool // the late disk was told
	saveErr  error
}

// New checks the options and opens the record. From here on the folder exists;
// nothing is read before Run.
func New(o Options) (*Watch, error) {
	if err := o.Specimen.Validate(); err != nil {
		return nil, err
	}
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
	w := &Watch{
		o: o, decoder: dec, commands: make(chan Command, 16), events: newQueue(), status: "waiting",
		engine: pull.New(pull.Config{Kind: o.Kind, Rig: o.Rig, Area: o.Specimen.Area(), LastZero: o.LastZero}),
	}
	w.clock = newClock(o.Rig.Source)
	w.writer, err = record.Create(o.Shelf, record.Head{
		Program: "draghand " + o.Version, Started: o.Started, Kind: o.Kind, Specimen: o.Specimen, Rig: o.Rig, Source: o.Feed.Name(), LastZero: o.LastZero,
	})
	if err != nil {
		return nil, err
	}
	w.publish(false, "")
	return w, nil
}

// Snapshot is the pull as last published. Never nil.
func (w *Watch) Snapshot() *Snapshot { return w.snap.Load() }

// Trace copies the force trace into dst.
func (w *Watch) Trace(dst *Trace) {
	w.traceMu.Lock()
	defer w.traceMu.Unlock()
	w.trace.CopyTo(dst)
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
		w.events.drain(w.told)
	}()
	w.start = time.Now()
	w.lastSeen, w.heard, w.lastWall = w.start, w.start, w.start
	w.emit(Event{Kind: Armed, Record: w.writer.Dir(), Simulated: w.o.Specimen.Simulated})
	reason, srcErr := w.guarded(ctx)
	var res Result
	if srcErr != nil && !w.opened && w.writer.Abandon() == nil {
		// The source was never there: nothing was pulled, nothing is kept.
		res = Result{State: w.engine.State().Clone(), Reason: reason, Source: srcErr}
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

// told hands one event to the listener. A listener that panics is not asked
// again; the pull goes on.
func (w *Watch) told(e Event) {
	if w.o.Listen == nil || w.deaf {
		return
	}
	defer func() {
		if recover() != nil {
			w.deaf = true
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

// item is one chunk in flight, with a buffer of its own.
type item struct {
	kind feed.Kind
	at   time.Time
	data []byte
	torn bool
	err  error
}

func (w *Watch) loop(ctx context.Context) (string, error) {
	feedCtx, cancel := context.WithCancel(ctx)
	in := make(chan item, 64)
	defer func() {
		cancel()
		for range in { // a panic below must not leave the feed waiting with its port open
		}
	}()
	spare := make(chan []byte, 64)
	feedErr := make(chan error, 1)
	go func() {
		defer close(in)
		defer func() {
			if p := recover(); p != nil {
				feedErr <- fmt.Errorf("fault in the source: %v", p)
			}
		}()
		feedErr <- w.o.Feed.Run(feedCtx, func(c feed.Chunk) {
			var buf []byte
			select {
			case buf = <-spare:
			default:
			}
			in <- item{kind: c.Kind, at: c.At, data: append(buf[:0], c.Data...), torn: c.Torn, err: c.Err}
		})
	}()

	tick := time.NewTicker(publishEvery)
	defer tick.Stop()
	reason := ""
	stop := func(why string) {
		if reason == "" {
			reason = why
			cancel() // the feed ends; what it has read so far is still taken below
		}
	}
	done := ctx.Done()
	for {
		select {
		case it, ok := <-in:
			if !ok {
				err := <-feedErr
				if reason == "" {
					reason = record.ByEnd
					if err != nil {
						reason = lostReason
					}
				}
				if errors.Is(err, context.Canceled) {
					err = nil
				}
				return reason, err
			}
			w.take(it)
			if w.o.Judged != nil {
				w.o.Judged(w.good)
			}
			select {
			case spare <- it.data:
			default:
			}
		case <-tick.C:
			w.watchSilence()
			w.publish(false, "")
		case c := <-w.commands:
			if c == EndPull {
				stop(record.ByPerson)
			} else {
				w.command(c)
			}
		case <-done:
			done = nil
			stop(record.BySignal)
		}
		if w.over() {
			stop(record.ByBreak)
		}
		if w.o.For > 0 && w.now() >= w.o.For {
			stop(record.ByTime)
		}
	}
}

// over says that the pull has run its course.
func (w *Watch) over() bool {
	now := w.now()
	if !w.engine.Done(now) {
		return false
	}
	if !w.o.ZeroReturn {
		return true
	}
	s := w.engine.State()
	return s.Zero.HasReturn || s.Break == nil || now-s.Break.T > zeroReturnWait
}

// take carries one chunk through record and engine.
func (w *Watch) take(it item) {
	w.arrival, w.taken = it.at, time.Now()
	switch it.kind {
	case feed.Data:
		w.decoder.Decode(it.data, w.line)
	case feed.Opened:
		w.opened, w.torn = true, it.torn
		if it.torn {
			w.decoder.Restart()
		}
	case feed.Lost:
		w.status = "lost"
		text := "the source went away"
		if it.err != nil {
			text = it.err.Error()
		}
		w.mark(pull.Lost, 1, text)
	case feed.Back:
		w.status = "waiting"
		if it.torn {
			w.decoder.Restart()
		}
		w.heard, w.silent = time.Now(), false
		w.mark(pull.Back, 1, "")
	case feed.End:
		if !w.torn { // the end of a file ends its last line; a wire may be cut in the middle of a number
			w.decoder.Flush(w.line)
		}
		w.status = "ended"
	}
}

// line is one decoded line: first to the record, then to the engine.
func (w *Watch) line(l *wire.Line) {
	switch l.Kind {
	case wire.Good:
		t, restarted := w.timeOf(l)
		if restarted {
			w.mark(pull.Reset, 1, "")
		}
		w.last, w.lastWall = t, w.taken
		w.lastSeen, w.heard, w.silent, w.status = w.taken, w.taken, false, "live"
		w.good++
		w.rate.add(t)
		w.writer.Append(t, l.DevText, l.RawText, "")
		w.step(pull.Reading{T: t, Raw: l.Raw})
		w.draw(t)
	case wire.Bad:
		w.mark(pull.Bad, 1, string(l.Text))
	}
}

// draw puts the newest force into the trace.
func (w *Watch) draw(t time.Duration) {
	s := w.engine.Live()
	if !s.Seen {
		return
	}
	w.traceMu.Lock()
	w.trace.Add(t, float64(s.Specimen))
	w.traceMu.Unlock()
}

// mark records something that is no reading and tells the engine.
func (w *Watch) mark(m pull.Mark, count int, text string) {
	t := max(w.last, w.now().Truncate(time.Microsecond))
	w.last, w.lastWall = t, time.Now()
	bad := w.writer.Mark(t, m, count, text)
	if bad > 0 {
		w.step(pull.Reading{T: t, Mark: pull.Bad, Count: bad})
	}
	if m != pull.Bad {
		w.step(pull.Reading{T: t, Mark: m})
	}
}

// step hands a reading to the engine and passes its events on.
func (w *Watch) step(r pull.Reading) {
	for _, e := range w.engine.Step(r) {
		switch e.Kind {
		case pull.EvAlarm, pull.EvBreak, pull.EvLost, pull.EvSlip:
			w.writer.Event()
		}
		if e.Kind != pull.EvPeak {
			// Whoever is woken by the event must find it in the snapshot.
			w.publish(false, "")
		}
		out := fromEngine(e, w.arrival)
		if e.Kind == pull.EvBreak {
			if b := w.engine.State().Break; b != nil {
				from := b.Specimen // b is the engine's own and changes
				out.From, out.Provisional = &from, b.Provisional
				if f := b.Fall.Seconds(); !b.Provisional {
					out.Fall = &f
				}
			}
		}
		w.emit(out)
	}
}

func (w *Watch) emit(e Event) { w.events.put(e, e.Kind == EventKind(pull.EvPeak)) }

func (w *Watch) command(c Command) {
	switch c {
	case ZeroNow:
		w.mark(pull.TakeZero, 1, "")
	case AckAlarms:
		w.mark(pull.Ack, 1, "")
	}
}

// watchSilence notices an open source that says nothing. A file is as slow as
// its disk and never silent.
func (w *Watch) watchSilence() {
	if w.o.Time != HostTime || w.status != "live" && w.status != "waiting" {
		return
	}
	quiet := time.Since(w.heard)
	switch {
	case w.good == 0:
		if w.opened && !w.silent && quiet >= firstLine {
			w.silent = true
			text := "no reading in the first " + firstLine.String() + ": look at the cable, the baud rate and the columns of the rig file"
			if bad := w.engine.State().BadLines; bad > 0 {
				text += fmt.Sprintf("; %d lines came and could not be read", bad)
			}
			w.emit(Event{Kind: EventKind(pull.EvFault), T: w.now(), Text: text})
		}
	case !w.silent && quiet >= silence:
		w.silent, w.status = true, "silent"
		w.mark(pull.Silent, 1, "")
	}
}

// noteSaveErr keeps the first failure of the record and says it once.
func (w *Watch) noteSaveErr(err error) {
	if err == nil || w.saveErr != nil {
		return
	}
	w.saveErr = err
	w.emit(Event{Kind: Failed, T: w.last, Text: "NOT SAVED: " + err.Error() + ": the pull goes on in memory; free the disk or keep the program running until it is saved elsewhere"})
}

// finish closes the record, elsewhere where its own folder failed.
func (w *Watch) finish(reason string, srcErr error) Result {
	w.endMarks(reason)
	s := w.engine.State().Clone()
	res := Result{State: s, Reason: reason, Source: srcErr, Record: w.writer.Dir()}
	w.emit(Event{Kind: Ended, T: w.last, Phase: s.Phase, Text: reason})
	closing := record.ClosingFrom(s, reason)
	closing.Ended = time.Now().UTC()
	res.Save = w.writer.Close(closing)
	if res.Save == nil {
		w.emit(Event{Kind: Saved, T: w.last, Record: res.Record})
	} else {
		w.noteSaveErr(res.Save)
	}
	text := ""
	if res.Save != nil {
		text = res.Save.Error()
	} else if srcErr != nil {
		text = srcErr.Error()
	}
	w.publish(true, text)
	return res
}

// endMarks closes the engine's pull. A live source that ends under load has
// left the person without a view of it: that is told first. A fault in the
// engine must not keep the record from being closed.
func (w *Watch) endMarks(reason string) {
	defer func() {
		if p := recover(); p != nil {
			w.emit(Event{Kind: Failed, T: w.last, Text: fmt.Sprintf("fault in the program while ending: %v", p)})
		}
	}()
	lost := reason == record.ByEnd || reason == lostReason
	if s := w.engine.State(); lost && w.o.Time == HostTime && w.good > 0 && (s.Phase == pull.Loading || s.Phase == pull.PastPeak) {
		w.mark(pull.Lost, 1, "the source ended under load")
	}
	w.mark(pull.End, 1, "")
}

// Rescue saves a pull whose own folder failed into another shelf.
func (w *Watch) Rescue(shelf string) (string, error) {
	err := w.writer.SaveElsewhere(shelf)
	return w.writer.Dir(), err
}

// publish makes the snapshot a screen sees.
func (w *Watch) publish(closed bool, errText string) {
	h := w.writer.Health()
	w.noteSaveErr(h.Err)
	if late := h.SyncedAge > lateDisk; late != w.late && h.Err == nil {
		if w.late = late; late {
			w.emit(Event{Kind: Failed, T: w.last, Text: "the disk is late: the newest readings are not safely on it yet"})
		}
	}
	now := w.now()
	var age time.Duration
	if w.good > 0 {
		age = time.Since(w.lastSeen)
	}
	s := &Snapshot{
		State: w.engine.State().Clone(), Specimen: w.o.Specimen, RigName: w.o.Rig.Name, Units: w.o.Rig.Units,
		Unknown: w.o.Rig.UnknownParts(), Levels: w.o.Rig.Alarm,
		Source: Source{Name: w.o.Feed.Name(), Status: w.status, Rate: w.rate.perSecond(), Age: age},
		Record: Record{Path: w.writer.Dir(), Name: w.writer.Name(), Lines: h.Lines, Synced: h.SyncedAge, Saved: closed && w.saveErr == nil},
		Now:    now, Closed: closed, Err: errText,
	}
	if w.saveErr != nil {
		s.Record.Failed = w.saveErr.Error()
	}
	w.snap.Store(s)
}
