package tui

import (
	"fmt"
	"strings"

	"draghand/internal/pull"
	"draghand/internal/watch"
)

// drawStop takes the whole screen for an alarm that must be acted on at once:
// what to do in letters as large as fit, which part and which number, and the
// live figures in a line, until somebody acknowledges.
func (m *PullScreen) drawStop(p *plate, a *pull.Alarm) {
	s := &m.snap.State
	words := []string{"STOP", "RELEASE", "THE PRESSURE"}
	act := "release the pressure first; then press a to acknowledge"
	if a.Blind {
		words = []string{"STOP", "PUMPING"}
		act = "release the pressure, look at sensor and cable, then press a to acknowledge"
		if a.Returned { // so that nobody waits for it
			act = "look at sensor and cable before you go on; press a to acknowledge"
		}
	}
	if m.snap.Closed {
		act = "nothing watches now: " + act
	}
	for _, y := range []int{0, p.h - 2} {
		p.band(y, stopBar)
		p.centre(y, levelWord(a)+"   "+clean(a.Limit), stopBar)
	}
	m.drawKeys(p, p.h-1)

	lines := wrap(m.stopSentence(a, p.w-8), p.w-8, 2)
	if st := m.alarmState(a); st != "" && st != seenAgain { // the sentence says it
		lines = append(lines, st)
	}
	if outs := outcomeTexts(s, m.units); len(outs) > 0 {
		h := headline{texts: outs}
		lines = append(lines, h.within(p.w-4))
	}
	if m.snap.Closed {
		rec, _ := recordText(m.snap, p.w-4)
		lines = append(lines, rec)
	}
	for i := range s.Alarms { // one key acknowledges them all
		if o := &s.Alarms[i]; o != a && grave(o) && !m.acked(o) {
			h := headline{texts: m.alarmTexts(o)}
			lines = append(lines, "and "+h.within(p.w-8))
		}
	}
	said := len(lines)
	lines = append(lines, wrap(act, p.w-4, 2)...)
	// Between the bands: the words, a blank line, the lines, the live line.
	room := p.h - 5 - len(lines)
	sizes, total := stopSizes(words, p.w-8, room-1)                           // letters that touch the band are hard to read
	if more := m.stopMore(p.w - 4); len(more) > 0 && len(more) < room-total { // a blank line before them
		lines = append(append(lines, ""), more...)
		room -= len(more) + 1
	}
	y := 1 + max(0, (room-total+1)/2)
	for i, w := range words {
		fw, fh := figureSize(w, sizes[i])
		p.figures((p.w-fw)/2, y, w, sizes[i], stop)
		y += fh + 1
	}
	for i, l := range lines {
		k := strong
		if i >= said {
			k = plain
		}
		p.centre(y, l, k)
		y++
	}
	p.centre(p.h-3, m.liveLine(a.Limit), live)
}

// stopMore is what is said beside a stop where its words leave room: how a proof
// is held, and the engine's remark.
func (m *PullScreen) stopMore(w int) []string {
	var out []string
	if t := m.holdLine(w); t != "" {
		out = append(out, t)
	}
	if m.snap.Remark != "" && m.snap.State.Outcome == "" {
		out = append(out, wrap(clean(m.snap.Remark), min(w, 84), 2)...)
	}
	return out
}

// stopSizes makes the first word as large as it goes and the others, of one
// size, no larger than it; total is their height with a blank line between.
func stopSizes(words []string, w, h int) (sizes []int, total int) {
	sizes = make([]int, len(words))
	for first := 5; first > 0; first-- {
		rest := first
		for _, word := range words[1:] {
			rest = min(rest, max(1, fit(word, max(1, first-1), w, h)))
		}
		total = len(words) - 1
		for i, word := range words {
			sizes[i] = rest
			if i == 0 {
				sizes[i] = max(1, fit(word, first, w, h))
			}
			_, high := figureSize(word, sizes[i])
			total += high
		}
		if total <= h {
			break
		}
	}
	return sizes, total
}

// stopSentence names the part and its number, or why the force cannot be seen;
// of the latter, in w cells, what the large words say already is left out first.
func (m *PullScreen) stopSentence(a *pull.Alarm, w int) string {
	if !a.Blind {
		return m.alarmText(a)
	}
	cause := m.blindCause(a)
	if a.Returned {
		return strings.TrimPrefix(cause+"; now "+seenAgain, "; now ")
	}
	h := headline{texts: []string{strings.TrimPrefix(cause+": stop pumping", ": "), cause}}
	return h.within(w)
}

// liveLine is everything that moves, in one line.
func (m *PullScreen) liveLine(limit string) string {
	s := &m.snap.State
	t := "now "
	switch {
	case m.snap.Closed:
		t = "last "
	case !s.Seen:
		t = "now not seen, last "
	}
	t += s.Live.Specimen.Text(m.units)
	t += "   drag hand " + s.Peak.Specimen.Text(m.units)
	if l := limitOf(s, limit); l != nil && limit != "" && s.Seen {
		t += "   " + clean(l.Name) + " " + percent(l.Ratio)
	}
	t += "   " + phaseText(s) + " " + clock(s.T)
	return t + unsaved(m.snap)
}

// unsaved says in two words that the record is failing, wherever there is no
// room for the whole sentence.
func unsaved(snap *watch.Snapshot) string {
	if snap.Record.Failed != "" || snap.Record.Path == "" {
		return "   NOT SAVED"
	}
	return ""
}

// drawSmall is the screen of a terminal too small for figures: sentences, the
// most urgent first.
func (m *PullScreen) drawSmall(p *plate) {
	y := 0
	say := func(t string, k ink, most int) {
		for _, l := range wrap(t, p.w, most) {
			p.text(0, y, p.w, l, k)
			y++
		}
	}
	if m.snap == nil {
		say("waiting for the pull to start", strong, 2)
	} else {
		s := &m.snap.State
		active, fresh := m.standing()
		if a := m.stopping(); a != nil && a == fresh {
			active, fresh = fresh, active
		}
		for _, a := range []*pull.Alarm{active, fresh} {
			if a == nil {
				continue
			}
			t := levelWord(a) + " "
			switch {
			case a.Blind:
				t = levelWord(a) + ": "
			case a.Level == pull.Stop && !m.acked(a):
				t = levelWord(a) + ": release the pressure. "
			}
			say(t+m.stopSentence(a, 2*p.w), m.alarmInk(a), 3)
		}
		if m.stopping() != nil {
			say("then press a to acknowledge", strong, 1)
		}
		now := s.Live.Specimen.Text(m.units)
		if !s.Seen {
			now = "not seen"
		}
		say("force "+now, strong, 1)
		say("drag hand "+s.Peak.Specimen.Text(m.units), hand, 1)
		if t := m.holdLine(2 * p.w); t != "" {
			say("hold "+strings.TrimPrefix(t, "holding "), strong, 2)
		}
		if m.snap.Remark != "" && s.Outcome == "" {
			say(clean(m.snap.Remark), caution, 3)
		}
		if out := outcomeText(s, m.units); out != "" {
			say(out, strong, 2)
		}
		if refused(s) {
			say("ZERO REFUSED: "+clean(s.Zero.Refused), strong, 4)
		}
		rec, k := recordText(m.snap, 2*p.w-4)
		if k == stop || m.snap.Closed {
			say(rec, k, 2)
		}
	}
	if t := m.noted(); t != "" {
		say(t, strong, 2)
	}
	switch m.ask {
	case askEnd:
		say(m.maybeLoaded()+". end the pull now? y / n", noteBar, 2)
	case askQuit:
		say(m.maybeLoaded()+". "+m.quitQuestion()+" y / n", noteBar, 2)
	}
	if y < p.h {
		say(fmt.Sprintf("this screen needs %d columns and %d lines; here are %d and %d", minWidth, minHeight, p.w, p.h), faint, 3)
	}
}
