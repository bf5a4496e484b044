package main

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"sync/atomic"
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/watch"
)

// viewer tells of a running pull: it wakes the screen where there is one, and
// prints where there is none. A screen that fails is replaced by plain text
// under way.
type viewer struct {
	w        world
	m        manner
	sys      si.System
	unitsOf  func() si.System // of display as they are now; nil: sys
	watch    *watch.Watch     // the pull
	edges    chan struct{}
	onScreen atomic.Bool
	mute     atomic.Bool // whoever read the output is gone

	sits   bool        // a bench is around the pull: what comes before arming is no pull
	armed  atomic.Bool // on a bench: a pull runs
	loaded atomic.Bool // by what was told last there was load on the rig
	calm   calmer

	// of follow's goroutine
	typed    <-chan string    // lines of the person; nil: nobody types
	askedEnd bool             // whether to end under load
	nagged   time.Time        // when a stop was last told again
	pace     pacer            // of the state told by itself
	stopped  <-chan os.Signal // the terminal asked the program to stop for a while
}

// take begins with a pull: what was asked or told of the one before is not this
// one's.
func (v *viewer) take(p *watch.Watch) {
	v.watch, v.askedEnd, v.nagged, v.pace = p, false, time.Time{}, pacer{}
}

// listen takes one event, on a goroutine of the watch's own.
func (v *viewer) listen(e watch.Event) {
	v.note(e)
	if v.onScreen.Load() {
		if e.Kind != watch.EventKind(pull.EvPeak) {
			select {
			case v.edges <- struct{}{}:
			default:
			}
		}
		return
	}
	if e.Kind == watch.Waits {
		fmt.Fprintln(v.w.err, "draghand: "+clean(e.Text))
	}
	switch {
	case v.m.asJSON:
		b, err := json.Marshal(e)
		if err != nil {
			v.print(fmt.Sprintf(`{"event":"error","t_s":%.6f,"text":"an event could not be written as JSON"}`, e.T.Seconds()))
			return
		}
		v.print(string(b))
	case v.m.plain:
		v.hear(e)
	}
}

// note keeps what the words after the end hang on: whether there is load.
func (v *viewer) note(e watch.Event) {
	switch e.Kind {
	case watch.Armed:
		v.armed.Store(true)
		v.loaded.Store(false)
		v.calm.forget()
	case watch.Ended:
		v.armed.Store(false)
		v.calm.forget()
	case watch.EventKind(pull.EvZero):
		if strings.HasPrefix(e.Text, "zero taken") {
			v.loaded.Store(false)
		}
	case watch.EventKind(pull.EvPhase):
		if e.Phase != pull.Ended { // the end of readings lets no pressure off
			v.loaded.Store(watch.Loaded(e.Phase))
		}
	}
}

// hear tells an event in words, with the bell where it is an alarm.
func (v *viewer) hear(e watch.Event) {
	v.tellOver(e.T)
	if !v.calm.heard(e) {
		return
	}
	v.tell(e)
	if raised(e) {
		v.bell()
	}
}

// tellOver tells of look-aheads that stayed away until now.
func (v *viewer) tellOver(now time.Duration) {
	for _, e := range v.calm.over(now) {
		v.tell(e)
	}
}

// tell prints an event. What happens on a bench before arming has no time of a
// record, and says that none is made.
func (v *viewer) tell(e watch.Event) {
	if v.sits && !v.armed.Load() && e.Kind != watch.Ended && e.Kind != watch.Saved && e.Kind != watch.Failed {
		if line := unrecorded(e, v.units()); line != "" {
			v.say(line)
		}
		return
	}
	if line := eventWords(e, v.units()); line != "" {
		v.print(fmt.Sprintf("%8.2f s  %s", e.T.Seconds(), clean(line)))
	}
}

// units are those of display.
func (v *viewer) units() si.System {
	if v.unitsOf != nil {
		return v.unitsOf()
	}
	return v.sys
}

// print writes one line. Once nobody takes the output any more it is left at
// that: the pull is recorded to its end all the same.
func (v *viewer) print(line string) {
	if v.mute.Load() {
		return
	}
	if _, err := fmt.Fprintln(v.w.out, line); err != nil {
		v.mute.Store(true)
	}
}

// raised says that an event is an alarm just raised.
func raised(e watch.Event) bool {
	return e.Alarm != nil && !e.Alarm.Acknowledged && !e.Alarm.Returned
}

// bell rings the terminal, on whichever of the two streams is one: a BEL in a
// log or a pipe is noise.
func (v *viewer) bell() {
	for _, s := range []any{v.w.out, v.w.err} {
		if f, ok := terminal(s); ok {
			_, _ = f.WriteString("\a")
			return
		}
	}
}

// follow waits for the pull to end, and where plain tells how it stands, as often
// as asked or as it changes.
// Once the terminal is gone (orphaned, or a hang-up comes) the pull goes on as
// long as there is load on the rig, and then ends.
func (v *viewer) follow(done chan watch.Result, hangup chan os.Signal, orphaned bool) watch.Result {
	tick := time.NewTicker(time.Second)
	defer tick.Stop()
	var until time.Time
	orphan := func() {
		v.watch.DropTrip("the terminal is gone")
		until = time.Now().Add(orphanLimit)
		v.mute.Store(true)
	}
	if orphaned {
		orphan()
	}
	for {
		select {
		case res := <-done:
			return res
		case <-hangup:
			orphan()
		case line, ok := <-v.typed:
			if !ok {
				v.typed = nil
				break
			}
			v.order(line)
		case <-v.stopped:
			v.say("ctrl+z would stop the readings: it does nothing while a pull runs")
		case now := <-tick.C:
			s := v.watch.Snapshot()
			if v.m.plain {
				v.tellOver(s.Now)
				if v.pace.due(v.m.every, s, now) {
					v.tellState(s)
				}
				v.nag(s, now, "")
			}
			if !until.IsZero() && (!busy(s.State.Phase) || time.Now().After(until)) {
				v.watch.Do(watch.EndPull)
			}
		}
	}
}

// tickSlack is how much earlier than asked a line may come: ticks are not exact.
const tickSlack = 200 * time.Millisecond

// orphanLimit is how long a pull goes on after its terminal went away, at the
// most: longer than any pull by hand, shorter than a forgotten program.
const orphanLimit = 10 * time.Minute

// busy says that a pull without a terminal has a reason to go on: there is
// load, or it broke and closes by itself.
func busy(p pull.Phase) bool { return watch.Loaded(p) || p == pull.Broken }
