package watch

import (
	"time"

	"draghand/internal/feed"
	"draghand/internal/pull"
	"draghand/internal/wire"
)

// take carries one chunk through record and engine.
func (w *Watch) take(it item) {
	w.arrival, w.taken = it.at, w.moment(&it)
	if it.kind == feed.Data && w.missed > 0 {
		defer func() { w.missed-- }()
	}
	switch it.kind {
	case feed.Data:
		w.decoder.Decode(it.data, w.line)
		w.judgeLines()
		w.watchLineEnds(it.data)
	case feed.Opened:
		w.opened, w.torn, w.missed = true, it.torn, it.missed
		if it.joined {
			w.startFrom(it.at)
		}
		w.begin(it.torn, it.joined)
		if dir := w.writer.Dir(); dir != "" {
			w.emit(Event{Kind: Armed, Record: dir, Simulated: w.o.Specimen.Simulated})
		}
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
		w.begin(it.torn, false)
		w.mark(pull.Back, 1, it.note)
		if it.note != "" {
			w.emit(Event{Kind: EventKind(pull.EvFault), T: w.last, Wall: w.arrival, Text: "the source is back: " + it.note})
		}
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
			w.quality.jumps++
			w.mark(pull.Reset, 1, "")
		}
		w.last, w.lastWall = t, w.taken
		w.lastSeen, w.heard, w.silent, w.status = w.taken, w.taken, false, "live"
		w.good++
		w.rate.add(t)
		w.quality.good++
		if !w.opening.settled {
			w.settle(l)
		}
		if bad := w.writer.Append(t, l.DevText, l.RawText, ""); bad > 0 {
			w.step(pull.Reading{T: t, Mark: pull.Bad, Count: bad})
			return
		}
		w.step(pull.Reading{T: t, Raw: l.Raw})
		w.draw(t)
		if w.o.Heard != nil {
			w.o.Heard(t, l.Raw, w.engine.Live())
		}
	case wire.Bad:
		w.quality.bad(l.Text)
		w.mark(pull.Bad, 1, string(l.Text))
	case wire.Banner:
		w.opening.banner = true
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
	// Not the clock anew: what was cut off below a microsecond would be lost with
	// each of a million marks a second, and the record's time stand still.
	w.lastWall = w.lastWall.Add(t - w.last)
	w.last = t
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
	events := w.engine.Step(r)
	w.followTrip() // before anything else is done about it
	for _, e := range events {
		switch e.Kind {
		case pull.EvAlarm, pull.EvBreak, pull.EvWithdrawn, pull.EvLost, pull.EvSlip, pull.EvYield:
			w.writer.Event()
		case pull.EvRemark:
			w.remember(e)
		}
		out := EventOf(e, w.engine, w.arrival)
		if e.Kind != pull.EvPeak {
			// Whoever is woken by the event must find it in the snapshot.
			w.note(out)
			w.publish(false, "")
		}
		w.put(out)
	}
}

// mostRemarks of one pull are kept: more would be chatter.
const mostRemarks = 32

// remember keeps a remark of the engine. While a proof is held the pump only
// makes up for what leaks, and what a stroke then gains says nothing; that it was
// held for long enough is in the state.
func (w *Watch) remember(e pull.Event) {
	if e.Phase == pull.Holding {
		return
	}
	w.told = append(w.told[:min(len(w.told), mostRemarks-1)], e)
}

// emit tells an event that is not the engine's.
func (w *Watch) emit(e Event) {
	w.note(e)
	w.put(e)
}

func (w *Watch) put(e Event) { w.events.put(e, e.Kind == EventKind(pull.EvPeak)) }

func (w *Watch) command(c Command) {
	switch c {
	case ZeroNow:
		w.mark(pull.TakeZero, 1, "")
	case AckAlarms:
		w.mark(pull.Ack, 1, "")
	}
}
