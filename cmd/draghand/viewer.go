package main

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"sync/atomic"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/watch"
	"draghand/tui"
)

// viewer tells of a running pull: it wakes the screen where there is one, and
// prints where there is none. A screen that fails is replaced by plain text
// under way.
type viewer struct {
	w        world
	m        manner
	sys      si.System
	watch    *watch.Watch // the pull
	edges    chan struct{}
	onScreen atomic.Bool
	mute     atomic.Bool // whoever read the output is gone

	// of follow's goroutine
	typed    <-chan string    // lines of the person; nil: nobody types
	askedEnd bool             // whether to end under load
	nagged   time.Time        // when a stop was last told again
	spoken   time.Time        // when the state was last told by itself
	stopped  <-chan os.Signal // the terminal asked the program to stop for a while
}

// listen takes one event, on a goroutine of the watch's own.
func (v *viewer) listen(e watch.Event) {
	if v.onScreen.Load() {
		if e.Kind != watch.EventKind(pull.EvPeak) {
			select {
			case v.edges <- struct{}{}:
			default:
			}
		}
		return
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
		if line := eventWords(e, v.sys); line != "" {
			v.print(fmt.Sprintf("%8.2f s  %s", e.T.Seconds(), clean(line)))
		}
	}
	if v.m.plain && raised(e) {
		v.bell()
	}
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

// follow waits for the pull to end, with a line of text a second where plain.
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
				if v.m.every > 0 && now.Sub(v.spoken) >= v.m.every-tickSlack {
					v.spoken = now
					v.say(stateWords(s, v.sys))
				}
				v.nag(s, now)
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

// yieldWords is a yield drop in one sentence.
func yieldWords(e watch.Event, sys si.System) string {
	if e.Upper == nil || e.Lower == nil || e.Upper.Specimen == nil || e.Lower.Specimen == nil {
		return e.Text
	}
	both := func(p *record.Point) string {
		if p.Stress == nil {
			return p.Specimen.Text(sys)
		}
		return p.Stress.Text(sys) + " (" + p.Specimen.Text(sys) + ")"
	}
	return fmt.Sprintf("upper yield at %.2f s: %s, lowest after it %s", float64(e.Upper.T), both(e.Upper), both(e.Lower))
}

// stateWords is the pull at this moment in one line for the ear or a log.
func stateWords(s *watch.Snapshot, sys si.System) string {
	parts := []string{fmt.Sprintf("%8.2f s  %s", s.Now.Seconds(), s.State.Phase)}
	switch {
	case s.Source.Status != "live":
		parts = append(parts, "source "+s.Source.Status)
	case !s.State.Seen && s.State.Signal.Valid():
		why := "force not seen"
		for _, a := range s.State.Alarms {
			if a.Blind && !a.Returned {
				why = a.Text
				break
			}
		}
		parts = append(parts, why)
	case !s.State.Seen:
		parts = append(parts, "force not seen: "+s.State.Signal.String())
	default:
		parts = append(parts, "force "+s.State.Live.Specimen.Text(sys))
	}
	if s.State.Phase != pull.Slack {
		parts = append(parts, "peak "+s.State.Peak.Specimen.Text(sys))
		if s.State.Peak.Stress != 0 {
			parts = append(parts, "peak stress "+s.State.Peak.Stress.Text(sys))
		}
	}
	if n := s.State.Nearest; n >= 0 && n < len(s.State.Limits) {
		l := s.State.Limits[n]
		parts = append(parts, l.Name+" at "+si.Number(100*l.Ratio, 0)+" %")
	}
	if h := s.State.Hold; h != nil && s.State.Phase == pull.Holding {
		parts = append(parts, tui.HoldText(h, s.Proof.Hold, sys))
	}
	if s.State.Lead > 0 {
		parts = append(parts, fmt.Sprintf("limit in %.0f s", s.State.Lead.Seconds()))
	}
	if s.Trip != "" && s.Trip != "held" && !s.Closed {
		parts = append(parts, "trip line "+s.Trip)
	}
	if s.Record.Failed != "" {
		parts = append(parts, "NOT SAVED: "+s.Record.Failed)
	}
	return strings.Join(parts, ", ")
}

// eventWords is an event in one sentence; empty for those a person need not
// hear of.
func eventWords(e watch.Event, sys si.System) string {
	switch pull.EventKind(e.Kind) {
	case pull.EvPeak:
		return ""
	case pull.EvPhase:
		if strings.HasPrefix(e.Text, string(e.Phase)) { // the same and more
			return "phase: " + e.Text
		}
		return "phase: " + string(e.Phase)
	case pull.EvYield:
		return yieldWords(e, sys)
	case pull.EvAlarm:
		switch {
		case e.Alarm == nil:
			return e.Text
		case e.Alarm.Returned:
			return "no longer: " + e.Text
		case e.Alarm.Acknowledged:
			return "acknowledged: " + e.Text
		}
		if after, ok := strings.CutPrefix(e.Text, e.Alarm.Level); ok {
			return strings.ToUpper(e.Alarm.Level) + after
		}
		if e.Alarm.Blind {
			return strings.ToUpper(e.Text[:1]) + e.Text[1:]
		}
		return e.Text
	case pull.EvBreak:
		words := "BREAK"
		if e.From != nil {
			words += " at " + e.From.Text(sys)
		}
		if e.Provisional {
			words += " (not certain yet)"
		}
		return words
	case pull.EvWithdrawn, pull.EvSlip:
		return e.Text
	case pull.EvRemark:
		return "remark: " + e.Text
	case pull.EvLost:
		return "force out of sight: " + e.Text
	case pull.EvBack:
		return "force in sight again"
	}
	switch e.Kind {
	case watch.Armed:
		words := "recording to " + e.Record
		if e.Simulated {
			words += " (simulated: no metal is pulled)"
		}
		return words
	case watch.Saved:
		return "saved"
	case watch.Ended:
		return "pull over: " + e.Text
	case watch.Failed:
		return e.Text
	}
	if e.Text != "" {
		return string(e.Kind) + ": " + e.Text
	}
	return string(e.Kind)
}
