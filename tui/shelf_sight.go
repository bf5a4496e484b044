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

// signRoom is what the longest word of what is out of sight has, so that it stands there
// whole: " 12 above, 34 below: left/right".
const signRoom = 32

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

// shelfHead is what stands above the words of a record: its name, whole, since it is typed
// elsewhere, and what is out of sight behind the last line of it, or on one of its own.
type shelfHead struct {
	name  []string // its lines
	ruled bool     // it is one, with a rule behind it
	own   bool     // the sign has a line of its own
}

func (h shelfHead) high() int {
	if h.own {
		return len(h.name) + 1
	}
	return len(h.name)
}

// moreHead is the head of a name in w cells. That of a short one has no line of its own for
// the sign: there may be none.
func moreHead(name string, w int) shelfHead {
	if ansi.StringWidth(name) <= w-10 {
		return shelfHead{name: []string{name}, ruled: true}
	}
	lines := whole(name, w-9)
	return shelfHead{name: lines, own: ansi.StringWidth(lines[len(lines)-1])+signRoom > w-9}
}

// shelfTold is the chosen record as it is laid out: its head, its lines, the room of them
// and that of its trace beside them.
type shelfTold struct {
	head           shelfHead
	lines          []toldLine
	words, picture room
	left           room // below the head
}

// layMore lays a record out in r. Where not all of it has room and the longest sign has none
// behind the name, the sign has a line of its own, wherever a person went: the lines stay
// where they are.
func (m *ShelfScreen) layMore(e *shelf.Entry, r room) shelfTold {
	lay := func(head shelfHead) shelfTold {
		left := room{r.x, r.y + head.high(), r.w, r.h - head.high()}
		words, most, picture := m.moreParts(e, left)
		return shelfTold{head, m.toldLines(e, words.w, most), words, picture, left}
	}
	name := clean(e.Name)
	told := lay(moreHead(name, r.w))
	n := len(told.lines)
	if sign := unseenText(n, n) + ": left/right"; told.head.ruled && n > told.words.h && told.words.h > 1 && len(sign) > r.w-10-ansi.StringWidth(name) {
		told.head.own = true
		return lay(told.head)
	}
	return told
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
	told := m.layMore(e, r)
	from, seen := m.inSight(e, len(told.lines), told.words.h)
	for i, l := range told.lines[from : from+seen] {
		p.text(told.words.x, told.words.y+i, 9, l.label, faint)
		p.text(told.words.x+9, told.words.y+i, told.words.w-9, l.text, l.ink)
	}
	m.drawMoreHead(p, r, told.head, m.outOfSight(from, seen, len(told.lines)))
	switch left, picture := told.left, told.picture; {
	case picture.w > 0:
		m.drawTrace(p, e, picture.x, picture.y, picture.w, picture.h)
	case m.moreHigh() == 0 && noTrace(e) == "":
		m.drawTrace(p, e, left.x, left.y+seen+1, left.w, min(14, left.h-seen-1))
	}
}

// drawMoreHead draws the name of the chosen record, what is out of sight of it, and the
// key that opens it where the keys at the foot have no room for that.
func (m *ShelfScreen) drawMoreHead(p *plate, r room, head shelfHead, out string) {
	if !head.ruled {
		p.text(r.x, r.y, 8, "chosen", faint)
		for i, l := range head.name {
			p.text(r.x+9, r.y+i, r.w-9, l, faint)
		}
		p.right(r.x+r.w, r.y+head.high()-1, r.w, out, faint)
		return
	}
	rule(p, r.x, r.y, r.w, "chosen   "+head.name[0])
	if head.own {
		p.right(r.x+r.w, r.y+1, r.w, out, faint)
		out = ""
	}
	left := r.w - 10 - ansi.StringWidth(head.name[0])
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

// outOfSight says how many lines are, and by which key they come. Where there is no room for
// any no key brings one, and nothing is said.
func (m *ShelfScreen) outOfSight(from, seen, lines int) string {
	if seen == 0 {
		return ""
	}
	above, below := from, lines-from-seen
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
	told := m.layMore(e, m.moreRoom())
	lines = len(told.lines)
	from, seen = m.inSight(e, lines, told.words.h)
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
