package main

import (
	"context"
	"fmt"
	"strings"
	"time"

	"draghand/internal/bench"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/tui"
)

// dialogue is a sitting in lines of text: the same bench as on the screen, for
// somebody who hears it or has no screen. One line in is one wish; what is said
// is one sentence a line.
type dialogue struct {
	desk  tui.Desk
	say   func(string)
	bell  func()
	typed <-chan string

	point   bench.PointID // the set-up point that was asked for last; "" none
	passed  map[bench.PointID]bool
	refused bool // arming was refused when last looked
	source  bench.SourceState
	zeroAt  time.Duration
	blind   bool
}

// dialogueHelp are the words of the bench.
const dialogueHelp = `type a word and press enter:
  show              the whole bench: fields, rig, reading, what is left to do
  NAME TEXT         set a field: rig, source, kind, target, hold, melt, tags,
                    specimen, alloy, diameters, gauge, yield, expect
                    (NAME alone tells what it is; "NAME -" empties it)
  ports, rigs       what there is to choose from
  reading           what the sensor says now
  zero              take a new zero
  points            go through the points to see to, one by one
  arm               arm the pull; "arm anyway REASON" where that is allowed
  remark TEXT       a remark on the bar just pulled
  next              the next bar of this melt
  list              the records on the shelf
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
	word, rest, _ := strings.Cut(strings.TrimSpace(line), " ")
	rest = strings.TrimSpace(rest)
	v := d.desk.View()
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
	case "zero", "z":
		if err := d.desk.Zero(); err != nil {
			d.say(err.Error())
		} else {
			d.say("zero asked for: let nothing touch the rig")
		}
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
	case "next":
		d.desk.NextBar()
		v = d.desk.View()
		d.say("next bar: specimen " + fieldText(v, bench.FieldSpecimen) + ". Measure it: type diameters and the lengths")
	case "list":
		d.list()
	case "quit", "q":
		return false
	default:
		d.set(v, strings.ToLower(word), rest)
	}
	return true
}

// set sets a field, or tells it.
func (d *dialogue) set(v *bench.View, name, text string) {
	f := fieldOf(v, bench.FieldID(name))
	if f == nil {
		d.say(fmt.Sprintf("%q is no word known here; help and enter gives them", name))
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
	if err := d.desk.Set(f.ID, text); err != nil {
		d.say("not taken: " + err.Error())
		return
	}
	if f = fieldOf(d.desk.View(), f.ID); f != nil {
		d.say(fieldWords(f))
	}
}

func fieldOf(v *bench.View, id bench.FieldID) *bench.Field {
	for i := range v.Fields {
		if v.Fields[i].ID == id {
			return &v.Fields[i]
		}
	}
	return nil
}

func fieldText(v *bench.View, id bench.FieldID) string {
	if f := fieldOf(v, id); f != nil {
		return f.Text
	}
	return ""
}

// fieldWords is a field in one sentence.
func fieldWords(f *bench.Field) string {
	t := f.Label + ": "
	switch {
	case f.Text == "":
		t += "not set"
	case f.Read != "" && f.Read != f.Text:
		t += f.Text + ", read as " + f.Read
	default:
		t += f.Text
	}
	if f.Fault != "" {
		t += ". CANNOT BE USED: " + f.Fault
	}
	return t
}

// show tells the whole bench.
func (d *dialogue) show(v *bench.View) {
	for i := range v.Fields {
		d.say(fieldWords(&v.Fields[i]))
	}
	if v.Rig != nil {
		for _, b := range v.Rig.Bounds() {
			most := v.Rig.Chain().Specimen(b.PressureAt(v.Rig.Alarm.Stop))
			d.say(fmt.Sprintf("limit %s: stop at %s on the specimen", b.Limit.Name, most.Text(v.Units)))
		}
	}
	if len(v.Unknown) > 0 {
		d.say("no known limit: " + strings.Join(v.Unknown, ", "))
	}
	d.reading(v)
	done := 0
	for i := range v.Points {
		if v.Points[i].Done {
			done++
		}
	}
	d.say(fmt.Sprintf("%d of %d points seen to", done, len(v.Points)))
	for _, b := range v.Bars {
		d.say(strings.TrimSpace(fmt.Sprintf("pulled: specimen %s, %s %s", b.Specimen, b.Outcome, b.Strength)))
	}
	d.refusals(v)
}

// refusals tells why the pull cannot be armed, or that it can.
func (d *dialogue) refusals(v *bench.View) {
	if len(v.Refusals) == 0 {
		d.say("nothing refuses: type arm to arm the pull")
		return
	}
	for _, r := range v.Refusals {
		d.say("cannot be armed: " + r.What + ". " + r.Next)
	}
}

// reading tells what the sensor says.
func (d *dialogue) reading(v *bench.View) {
	switch v.Source {
	case bench.NoSource:
		d.say("no source of readings is named")
		return
	case bench.OpeningSource:
		d.say("the source is being opened")
		return
	case bench.SourceFailed:
		d.say("the source failed: " + v.SourceErr)
		return
	}
	s := v.Look
	if s == nil || s.State.Readings == 0 {
		d.say("no reading has come yet")
		return
	}
	t := "gauge " + s.State.Live.Gauge.Text(v.Units) + ", force " + s.State.Live.Specimen.Text(v.Units)
	if !s.State.Seen {
		t = "the force is not seen: " + s.State.Signal.String()
	}
	t += ", " + si.Number(s.Source.Rate, 0) + " readings a second"
	if s.Source.Status != "live" {
		t += ", source " + s.Source.Status
	}
	if n := s.State.BadLines; n > 0 {
		t += fmt.Sprintf(", %d lines could not be read", n)
	}
	d.say(t)
	switch z := &s.State.Zero; {
	case z.Set:
		d.say("zero taken, scatter " + z.SD.Text(v.Units))
	case z.Refused != "":
		d.say("zero refused: " + z.Refused)
	default:
		d.say("no zero yet: it needs 2 quiet seconds")
	}
}

// notice tells by itself what changes on the bench.
func (d *dialogue) notice(v *bench.View) {
	if v.Source != d.source {
		d.source = v.Source
		if v.Source != bench.NoSource {
			d.reading(v)
		}
	}
	if s := v.Look; s != nil {
		if z := s.State.Zero; z.Set && z.T != d.zeroAt {
			d.zeroAt = z.T
			d.say("zero taken, scatter " + z.SD.Text(v.Units))
		}
		blind := false
		for _, a := range s.State.Alarms {
			blind = blind || a.Blind && !a.Returned
		}
		if blind && !d.blind {
			d.say("the force cannot be seen; nothing is recorded yet")
			d.bell()
		}
		d.blind = blind
	}
	refused := len(v.Refusals) > 0
	if d.refused && !refused {
		d.say("nothing refuses any more: type arm to arm the pull")
	}
	d.refused = refused
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
		d.refusals(v)
		final := false
		for _, r := range v.Refusals {
			final = final || r.Final
		}
		if !final {
			d.say("to arm all the same: arm anyway REASON. The reason is kept in the record")
		}
		return
	}
	if _, err := d.desk.Arm(reason); err != nil {
		d.say("not armed: " + err.Error())
		return
	}
	d.say("ARMED. Everything is recorded from now on. h and enter gives the words while it runs")
	pull()
	d.after()
	d.zeroAt, d.refused = 0, false
}

// after tells how the pull came out.
func (d *dialogue) after() {
	e := d.desk.Ended()
	if e == nil {
		return
	}
	for _, l := range e.Lines {
		d.say(l)
	}
	if e.Saved != "" {
		d.say("NOT SAVED where it should be: " + e.Saved)
	} else if e.Record != "" {
		d.say("saved as   " + e.Record)
	}
	if e.Source != "" {
		d.say("the source failed: " + e.Source)
	}
	d.say("remark TEXT keeps a remark; next sets up the next bar of this melt; quit leaves")
}

func (d *dialogue) choices(names []string, err error) {
	switch {
	case err != nil:
		d.say("cannot be listed: " + err.Error())
	case len(names) == 0:
		d.say("there is none")
	}
	for _, n := range names {
		d.say(n)
	}
}

// list tells the newest records.
func (d *dialogue) list() {
	const most = 20
	all, err := d.desk.Shelf()
	if err != nil {
		d.say("the shelf cannot be read: " + err.Error())
		return
	}
	d.say(fmt.Sprintf("%d records", len(all)))
	v := d.desk.View()
	for i, e := range all {
		if i == most {
			d.say("and older ones: draghand list tells all of them")
			return
		}
		d.say(entryWords(&e, v.Units))
	}
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
	d.refusals(v)
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

// entryWords is a record of the shelf in one line for the ear.
func entryWords(e *shelf.Entry, sys si.System) string {
	if !e.Readable() {
		return fmt.Sprintf("%s: %s: %s", e.Name, e.How(), e.Reason)
	}
	parts := []string{e.Started.Local().Format("2006-01-02 15:04")}
	if e.Specimen.Melt != "" {
		parts = append(parts, "melt "+e.Specimen.Melt)
	}
	if e.Specimen.ID != "" {
		parts = append(parts, "specimen "+e.Specimen.ID)
	}
	parts = append(parts, e.Result(sys), e.How(), e.Name)
	return strings.Join(parts, ", ")
}
