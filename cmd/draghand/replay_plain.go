package main

import (
	"fmt"
	"time"

	"draghand/internal/finish"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/strength"
	"draghand/internal/watch"
)

// replayPlain says what watch --plain said of the pull, at once: a line for each
// second of the record, and one for each event. The first line says that nothing
// of it happens now, and no line orders anything.
func replayPlain(w world, rec *record.Record, name, rigFile string, sys si.System) error {
	say := func(line string) { fmt.Fprintln(w.out, clean(line)) }
	h := &rec.Head
	say("REPLAY of " + rec.Name() + ", pulled " + h.Started.UTC().Format("2006-01-02 15:04:05 UTC") + ": nothing of this happens now")
	if h.Specimen.Simulated {
		say("simulated: no metal was pulled")
	}
	if rigFile != "" {
		say("recomputed with " + rigFile + ", not by the rig it was pulled on")
	}
	s := watch.Snapshot{Specimen: h.Specimen, Source: watch.Source{Status: "live"}}
	if p := h.Proof; p != nil {
		s.Proof = watch.Proof{Target: p.Target, Hold: p.Hold.Duration()}
	}
	var told strength.Remarks
	next := time.Second
	var calm calmer
	tell := func(e watch.Event) {
		if words := pastWords(e, sys); words != "" {
			say(fmt.Sprintf("%8.2f s  %s", e.T.Seconds(), words))
		}
	}
	state, damage := rec.ReplayLines(func(l record.Line) bool {
		told.Add(l.Events)
		for _, e := range calm.over(l.Reading.T) {
			tell(e)
		}
		for _, e := range l.Events {
			if e := watch.EventOf(e, l.Engine, time.Time{}); calm.heard(e) {
				tell(e)
			}
		}
		if t := l.Reading.T; t >= next {
			s.Now, s.State = t, l.Engine.State()
			say(stateWords(&s, sys))
			next = t.Truncate(time.Second) + time.Second
		}
		return true
	})
	if h.Closing != nil {
		say(fmt.Sprintf("%8.2f s  pull over: %s", state.T.Seconds(), h.Closing.Reason))
	} else {
		say("the record was never closed: these are the readings that were saved")
	}
	if damage != nil {
		say(finish.Damage(damage))
	}
	p := finish.Pull(h, rec.Name(), state, told)
	p.Damaged = damage != nil
	results := strength.From(p)
	for _, l := range results.Lines(sys, h.Specimen) {
		say(l)
	}
	if damage != nil {
		return damaged(name, damage.Error())
	}
	return nil
}
