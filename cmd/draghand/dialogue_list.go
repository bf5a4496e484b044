package main

import (
	"errors"
	"fmt"
	"slices"
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

// list tells the newest records, or those that the terms of a filter take.
func (d *dialogue) list(terms string) {
	const most = 20
	takes, err := shelf.ParseFilter(terms)
	if t, ok := errors.AsType[*shelf.TermError](err); ok {
		d.say(fmt.Sprintf("%s: %s; next: %s", clean(t.Term), t.Why, t.Next))
		return
	}
	if err != nil {
		d.say(err.Error() + "; list alone tells all")
		return
	}
	all, err := d.desk.Shelf()
	if err != nil {
		d.say("the shelf cannot be read: " + err.Error())
		return
	}
	total := len(all)
	all = slices.DeleteFunc(slices.Clone(all), func(e shelf.Entry) bool { return !takes.Takes(&e) })
	if takes.Empty() {
		d.say(counted(total, "record"))
	} else {
		d.say(fmt.Sprintf("%d of %s", len(all), counted(total, "record")))
	}
	v := d.desk.View()
	for i, e := range all {
		if i == most {
			d.say("and older ones: " + listVerbFor(terms) + " tells all of them")
			return
		}
		d.say(entryWords(&e, v.Units))
	}
}

// listVerbFor is the verb that lists what the terms ask for.
func listVerbFor(terms string) string {
	if terms == "" {
		return "draghand list"
	}
	return "draghand list with these terms"
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
	parts = append(parts, listed(e, sys))
	if c := countsWord(e); c != "" {
		parts = append(parts, "counts: "+c)
	}
	parts = append(parts, e.How(), e.Name)
	return strings.Join(parts, ", ")
}
