package tui

import "strings"

// helpRow is one row of the screen in plain words; ~ in it is a blank that no line
// ends at, so that a sign stays with its word.
type helpRow struct{ label, text string }

// helpTexts explain the rows of the screen from the top down, and the keys that
// do something now.
func helpTexts(k PullKeys) []helpRow {
	return []helpRow{
		{"force", "on the specimen now, above the zero; beside it as stress"},
		{"drag hand", "largest force, spike-proof: one lone reading does not move it"},
		{"rails", "how far each part is to its limit, nearest on top; ◆~drag~hand; ╎~caution ┆~warning ┃~stop; ░~▓~expected~break"},
		{"loads", "what a part carries of what it may, reckoned at the unsafe edge of friction, area and share: it can be above the force shown"},
		{"limit in", "at this pace; no known limit: nothing can warn of that part"},
		{"pump", "strokes, what each gains, how many to the nearest stop; only when seen, as are hold (of a proof), seen (yield, slips) and remark"},
		{"pace", "how fast force and stress rise, over whole pump strokes"},
		{"zero", "the quiet reading that counts as no load, and its scatter"},
		{"record", "where the pull is saved, and how far it is safe on the disk"},
		{"source", "where readings come from, how many, how old the newest is"},
		{"chart", "force against time; dashed: limits; ◀~drag~hand; ░~expected~break"},
		{"alarms", "△~caution ▲~warning ■~stop, in words at the top till acknowledged. The program warns; it is no safety device"},
		{"keys", helpKeys(k)},
	}
}

// helpLabel is the room of the labels.
const helpLabel = 11

// helpRows are the texts wrapped into w cells, a label in the first line of
// each.
func helpRows(k PullKeys, w int) []helpRow {
	var rows []helpRow
	for _, t := range helpTexts(k) {
		for i, l := range wrap(t.text, min(w, 100)-helpLabel, 5) {
			if i > 0 {
				t.label = ""
			}
			rows = append(rows, helpRow{t.label, strings.ReplaceAll(l, "~", " ")})
		}
	}
	return rows
}

// drawHelp explains the screen from row y on, below as much of it as there is
// room for: the figures no larger than size, the rails, the facts. The force
// now, the drag hand and the nearest limit stay in sight in any case.
func (m *PullScreen) drawHelp(p *plate, y, size int) {
	rows := helpRows(m.keys, p.w-4)
	bottom := p.h - 1
	free := func() int { return bottom - y - len(rows) }
	for size > 0 && figuresHigh(size)+1 > free() {
		size--
	}
	if size > 0 {
		y = m.drawFigures(p, y, size)
	} else {
		p.text(2, y, p.w-4, m.liveLine(m.nearestName()), live)
		y++
	}
	switch {
	case free() >= railsHigh+2:
		y = m.drawRails(p, y+1, 3, false) + 1
	case size > 0:
		p.text(2, y, p.w-4, m.nearestLine(), strong)
		y++
	}
	if free() >= factsHigh+1 {
		y = m.drawFacts(p, y, nil) + 1
	}
	for _, r := range rows {
		if y >= bottom {
			return
		}
		p.text(2, y, helpLabel-1, r.label, strong)
		p.text(2+helpLabel, y, p.w-4-helpLabel, r.text, plain)
		y++
	}
}

// helpFoot says how help is closed.
func (m *PullScreen) helpFoot() string {
	if m.keys.Ack.Enabled() {
		return "any key closes this; a acknowledges as well"
	}
	return "any key closes this"
}

// The most lines that the parts of the screen take in their low form.
const (
	railsHigh = 1 + 3 + 1 // header, rails, parts without a limit
	factsHigh = 4
)

// figuresHigh is the height of the figures of a size with the line above them.
func figuresHigh(size int) int {
	h := (5*size + 1) / 2
	if h > 5 {
		h++
	}
	return h + 1
}

// nearestName is the part nearest to its limit.
func (m *PullScreen) nearestName() string {
	if s := &m.snap.State; s.Nearest >= 0 && s.Nearest < len(s.Limits) {
		return s.Limits[s.Nearest].Name
	}
	return ""
}

// nearestLine is the nearest rail in words.
func (m *PullScreen) nearestLine() string {
	s := &m.snap.State
	l := limitOf(s, m.nearestName())
	if l == nil || !s.Seen {
		return ""
	}
	return joinFit(m.width-4, clean(l.Name)+" at "+percent(l.Ratio)+" of its limit", soon(s))
}
