package watch

import (
	"fmt"
	"time"

	"draghand/internal/pull"
	"draghand/internal/wire"
)

// silence is how long an open source may say nothing before it is said; the
// same half second after which the engine calls the force unseen.
const silence = 500 * time.Millisecond

// firstLine is how long an opened board may take for its first good line:
// opening resets many, and they take 1 to 3 s to start (common practice, no
// source).
const firstLine = 3 * time.Second

// Where no tick came for standstill the machine stood still, and what the source sent
// meanwhile may wait unread: it is given catchUp before it is said to be silent.
const (
	standstill = 100 * time.Millisecond
	catchUp    = 200 * time.Millisecond
)

// opening is what is known of the source since it was opened, or came back.
type opening struct {
	at      time.Time
	restart bool      // opening it may have restarted a board
	banner  bool      // a greeting came
	first   time.Time // when the first good line came; zero: not yet
	young   bool      // the board's clock had then not run for longer than the wait
	told    bool      // whether the board restarted has been decided
	settled bool      // good lines for half a second: what is silent now is silent
}

// begin notes that the source is open from now on. One that begins with a whole
// line, or was only joined, is no board that could restart.
func (w *Watch) begin(torn, joined bool) {
	now := w.taken
	w.opening = opening{at: now, restart: torn && !joined && w.o.Time == HostTime, settled: !torn}
	w.heard, w.silent = now, false
	w.quality = quality{since: now, toldAt: w.quality.toldAt}
	w.endless = endless{toldAt: w.endless.toldAt}
}

// settle takes a good line while the source is fresh.
func (w *Watch) settle(l *wire.Line) {
	o := &w.opening
	if o.first.IsZero() {
		o.first = w.taken
		// As the board's clock counts: it may be off by 2 %, and was on its way.
		o.young = l.HasDev && w.clock != nil && l.Dev <= w.taken.Sub(o.at)*102/100+50*time.Millisecond
		return
	}
	if !o.told {
		// The board's clock knows. Without one a greeting tells, or that it was
		// silent for far longer than it is between its readings.
		spacing, clock := w.taken.Sub(o.first), l.HasDev && w.clock != nil
		if o.young || !clock && (o.banner || o.first.Sub(o.at) > 5*spacing) {
			w.tellRestart()
		}
		o.told = true
	}
	o.settled = w.taken.Sub(o.first) >= silence
}

// tellRestart says that the board was not there at once, but restarted: where
// it did that under load, the converter's supply or zero may have moved too.
func (w *Watch) tellRestart() {
	o := &w.opening
	wait := o.first.Sub(o.at)
	if !o.restart || wait < silence {
		return
	}
	w.emit(Event{
		Kind: EventKind(pull.EvFault), T: w.last, Wall: w.arrival,
		Text: fmt.Sprintf("the board restarted when the port was opened: its first reading came after %.1f s", wait.Seconds()),
	})
}

// beat takes a tick. The source is given time to be heard once in each silence, so
// that a machine that is held up all the time still tells one. The trip line has no
// such patience: it is dropped while nothing was heard, whoever stood still.
func (w *Watch) beat() {
	now := time.Now()
	if given := w.pardon.Add(-catchUp); now.Sub(w.ticked) > standstill && !given.After(w.heard) {
		w.pardon = now.Add(catchUp)
	}
	w.ticked = now
	w.followTrip()
}

// unheard says that a live source has said nothing for as long as a silence takes,
// whether or not it is called one yet.
func (w *Watch) unheard() bool { return w.o.Time == HostTime && time.Since(w.heard) >= silence }

// watchSilence notices an open source that says nothing. A file is as slow as
// its disk and never silent. A source just opened may be a board that starts: it
// has firstLine for that. If there was load when it was lost, the alarm of that
// stands meanwhile.
func (w *Watch) watchSilence() {
	if w.o.Time != HostTime || !w.opened || w.silent || w.status != "live" && w.status != "waiting" {
		return
	}
	now := time.Now()
	if now.Before(w.pardon) {
		return
	}
	if !w.opening.settled && now.Sub(w.opening.at) < firstLine {
		return
	}
	quiet := now.Sub(w.heard)
	switch {
	case w.good == 0:
		if quiet >= firstLine {
			w.silent = true
			text := "no reading in the first " + firstLine.String() + ": look at the cable, the baud rate and the columns of the rig file"
			if bad := w.engine.State().BadLines; bad > 0 {
				text += fmt.Sprintf("; %d lines came and could not be read", bad)
			} else if e := &w.endless; e.bytes > 0 && !e.anyLine && !e.told {
				text += "; " + e.text()
				e.told, e.toldAt = true, now
			}
			w.emit(Event{Kind: EventKind(pull.EvFault), T: w.now(), Text: text})
		}
	case quiet >= silence:
		w.silent, w.status = true, "silent"
		w.mark(pull.Silent, 1, "")
	}
}
