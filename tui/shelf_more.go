package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/pull"
	"draghand/internal/shelf"
	"draghand/internal/si"
)

// moreRows are what is known of a record in words, the most telling first.
func (m *ShelfScreen) moreRows(e *shelf.Entry) []helpRow {
	var rows []helpRow
	add := func(label, text string) {
		if text != "" {
			rows = append(rows, helpRow{label, text})
		}
	}
	if !e.Readable() {
		add("record", clean(e.Name))
		add("state", string(e.Condition)+": "+clean(e.Reason))
		add("next", unreadable(e.Condition))
		return rows
	}
	add("bar", shelfBar(e, m.units))
	switch {
	case e.Peak == 0:
		add("result", e.Result(m.units))
	case e.Stress == 0 || e.Strength != 0 || e.AtLeast != 0:
		add("result", e.Result(m.units)+"; drag hand "+e.Peak.Text(m.units))
	default:
		add("result", e.Peak.Text(m.units)+" at the drag hand, "+e.Stress.Text(m.units))
	}
	add("state", shelfState(e))
	add("rig", clean(e.RigName))
	remarks := "none"
	if e.Remarks > 0 {
		remarks = fmt.Sprintf("%d: draghand results tells them", e.Remarks)
	}
	add("remarks", remarks)
	add("record", clean(e.Name))
	add("began", m.began(e, "2006-01-02 15:04:05"))
	add("source", clean(e.Source))
	if t := clean(e.Specimen.Stock); t != "" {
		add("check bar", "of "+t)
	}
	add("tags", clean(strings.Join(e.Specimen.Tags, ", ")))
	return rows
}

// shelfBar is who the bar is and what was measured on it.
func shelfBar(e *shelf.Entry, u si.System) string {
	parts := []string{barName(e)}
	if a := clean(e.Specimen.Alloy); a != "" {
		parts = append(parts, a)
	}
	if size := e.Specimen.SizeText(u); size != "" {
		parts = append(parts, size)
	}
	return strings.Join(parts, ", ")
}

// shelfState is kind, outcome and condition in one phrase.
func shelfState(e *shelf.Entry) string {
	kind := clean(string(e.Kind))
	switch e.Condition {
	case shelf.Writing:
		return kind + ", being written: a program writes to it now"
	case shelf.Unfinished:
		return kind + ", unfinished: it was cut off; what was saved is as good"
	}
	words := kind + ", " + strings.ReplaceAll(clean(string(e.Outcome)), "-", " ") + ", closed"
	if e.Outcome == pull.Slack {
		words = kind + ", no load was seen, closed"
	}
	switch {
	case e.Specimen.Simulated:
		words += ", simulated"
	case e.ByEye:
		words += "; no trace, a dial read by eye"
	case e.Imported:
		words += ", imported"
	}
	return words
}

// unreadable is what to do about a record that cannot be read.
func unreadable(c shelf.Condition) string {
	switch c {
	case shelf.Damaged:
		return "draghand check says what of it is intact"
	case shelf.Newer:
		return "update draghand; the record is not touched"
	}
	return "move it elsewhere, if it is not wanted here"
}

// drawMore draws the chosen record into h lines of w cells.
func (m *ShelfScreen) drawMore(p *plate, x, y, w, h int) {
	e := m.entry()
	if e == nil {
		return
	}
	end := y + h
	p.text(x, y, w, "chosen", faint)
	p.text(x+9, y, w-9, strings.Repeat("╌", max(0, w-9)), faint)
	y++
	most := 1
	if m.moreHigh() == 0 {
		most = 3
	}
	if !e.Readable() {
		most = 3
	}
	for _, r := range m.moreRows(e) {
		k := plain
		if r.label == "state" && e.Condition != shelf.Whole {
			k = conditionInk(e.Condition)
		}
		words := wrap(r.text, w-9, most)
		if r.label == "record" && m.moreHigh() == 0 { // it is typed elsewhere
			words = whole(r.text, w-9)
		}
		for i, l := range words {
			if y >= end {
				return
			}
			if i == 0 {
				p.text(x, y, 8, r.label, faint)
			}
			p.text(x+9, y, w-9, l, k)
			y++
		}
	}
}

// whole breaks a text into lines of w cells wherever they are full.
func whole(s string, w int) []string {
	return strings.Split(ansi.Hardwrap(s, max(1, w), false), "\n")
}

// drawSmall is the screen of a terminal too small for a list: the chosen record
// in words.
func (m *ShelfScreen) drawSmall(p *plate) {
	y := 0
	say := func(t string, k ink, most int) {
		for _, l := range wrap(t, p.w, most) {
			p.text(0, y, p.w, l, k)
			y++
		}
	}
	lines, inks := alerts(m.look, m.units, p.w)
	for i, l := range lines {
		say(l, inks[i], 2)
	}
	e := m.entry()
	switch {
	case e != nil:
		say(m.title(), strong, 2)
		for _, r := range m.moreRows(e) {
			if y < p.h-4 {
				say(r.label+" "+r.text, plain, 2)
			}
		}
	case m.reading:
		say("reading the shelf …", strong, 1)
	case m.failed != "":
		say("the shelf cannot be read: "+clean(m.failed), stop, 4)
	default:
		say("no pull records yet", strong, 1)
	}
	switch {
	case m.opening != "":
		say("opening "+clean(m.opening)+" …", strong, 1)
	case m.note != "":
		say(clean(m.note), strong, 3)
	}
	if y < p.h {
		say(fmt.Sprintf("this screen needs %d columns and %d lines; here are %d and %d", minWidth, minHeight, p.w, p.h), faint, 3)
	}
	if y < p.h {
		k := m.keys
		k.Again.SetEnabled(false) // the others need the room
		p.text(0, p.h-1, p.w, closeKeys(k.line(), p.w), faint)
	}
}
