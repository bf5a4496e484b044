package watch

import (
	"fmt"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
)

// lateDisk is how long a reading may wait for the disk before it is said.
const lateDisk = 3 * time.Second

// zeroReturnWait is how long after the break a pull with ZeroReturn stays open
// at the most while no quiet zero is seen.
const zeroReturnWait = 8 * time.Second

// over says that the pull has run its course.
func (w *Watch) over() bool {
	if w.o.Look {
		return w.lookOver()
	}
	if w.o.Unattended && w.o.Time == HostTime {
		w.tellWaits()
		if w.engine.Rested() {
			return true
		}
	}
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

// tellWaits says once that the load went without a break, and what the pull waits for.
func (w *Watch) tellWaits() {
	if w.waits || !w.engine.Waits() {
		return
	}
	w.waits = true
	how := "the load was let off"
	if w.engine.State().Outcome == pull.Unclear {
		how = "the load is gone, and nobody knows whether the bar broke"
	}
	w.emit(Event{Kind: Waits, T: w.last, Wall: w.arrival, Text: fmt.Sprintf(
		"%s: the pull goes on if it is loaded again, and ends by itself once the force has rested at zero for %g s; a signal (ctrl+c) or --for ends it sooner",
		how, pull.RestFor.Seconds())})
}

// course is why a pull closes that has run its course.
func (w *Watch) course() string {
	if w.engine.Rested() {
		return record.ByRest
	}
	switch w.engine.State().Outcome {
	case pull.LetOff:
		return record.ByLetOff
	case pull.Faded:
		return record.ByFading
	}
	return record.ByBreak
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
	res := Result{State: s, Reason: reason, Source: srcErr, Record: w.writer.Dir(), Told: w.told, Head: w.head}
	w.emit(Event{Kind: Ended, T: w.last, Phase: s.Phase, Text: reason})
	closing := record.ClosingFrom(s, reason)
	closing.Ended = time.Now().UTC()
	res.Save = w.writer.Close(closing)
	switch {
	case res.Save == nil && res.Record == "": // a look
	case res.Save == nil:
		w.emit(Event{Kind: Saved, T: w.last, Record: res.Record})
	default:
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
	if s := w.engine.State(); lost && w.o.Time == HostTime && w.good > 0 && Loaded(s.Phase) {
		w.mark(pull.Lost, 1, "the source ended under load")
	}
	w.mark(pull.End, 1, "")
}

// Rescue saves a pull whose own folder failed into another shelf.
func (w *Watch) Rescue(shelf string) (string, error) {
	err := w.writer.SaveElsewhere(shelf)
	return w.writer.Dir(), err
}

// remark is the newest remark of the engine.
func (w *Watch) remark() string {
	if n := len(w.told); n > 0 {
		return w.told[n-1].Text
	}
	return ""
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
	if closed && w.status != "lost" { // nothing is waited for any more
		w.status = "ended"
	}
	var age time.Duration
	if w.good > 0 {
		age = time.Since(w.lastSeen)
	}
	s := &Snapshot{
		State: w.engine.State().Clone(), Specimen: w.o.Specimen, RigName: w.o.Rig.Name, Units: w.o.Rig.Units,
		Unknown: w.o.Rig.UnknownParts(), Levels: w.o.Rig.Alarm, Stop: w.stop, Proof: w.o.Proof, Remark: w.remark(),
		Source: Source{Name: w.o.Feed.Name(), Status: w.status, Rate: w.rate.perSecond(), Age: age},
		Record: Record{Path: w.writer.Dir(), Name: w.writer.Name(), Lines: h.Lines, Synced: h.SyncedAge, Saved: closed && w.saveErr == nil && h.Dir != ""},
		Trip:   w.trip.text(),
		Now:    now, Story: w.notes(), Closed: closed, Err: errText,
	}
	if w.saveErr != nil {
		s.Record.Failed = w.saveErr.Error()
	}
	w.snap.Store(s)
}
