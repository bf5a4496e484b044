package tui

import (
	"fmt"
	"strings"

	"draghand/internal/bench"
)

// drawSmall is the bench of a terminal too small for it: sentences, the most
// urgent first. The keys work all the same.
func (m *BenchScreen) drawSmall(p *plate) {
	y := 0
	say := func(t string, k ink, most int) {
		for _, l := range wrap(t, p.w, most) {
			p.text(0, y, p.w, l, k)
			y++
		}
	}
	v := m.view
	lines, inks := alerts(v.Look, v.Units, 2*p.w)
	for i, l := range lines {
		say(l, inks[i], 2)
	}
	switch look := v.Look; {
	case v.Source == bench.SourceFailed:
		say("source failed: "+clean(v.SourceErr), stop, 3)
	case look != nil && look.State.Seen:
		say("gauge "+look.State.Live.Gauge.Text(v.Units), strong, 1)
		say("force "+look.State.Live.Specimen.Text(v.Units), strong, 1)
		zero, k := benchZero(look, v.Units)
		say("zero: "+zero, k, 3)
	default:
		say("no fresh reading", strong, 1)
	}
	if m.failed != "" {
		say("NOT ARMED: "+strings.TrimPrefix(clean(m.failed), "not armed: "), stop, 3)
	}
	switch {
	case m.mode == leaving:
		say(leaveLoaded, noteBar, 3)
	case m.mode == arming:
		say("arming: touch nothing", strong, 1)
	case m.mode == asking:
		say("arm all the same: why? "+m.edit.text()+"▏", strong, 3)
	case m.mode == editing:
		say(string(m.field)+": "+m.edit.text()+"▏", strong, 2)
	case m.mode == choosing:
		say("▸ "+clean(m.list.items[m.list.at])+"   up, down, enter, esc", strong, 2)
	case len(v.Refusals) == 0:
		say("ready: a arms the pull", good, 1)
	default:
		r := v.Refusals[0]
		say("cannot be armed yet: "+clean(r.What)+": "+clean(r.Next), warning, 3)
		if n := len(v.Refusals) - 1; n > 0 {
			say(fmt.Sprintf("and %d more", n), warning, 1)
		}
	}
	if m.mode == browsing {
		t, k := m.focusLine()
		say(t, k, 3)
	}
	if m.note != "" {
		say(clean(m.note), strong, 2)
	}
	keys := m.keys.short(m.mode, p.w)
	if y < p.h-1 {
		say(fmt.Sprintf("this screen needs %d columns and %d lines; here are %d and %d", minWidth, minHeight, p.w, p.h), faint, 3)
	}
	if y < p.h {
		p.text(0, p.h-1, p.w, keys, faint)
	}
}

// focusLine is what keys are about, in a line, and the ink to say it in.
func (m *BenchScreen) focusLine() (string, ink) {
	switch m.section {
	case setupSection:
		f := m.focused()
		switch {
		case f == nil:
		case f.Fault != "":
			return "▸ " + clean(f.Label) + ": " + clean(f.Text) + " is not usable: " + clean(f.Fault), warning
		case f.Text == "" && f.Read == "":
			return "▸ " + clean(f.Label) + ": –", plain
		default:
			return "▸ " + clean(f.Label) + ": " + m.value(f.ID), plain
		}
	case pointsSection:
		if pt := m.marked(); pt != nil {
			word := "to see: "
			if pt.Done {
				word = "seen: "
			}
			return "▸ " + word + clean(pt.Text), plain
		}
	default:
		if len(m.view.Unknown) > 0 {
			return "no known limit: " + unknownNames(m.view.Unknown), caution
		}
	}
	return "", plain
}
