package main

import (
	"fmt"
	"strings"

	"draghand/internal/shelf"
	"draghand/internal/si"
)

// choices tells what there is to choose from.
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
	d.say(counted(len(all), "record"))
	v := d.desk.View()
	for i, e := range all {
		if i == most {
			d.say("and older ones: draghand list tells all of them")
			return
		}
		d.say(entryWords(&e, v.Units))
	}
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
