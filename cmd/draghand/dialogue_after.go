package main

// after tells how the pull came out. Load that is left comes last, and before a
// hint at anything else.
func (d *dialogue) after() {
	e := d.desk.Ended()
	if e == nil {
		return
	}
	d.record = e.Record
	d.tellResults()
	left := d.left()
	if d.loaded = left != ""; d.loaded { // till the look sees it gone
		d.kept = true
		d.say(left)
		d.bell()
	}
	if d.leaving == nil || !d.leaving() {
		d.say("finish asks what was measured on the bar; remark TEXT keeps a remark; next sets up the next bar of this melt; quit leaves")
	}
}

// tellResults tells what came out of the last pull.
func (d *dialogue) tellResults() {
	e := d.desk.Ended()
	if e == nil {
		d.say("no pull has been recorded in this sitting; list tells the records, look RECORD one of them")
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
}

// recordNamed is the record that is meant: as named, else that of the last pull.
func (d *dialogue) recordNamed(name string) string {
	switch {
	case name != "":
		return name
	case d.record == "":
		d.say("no pull has been recorded in this sitting; list tells the records, and the name of one goes behind the word")
	}
	return d.record
}

// lookAgain tells a saved pull in words.
func (d *dialogue) lookAgain(name string) {
	if name = d.recordNamed(name); name == "" {
		return
	}
	if err := d.replay(name); err != nil {
		d.say("it cannot be told in full: " + err.Error())
	}
	d.say("that was the record; nothing of it happened now")
}
