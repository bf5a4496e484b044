package tui

import (
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/shelf"
)

// shelfSight is how far a person went through the words of a record. Another that is
// chosen begins at its first line.
type shelfSight struct {
	dir  string // of the record
	from int    // the first line in sight
}

// toldLine is a line of what is known of a record.
type toldLine struct {
	label, text string
	ink         ink
}

// signRoom is what a word of what is out of sight has at least, so that it stands there.
const signRoom = 24

// moreRoom is where the chosen record stands: beside the list, else below it.
func (m *ShelfScreen) moreRoom() room {
	w := m.width - 4
	if m.moreHigh() > 0 {
		return room{2, m.height - m.below() - m.moreHigh() + 1, w, m.moreHigh() - 1}
	}
	more := max(48, m.width*2/7)
	return room{m.width - 2 - more, m.above() - 1, more, m.height - m.below() - m.above() + 1}
}

// moreParts are the rooms of its words, with how many lines a row of them has at most,
// and of its trace beside them; no trace beside them has no width.
func (m *ShelfScreen) moreParts(e *shelf.Entry, r room) (words room, most int, picture room) {
	words, most = r, 3
	if noTrace(e) != "" || e.Condition != shelf.Whole && r.h < 9 || m.moreHigh() == 0 { // what to do about it needs the room
		return words, most, room{}
	}
	wide := max(24, r.w*9/25)
	words.w = r.w - wide - 3
	return words, 2, room{r.x + r.w - wide, r.y, wide, r.h}
}

// moreHead are the lines of a record's name above the rest, which are typed elsewhere and
// not cut; there is room behind the last.
func moreHead(name string, w int) []string {
	if ansi.StringWidth(name) <= w-10 {
		return []string{name}
	}
	lines := whole(name, w-9)
	if ansi.StringWidth(lines[len(lines)-1])+signRoom > w-9 {
		lines = append(lines, "")
	}
	return lines
}

// drawMore draws the chosen record, or the form of its label: the words, and its trace
// beside them, or below them where the room is narrow and high.
func (m *ShelfScreen) drawMore(p *plate, r room) {
	if m.mode == labelling {
		m.drawForm(p, r.x, r.y, r.w, r.h)
		return
	}
	e := m.entry()
	if e == nil {
		return
	}
	head := moreHead(clean(e.Name), r.w)
	top := r
	r.y, r.h = r.y+len(head), r.h-len(head)
	words, most, picture := m.moreParts(e, r)
	lines := m.toldLines(e, words.w, most)
	from, seen := m.inSight(e, len(lines), words.h)
	for i, l := range lines[from : from+seen] {
		p.text(words.x, words.y+i, 9, l.label, faint)
		p.text(words.x+9, words.y+i, words.w-9, l.text, l.ink)
	}
	m.drawMoreHead(p, top, head, m.outOfSight(from, len(lines)-from-seen))
	switch {
	case picture.w > 0:
		m.drawTrace(p, e, picture.x, picture.y, picture.w, picture.h)
	case m.moreHigh() == 0 && noTrace(e) == "":
		m.drawTrace(p, e, r.x, r.y+seen+1, r.w, min(14, r.h-seen-1))
	}
}

// drawMoreHead draws the name of the chosen record, what is out of sight of it, and the
// key that opens it where the keys at the foot have no room for that.
func (m *ShelfScreen) drawMoreHead(p *plate, r room, head []string, out string) {
	if len(head) > 1 {
		p.text(r.x, r.y, 8, "chosen", faint)
		for i, l := range head {
			p.text(r.x+9, r.y+i, r.w-9, l, faint)
		}
		p.right(r.x+r.w, r.y+len(head)-1, r.w, out, faint)
		return
	}
	rule(p, r.x, r.y, r.w, "chosen   "+head[0])
	left := r.w - 10 - ansi.StringWidth(head[0])
	if open := " enter look again"; m.mode == listing && m.keys.Open.Enabled() && !strings.Contains(m.keys.lines(m.mode, p.w-4, m.keyHigh())[0], "enter") {
		short := strings.Replace(out, " more ", " ", 1)
		switch {
		case out == "" && len(open) <= left:
			out = open
		case out == "":
		case len(out)+2+len(open) <= left:
			out += "  " + open
		case len(short)+2+len(open) <= left:
			out = short + "  " + open
		}
	}
	p.right(r.x+r.w, r.y, min(len(out), left), out, faint)
}

// toldLines are what is known of a record as lines of w cells, at most so many a row.
func (m *ShelfScreen) toldLines(e *shelf.Entry, w, most int) (out []toldLine) {
	for _, r := range m.moreRows(e) {
		k := plain
		if r.label == "state" && e.Condition != shelf.Whole {
			k = conditionInk(e.Condition)
		}
		for i, l := range wrapUnits(r.text, w-9, most) {
			label := r.label
			if i > 0 {
				label = ""
			}
			out = append(out, toldLine{label, l, k})
		}
	}
	return out
}

// inSight is the first line in sight of so many, and how many there are with it, in h
// lines.
func (m *ShelfScreen) inSight(e *shelf.Entry, lines, h int) (from, seen int) {
	h = max(0, h)
	if m.sight.dir == e.Dir {
		from = max(0, min(m.sight.from, lines-h))
	}
	return from, min(h, lines-from)
}

// outOfSight says how many lines are, and by which key they come.
func (m *ShelfScreen) outOfSight(above, below int) string {
	out := unseenText(above, below)
	switch {
	case out == "" || m.mode != listing:
		return out
	case above > 0 && below > 0:
		return out + ": left/right"
	case above > 0:
		return out + ": left"
	}
	return out + ": right"
}

// sightOf is what is in sight of the chosen record: from which line on, how many, of how
// many.
func (m *ShelfScreen) sightOf() (from, seen, lines int) {
	e := m.entry()
	if e == nil || m.width <= 0 || m.height <= 0 {
		return 0, 0, 0
	}
	if m.width < minWidth || m.height < minHeight {
		lines = len(m.smallLines(e))
		from, seen = m.inSight(e, lines, m.smallRoom(lines))
		return from, seen, lines
	}
	r := m.moreRoom()
	r.h -= len(moreHead(clean(e.Name), r.w))
	words, most, _ := m.moreParts(e, r)
	lines = len(m.toldLines(e, words.w, most))
	from, seen = m.inSight(e, lines, words.h)
	return from, seen, lines
}

// scroll goes through the words of the chosen record, by as many lines as are in sight.
func (m *ShelfScreen) scroll(on bool) {
	from, seen, lines := m.sightOf()
	if on {
		from += seen
	} else {
		from -= seen
	}
	m.sight = shelfSight{m.entry().Dir, max(0, min(from, lines-seen))}
}
