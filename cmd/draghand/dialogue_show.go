package main

import (
	"fmt"
	"strings"
	"time"

	"draghand/internal/bench"
	"draghand/internal/si"
)

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
	t := f.Label
	if t != string(f.ID) {
		t += ", type " + string(f.ID)
	}
	t += ": "
	switch {
	case f.Text == "" && f.Read != "": // what holds as long as nothing is set
		t += f.Read
	case f.Text == "":
		t += "not set"
	case f.Read == "being read":
		t += f.Text + ", being read"
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

// fieldNamed finds the field a line begins with, by its word or by the name it is
// shown with, and the rest of the line. The longest name counts: "hold at" is
// another field than "hold".
func fieldNamed(v *bench.View, line string) (f *bench.Field, text string) {
	line = strings.Join(strings.Fields(line), " ")
	longest := 0
	for i := range v.Fields {
		one := &v.Fields[i]
		for _, name := range []string{string(one.ID), one.Label} {
			n := len(name)
			if n <= longest || len(line) < n || !strings.EqualFold(line[:n], name) || len(line) > n && line[n] != ' ' {
				continue
			}
			f, text, longest = one, strings.TrimSpace(line[n:]), n
		}
	}
	return f, text
}

// show tells the whole bench.
func (d *dialogue) show(v *bench.View) {
	var told []string
	for i := range v.Fields {
		d.say(fieldWords(&v.Fields[i]))
		told = append(told, v.Fields[i].Fault)
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
	if v.Check != "" {
		d.say("check bar: " + v.Check)
	}
	if v.Calibration != "" {
		d.say(v.Calibration)
	}
	for _, t := range v.Cautions {
		d.say("caution: " + t)
	}
	if s := v.Source; s == bench.SourceOpen || s == bench.SourceFailed && !said(told, v.SourceErr) { // else a refusal says it
		d.reading(v)
	}
	if v.TripNote != "" {
		d.say(v.TripNote)
	}
	told = append(told, v.SourceErr)
	if s := v.Look; s != nil {
		told = append(told, s.State.Zero.Refused)
	}
	done := 0
	for i := range v.Points {
		if v.Points[i].Done {
			done++
		}
	}
	if v.LoadSeen != nil {
		d.say(v.LoadSeen.Text(v.Units))
	}
	d.say(fmt.Sprintf("%d of %d points seen to", done, len(v.Points)))
	for _, b := range v.Bars {
		name := ""
		if b.Specimen != "" {
			name = "specimen " + b.Specimen + ", "
		}
		saved := ""
		if b.Saved != "" {
			saved = ". " + b.Saved
		}
		d.say(strings.TrimSpace("pulled: "+name+b.Outcome+" "+b.Strength) + saved)
	}
	d.refusals(v, told)
}

// said says that a text was told already.
func said(told []string, text string) bool {
	for _, t := range told {
		if t != "" && t == text {
			return true
		}
	}
	return false
}

// refusals tells why the pull cannot be armed, or that it can. What was told a
// moment ago is not told again in full.
func (d *dialogue) refusals(v *bench.View, told []string) {
	d.shown = v
	if len(v.Refusals) == 0 {
		d.refused = false
		d.say("nothing refuses: type arm to arm the pull")
		return
	}
	for _, r := range v.Refusals {
		d.say("cannot be armed: " + shorter(r.What, told) + next(r.Next, told))
	}
}

// shorter is a text with what was told already taken out of it.
func shorter(text string, told []string) string {
	head, tail, ok := strings.Cut(text, ": ")
	for _, t := range told {
		if ok && tail != "" && strings.Contains(t, tail) {
			return head + ": as said above"
		}
	}
	return text
}

// next is what to do, where it was not told already.
func next(text string, told []string) string {
	for _, t := range told {
		if strings.Contains(t, text) {
			return ""
		}
	}
	return ". " + text
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
		t += ", " + counted(n, "line") + " could not be read"
	}
	d.say(t)
	switch z := &s.State.Zero; {
	case z.Set:
		d.say("zero taken " + ago(s.State.T-z.T) + ", scatter " + z.SD.Text(v.Units))
		if v.ZeroDrift != "" {
			d.say("zero now " + v.ZeroDrift)
		}
	case z.Refused != "":
		d.say("zero refused: " + z.Refused)
	default:
		d.say("no zero yet: it needs 2 quiet seconds")
	}
	if loadedNow(s) {
		d.say(loadUnrecorded)
	}
}

// ago is how long something is past, in whole seconds, or minutes where it is long.
func ago(d time.Duration) string {
	if d < 2*time.Minute {
		return counted(int(d/time.Second), "second") + " ago"
	}
	return counted(int(d/time.Minute), "minute") + " ago"
}

// loadUnrecorded is what is said of load before arming.
const loadUnrecorded = "LOAD ON THE RIG: nothing is recorded yet; release the pressure before you arm"

// status tells how the rig stands now, and the alarms.
func (d *dialogue) status(v *bench.View) {
	if v.Look == nil || v.Source != bench.SourceOpen {
		d.reading(v)
		return
	}
	d.say("not armed, nothing is recorded: " + standing(v.Look, v.Units))
	for _, a := range v.Look.State.Alarms {
		d.say(alarmWords(&a) + ". NOTHING IS RECORDED")
	}
}

// limits tells the limits as the look sees them.
func (d *dialogue) limits(v *bench.View) {
	if v.Look == nil {
		d.say("nothing is read yet: show tells what the limits are")
		return
	}
	d.say("not armed, nothing is recorded:")
	for _, t := range limitWords(v.Look, v.Units) {
		d.say(t)
	}
}

// zero asks for a new zero.
func (d *dialogue) zero() {
	if err := d.desk.Zero(); err != nil {
		d.say(err.Error())
		return
	}
	d.say("zero asked for: let nothing touch the rig")
}

// notice tells by itself what changes on the bench.
func (d *dialogue) notice(v *bench.View) {
	if v.Source != d.source {
		d.source = v.Source
		switch v.Source {
		case bench.NoSource:
		case bench.SourceOpen:
			d.say("the source is open")
			if v.TripNote != "" {
				d.say(v.TripNote)
			}
		default:
			d.reading(v)
		}
	}
	if s := v.Look; s != nil {
		if z := s.State.Zero; z.Set && z.T != d.zeroAt {
			d.zeroAt = z.T
			d.say("zero taken, scatter " + z.SD.Text(v.Units))
		}
		switch loaded := loadedNow(s); {
		case loaded && !d.loaded:
			d.loaded, d.kept = true, false
			d.say(loadUnrecorded)
			d.bell()
		case !loaded && d.loaded && s.State.Seen && !forceLeft(&s.State, false): // a look that just began knows of no load
			if d.loaded = false; d.kept {
				d.say("the load is off the rig")
			} else {
				d.say("the load is off the rig; nothing of it was recorded")
			}
		}
		d.nag(s)
	}
	refused := len(v.Refusals) > 0
	if d.refused && !refused {
		d.say("nothing refuses any more: type arm to arm the pull")
	}
	d.refused = refused
}
