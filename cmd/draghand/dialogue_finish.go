package main

import (
	"strings"

	"draghand/internal/finish"
	"draghand/tui"
)

// finishing is what is asked of a bar after its pull, one thing after the other.
type finishing struct {
	of   tui.Measuring
	last bool // it is the pull of this sitting, whose results are told again
	at   int  // the field that is asked for
}

// finish begins to ask what was measured and seen on the bar of a record.
func (d *dialogue) finish(name string) {
	record := d.recordNamed(name)
	if record == "" {
		return
	}
	of, err := d.desk.Measure(record)
	if err != nil {
		d.say("nothing can be written into it: " + err.Error())
		return
	}
	d.finishing = &finishing{of: of, last: record == d.record}
	d.say("record " + of.Name() + ": an empty line leaves a thing as it is, - empties it, cancel ends without keeping anything")
	d.askNext()
}

// askNext asks for the field that comes next, and keeps all where none does.
func (d *dialogue) askNext() {
	f := d.finishing
	fields := f.of.Fields()
	if f.at < len(fields) {
		d.say(question(&fields[f.at]))
		return
	}
	d.finishing = nil
	if !f.of.Changed() {
		d.say("nothing new: the record stays as it was")
		return
	}
	if err := f.of.Save(); err != nil {
		d.say("NOT KEPT: " + err.Error() + ". The record stays as it was")
		return
	}
	d.say("kept with the record")
	if f.last {
		d.tellResults()
	}
	for _, t := range f.of.Missing() {
		d.say("open       " + t)
	}
}

// finishAnswered takes a line while the bar is measured.
func (d *dialogue) finishAnswered(line string) {
	f := d.finishing
	text := strings.TrimSpace(line)
	if strings.EqualFold(text, "cancel") {
		d.finishing = nil
		d.say("nothing was kept: the record stays as it was")
		return
	}
	if text != "" {
		id := f.of.Fields()[f.at].ID
		if err := f.of.Set(id, text); err != nil {
			d.say("not taken: " + err.Error())
			d.undo(id)
			return
		}
		if now := f.of.Fields()[f.at]; now.Read != "" {
			d.say(now.Read)
		}
	}
	f.at++
	d.askNext()
}

// undo takes a text back that cannot be used, so that an empty line after it does
// not keep it.
func (d *dialogue) undo(id finish.FieldID) {
	if err := d.finishing.of.Set(id, ""); err != nil {
		d.say(err.Error())
	}
}
