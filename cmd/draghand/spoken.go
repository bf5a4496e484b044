package main

import (
	"bufio"
	"fmt"
	"io"
	"strings"
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/watch"
	"draghand/tui"
)

// longestOrder bounds a line a person types.
const longestOrder = 4 << 10

// typed gives the lines that come from in, one at a time, and is closed at its
// end. A line that is too long is dropped. The goroutine behind it ends with in,
// or with the program: nothing can take a read of a terminal back.
func typed(in io.Reader) <-chan string {
	out := make(chan string)
	go func() {
		defer close(out)
		r := bufio.NewReaderSize(in, longestOrder)
		for {
			line, long, err := r.ReadLine()
			if err != nil {
				return
			}
			text := string(line)
			for long && err == nil {
				_, long, err = r.ReadLine()
				text = ""
			}
			out <- text
		}
	}()
	return out
}

// spokenHelp are the words a running pull knows, for a person who types.
const spokenHelp = `type a word and press enter:
  s   how it stands now
  l   every limit, how far each part is
  a   acknowledge the alarms
  z   take a new zero (only without load)
  e   end the pull
  h   these words`

// order answers one line that a person typed while a pull runs as text.
func (v *viewer) order(line string) {
	s := v.watch.Snapshot()
	word := strings.ToLower(strings.TrimSpace(line))
	if first, rest, _ := strings.Cut(word, " "); rest != "" {
		switch first {
		case "arm", "remark", "look", "replay", "check":
			word = first
		}
	}
	asked := v.askedEnd
	v.askedEnd = false
	switch word {
	case "", "s", "status", "reading", "r", "show":
		v.tellState(s)
		for _, a := range s.State.Alarms {
			v.say(alarmWords(&a))
		}
	case "stop":
		v.say("stop pumping; this program cannot stop the pump; e and enter ends the record")
	case "arm":
		v.say("it is armed: everything is recorded. e and enter ends the record")
	case "quit", "q", "exit":
		v.say("a pull is being recorded, so nothing is left yet: e and enter ends it" + v.thenQuit())
	case "l", "limits":
		v.tellLimits(s)
	case "a", "acknowledge":
		if len(s.State.Alarms) == 0 {
			v.say("no alarm is on")
			return
		}
		v.watch.Do(watch.AckAlarms)
	case "z", "zero":
		if s.State.Phase != pull.Slack {
			v.say("no zero under load: release the pressure first")
			return
		}
		v.say("zero asked for: let nothing touch the rig")
		v.watch.Do(watch.ZeroNow)
	case "e", "end":
		if watch.Loaded(s.State.Phase) && s.State.Outcome == "" && !asked {
			v.askedEnd = true
			v.say("there is load on the rig: type e again to end the pull now, anything else to go on")
			return
		}
		v.watch.Do(watch.EndPull)
	case "h", "help", "?":
		for t := range strings.SplitSeq(spokenHelp, "\n") {
			v.print(t)
		}
	case "next", "remark", "points", "list", "results", "look", "replay", "check", "ports", "rigs":
		v.say(fmt.Sprintf("%s has to wait: a pull is being recorded. e and enter ends it", word))
	default:
		v.say(fmt.Sprintf("%q is no word known here; h and enter gives them", word))
	}
}

// thenQuit is what comes after the end of the pull.
func (v *viewer) thenQuit() string {
	if v.sits {
		return ", then quit leaves"
	}
	return ", and the program with it"
}

// say prints a line that was asked for.
func (v *viewer) say(text string) { v.print(clean(text)) }

// tellState tells how a running pull stands, in the units of display.
func (v *viewer) tellState(s *watch.Snapshot) { v.say(stateWords(s, v.units())) }

// tellLimits tells every limit of it.
func (v *viewer) tellLimits(s *watch.Snapshot) {
	for _, t := range limitWords(s, v.units()) {
		v.say(t)
	}
}

// alarmWords is a listed alarm in one sentence. Its orders are told only while
// they hold and nobody has taken note of them.
func alarmWords(a *pull.Alarm) string {
	name := alarmName(a.Level.String(), a.Limit, a.Blind, a.Ahead)
	switch {
	case a.Returned:
		return "over, not acknowledged: " + name
	case a.Acked:
		return "acknowledged, still on: " + name
	}
	return "not acknowledged: " + a.Text
}

// limitWords are the limits, the nearest first, and what has none.
func limitWords(s *watch.Snapshot, sys si.System) []string {
	var out []string
	add := func(l *pull.Limit) {
		now := si.Number(100*l.Ratio, 0) + " %, " + tui.LoadText(l.Load, l.Allowable, l.At, sys)
		if !s.State.Seen {
			now = "not seen now"
		}
		out = append(out, fmt.Sprintf("%s: %s; peak %s %%", l.Name, now, si.Number(100*l.PeakRatio, 0)))
	}
	near := s.State.Nearest
	if near >= 0 && near < len(s.State.Limits) {
		add(&s.State.Limits[near])
	}
	for i := range s.State.Limits {
		if i != near {
			add(&s.State.Limits[i])
		}
	}
	if len(out) == 0 {
		out = append(out, "no part of this rig has a known limit: nothing can warn you")
	}
	if len(s.Unknown) > 0 {
		out = append(out, "no known limit: "+strings.Join(s.Unknown, ", "))
	}
	return out
}

// nagEvery is how often a stop is told again until it is acknowledged.
const nagEvery = 4 * time.Second

// nag tells a stop or "cannot see the force" again while nobody has acknowledged
// it. also is what else is to be said with it.
func (v *viewer) nag(s *watch.Snapshot, now time.Time, also string) {
	if now.Sub(v.nagged) < nagEvery {
		return
	}
	for _, a := range s.State.Alarms {
		if a.Acked || a.Level < pull.Stop && !a.Blind {
			continue
		}
		if v.nagged.IsZero() { // it was told a moment ago
			v.nagged = now
			return
		}
		v.nagged = now
		text := a.Text
		if a.Returned {
			text = alarmName(a.Level.String(), a.Limit, a.Blind, a.Ahead) + ", over now"
		}
		v.say("STILL NOT ACKNOWLEDGED: " + text + " (type a and enter)" + also)
		v.bell()
		return
	}
	v.nagged = time.Time{}
}
