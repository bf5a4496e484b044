package main

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"time"

	"draghand/internal/bench"
	"draghand/internal/watch"
	"draghand/tui"
)

// dialogue is a sitting in lines of text: the same bench as on the screen, for
// somebody who hears it or has no screen. One line in is one wish; what is said
// is one sentence a line.
type dialogue struct {
	desk    benchDesk
	say     func(string)
	bell    func()
	nag     func(*watch.Snapshot) // tells an alarm of the look that nobody took note of
	replay  func(record string) error
	check   func(record string)
	typed   <-chan string
	leaving func() bool   // the program was told to end
	left    func() string // what the last pull left on the rig, in words

	finishing *finishing    // a bar is being measured; nil: none is
	point     bench.PointID // the set-up point that was asked for last; "" none
	passed    map[bench.PointID]bool
	shown     *bench.View // whose refusals were told last; nil: none were
	refused   bool        // arming was refused when last looked
	source    bench.SourceState
	zeroAt    time.Duration
	loaded    bool   // there was load on the rig when last looked
	kept      bool   // of that load something is recorded
	asked     bool   // whether to leave a loaded rig
	record    string // of the last pull; "" none
}

// benchDesk is the sitting as the words see it.
type benchDesk interface {
	tui.Desk
	Acknowledge() // all alarms of the look
}

// dialogueHelp are the words of the bench.
const dialogueHelp = `type a word and press enter:
  show              the whole bench: fields, rig, reading, what is left to do
  NAME TEXT         set a field: rig, source, kind, target, hold, melt, tags,
                    specimen, side, alloy, diameters, gauge, yield,
                    expect, stock, or its name as show tells it
                    (NAME alone tells what it is; "NAME -" empties it)
  ports, rigs       what there is to choose from
  reading           what the sensor says now
  s                 how the rig stands now, and its alarms
  l                 every limit, how far each part is
  a                 acknowledge the alarms
  zero              take a new zero
  points            go through the points to see to, one by one
  arm               arm the pull; "arm anyway REASON" where that is allowed
  results           what came out of the last pull, again
  look              the last pull again in words; "look RECORD" another one
  check             whether the last record is whole; "check RECORD" another one
  finish            what was measured and seen on the bar just pulled, asked for
                    one by one; "finish RECORD" of another one
  remark TEXT       a remark on the bar just pulled
  next              the next bar of this melt
  list              the records on the shelf; "list TERMS" a part of them, such as
                    list melt:M1 counts:yes
  bars              how the check bars stand
  quit              leave`

// run talks until the person quits, the lines end or ctx does. pull is what
// carries an armed pull to its end.
func (d *dialogue) run(ctx context.Context, pull func()) {
	d.say("the bench. help and enter gives the words it knows, show tells all that is on it")
	d.say("the program warns; it is no safety device")
	tick := time.NewTicker(250 * time.Millisecond)
	defer tick.Stop()
	for {
		select {
		case <-ctx.Done():
			return
		case <-tick.C:
			d.notice(d.desk.View())
		case line, ok := <-d.typed:
			if !ok || !d.wish(line, pull) {
				return
			}
		}
	}
}

// wish answers one line; false where the person leaves.
func (d *dialogue) wish(line string, pull func()) bool {
	if d.finishing != nil {
		d.finishAnswered(line)
		return true
	}
	word, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
	rest = strings.TrimSpace(rest)
	v := d.desk.View()
	asked := d.asked
	d.asked = false
	if d.point != "" && d.pointAnswered(v, strings.ToLower(word)) {
		return true
	}
	switch strings.ToLower(word) {
	case "", "show":
		d.show(v)
	case "help", "h", "?":
		for t := range strings.SplitSeq(dialogueHelp, "\n") {
			d.say(t)
		}
	case "reading", "r":
		d.reading(v)
	case "s", "status":
		d.status(v)
	case "l", "limits":
		d.limits(v)
	case "a", "acknowledge":
		if v.Look == nil || len(v.Look.State.Alarms) == 0 {
			d.say("no alarm is on")
		} else {
			d.desk.Acknowledge()
		}
	case "e", "end", "stop":
		d.say("no pull is being recorded, so there is nothing to end; this program cannot stop the pump")
	case "zero", "z":
		d.zero()
	case "points":
		d.passed = nil
		d.nextPoint(v)
	case "arm":
		d.arm(v, rest, pull)
	case "ports":
		d.choices(d.desk.Ports())
	case "rigs":
		d.choices(d.desk.Rigs(), nil)
	case "remark":
		if err := d.desk.Remark(rest); err != nil {
			d.say("not kept: " + err.Error())
		} else {
			d.say("kept with the record")
		}
	case "finish", "measure":
		d.finish(rest)
	case "next":
		d.desk.NextBar()
		v = d.desk.View()
		d.say("next bar: specimen " + fieldText(v, bench.FieldSpecimen) + ". Measure it: type diameters and the lengths")
	case "results":
		d.tellResults()
	case "look", "replay":
		d.lookAgain(rest)
	case "bars":
		d.bars()
	case "check":
		if isStock(v, line) {
			d.set(v, strings.TrimSpace(line))
		} else if name := d.recordNamed(rest); name != "" {
			d.check(name)
		}
	case "list":
		d.list(rest)
	case "quit", "q", "exit":
		if loadedNow(v.Look) && !asked {
			d.asked = true
			d.say("there is load on the rig: type quit again to leave all the same, anything else to stay")
			return true
		}
		return false
	default:
		d.set(v, strings.TrimSpace(line))
	}
	return true
}

// set sets a field, or tells it.
func (d *dialogue) set(v *bench.View, line string) {
	f, text := fieldNamed(v, line)
	if f == nil {
		word, _, _ := strings.Cut(line, " ")
		switch bench.FieldID(strings.ToLower(word)) {
		case bench.FieldTarget, bench.FieldHold:
			d.say(word + " is for a proof: kind proof comes first")
		default:
			d.say(fmt.Sprintf("%q is no word known here; help and enter gives them", word))
		}
		return
	}
	if text == "" {
		d.say(fieldWords(f))
		if f.Hint != "" {
			d.say("write it like: " + f.Hint)
		}
		if len(f.Choices) > 0 {
			d.say("one of: " + strings.Join(f.Choices, ", "))
		}
		return
	}
	if text == "-" {
		text = ""
	}
	err := d.desk.Set(f.ID, text)
	f = fieldOf(d.desk.View(), f.ID)
	switch {
	case err != nil && f != nil && f.Fault != "" && f.Text == strings.Join(strings.Fields(text), " "):
		d.say("kept, but cannot be used: " + err.Error())
	case err != nil:
		d.say("not taken: " + err.Error())
	case f != nil:
		d.say(fieldWords(f))
	}
}

// arm arms the pull and carries it.
func (d *dialogue) arm(v *bench.View, rest string, pull func()) {
	reason, anyway := strings.CutPrefix(rest, "anyway")
	reason = strings.TrimSpace(reason)
	if anyway && reason == "" {
		d.say("say why: arm anyway REASON. It is kept in the record")
		return
	}
	if len(v.Refusals) > 0 && !anyway {
		d.refusals(v, nil)
		final := false
		for _, r := range v.Refusals {
			final = final || r.Final
		}
		if !final {
			d.say("to arm all the same: arm anyway REASON. The reason is kept in the record")
		}
		return
	}
	if anyway && d.shown == nil && len(v.Refusals) > 0 {
		d.refusals(v, nil)
		d.say("not armed: that was not told before you gave the reason. If it holds for all of it, type it again")
		return
	}
	if _, err := d.desk.Arm(reason, d.shown); err != nil {
		text := err.Error()
		if !strings.HasPrefix(text, "not armed: ") {
			text = "not armed: " + text
		}
		d.say(text)
		if why := new(bench.Refused); errors.As(err, &why) {
			d.refusals(d.desk.View(), []string{text}) // a reason given from here on is about these
		}
		return
	}
	d.say("ARMED. Everything is recorded from now on. h and enter gives the words while it runs")
	pull()
	d.zeroAt, d.refused = 0, false
	d.after()
}

// nextPoint asks for the next set-up point that is neither done nor passed over.
func (d *dialogue) nextPoint(v *bench.View) {
	for i := range v.Points {
		p := &v.Points[i]
		if p.Done || d.passed[p.ID] {
			continue
		}
		d.point = p.ID
		d.say(fmt.Sprintf("%d of %d: %s. %s", i+1, len(v.Points), p.Text, p.Why))
		d.say("is it so? y or n")
		return
	}
	d.point = ""
	d.refusals(v, nil)
}

// pointAnswered takes y or n to the point that was asked; another word leaves the
// points.
func (d *dialogue) pointAnswered(v *bench.View, word string) bool {
	id := d.point
	d.point = ""
	switch word {
	case "y", "yes":
		d.desk.Confirm(id, true)
		v = d.desk.View()
	case "n", "no":
	default:
		return false
	}
	if d.passed == nil {
		d.passed = map[bench.PointID]bool{}
	}
	d.passed[id] = true
	d.nextPoint(v)
	return true
}
