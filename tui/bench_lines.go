package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/bench"
	"draghand/internal/pull"
	"draghand/internal/si"
)

// benchLine is one line of a part of the bench.
type benchLine struct {
	mark  bool   // keys are about this one
	label string // in a column of its own, faint unless it has an ink
	word  ink    // of the label
	text  string
	ink   ink
	tail  string    // faint, after the text
	edit  *lineEdit // in place of the text
}

// room is a piece of the screen.
type room struct{ x, y, w, h int }

// draw writes a heading and below it as many lines as there is room for, the
// focused one among them, and says how many are out of sight. A focus below 0:
// none, and from is the first line shown.
func (r room) draw(p *plate, title string, active bool, lines []benchLine, label, from, focus int) {
	if r.h <= 0 || r.w <= 4 {
		return
	}
	r.heading(p, title, active, r.list(p, lines, label, from, focus))
}

// list writes lines below the first row of the room and gives in words how many
// are out of sight.
func (r room) list(p *plate, lines []benchLine, label, from, focus int) (more string) {
	have := r.h - 1
	if have <= 0 {
		return ""
	}
	if focus >= 0 {
		from = focus - have/2
	}
	from = max(0, min(from, len(lines)-have))
	for i := from; i < min(len(lines), from+have); i++ {
		lines[i].draw(p, r.x, r.y+1+i-from, r.w, label)
	}
	return unseenText(from, len(lines)-from-have)
}

// unseenText says how many lines are out of sight; empty where none is.
func unseenText(above, below int) string {
	switch {
	case above > 0 && below > 0:
		return fmt.Sprintf(" %d above, %d below", above, below)
	case below > 0:
		return fmt.Sprintf(" %d more below", below)
	case above > 0:
		return fmt.Sprintf(" %d more above", above)
	}
	return ""
}

// heading is a title with a rule after it; the part that keys are in carries the
// mark.
func (r room) heading(p *plate, title string, active bool, more string) {
	k, mark := faint, "  "
	if active {
		k, mark = strong, "▸ "
	}
	end := r.x + r.w
	if more != "" {
		end = p.right(end, r.y, r.w/2, more, faint)
	}
	x := p.text(r.x, r.y, end-r.x, mark+title, k)
	for x++; x < end-1; x++ {
		p.set(x, r.y, '─', faint)
	}
}

func (l *benchLine) draw(p *plate, x, y, w, label int) {
	end := x + w
	if l.mark {
		p.text(x, y, 2, "▸", strong)
	}
	x += 2
	if label > 0 {
		k := faint
		switch {
		case l.word != plain:
			k = l.word
		case l.mark:
			k = strong
		}
		p.text(x, y, min(label-1, end-x), l.label, k)
		x += label
	}
	if l.edit != nil {
		l.edit.draw(p, x, y, end-x)
		return
	}
	x = p.text(x, y, end-x, l.text, l.ink)
	if l.tail != "" && x+2 < end {
		p.text(x+2, y, end-x-2, l.tail, faint)
	}
}

// labelWide is the room of the labels of the set-up.
const labelWide = 14

// setupLines are the fields, in w cells, what is wrong with one below it.
func (m *BenchScreen) setupLines(w int) (lines []benchLine, focus int) {
	l := fieldList{label: labelWide, fields: m.view.Fields, at: m.focused(), active: m.section == setupSection && m.mode != choosing}
	if m.mode == editing {
		l.edit = &m.edit
	}
	return l.lines(w)
}

// fieldList are fields a person fills in.
type fieldList struct {
	label  int // the room of the labels
	fields []bench.Field
	at     *bench.Field // the one that keys are about, one of fields
	active bool         // keys are about fields now
	edit   *lineEdit    // of the one at; nil: it is not being typed
}

// lines are the fields, in w cells, what is wrong with one below it.
func (l *fieldList) lines(w int) (lines []benchLine, focus int) {
	room := max(1, w-2-l.label)
	for i := range l.fields {
		o := &l.fields[i]
		read := clean(o.Read)
		line := benchLine{label: clean(o.Label), text: clean(o.Text), ink: plain}
		if line.text == "" { // what holds where nothing is written, as a rig file's source
			line.text = read
		}
		if o == l.at {
			focus = len(lines)
			line.mark = l.active
		}
		empty := line.text == ""
		switch {
		case line.mark && l.edit != nil:
			line.edit = l.edit
		case line.mark && len(o.Choices) > 0 && empty:
			line.text = "‹ – ›"
		case line.mark && len(o.Choices) > 0:
			line.text = "‹ " + line.text + " ›"
		case empty:
			line.text, line.tail, line.ink = "–", clean(o.Hint), faint
			if line.mark { // there it stands whole, below
				line.tail = ""
			}
		}
		switch {
		case line.edit != nil || empty:
		case line.mark && len(o.Choices) > 1:
			line.tail = "left and right choose"
		case read != "" && !sameWords(read, line.text):
			line.tail = "= " + read
		}
		if o.Fault != "" {
			line.ink = warning
		}
		lines = append(lines, line)
		if o.Fault == "" && (line.edit != nil || line.mark && empty) {
			for _, t := range wrap(clean(o.Hint), room, 2) {
				lines = append(lines, benchLine{label: "", text: t, ink: faint})
			}
		}
		if o.Fault != "" {
			for j, t := range wrap("not usable: "+clean(o.Fault), room, 3) {
				lines = append(lines, benchLine{text: t, ink: warning})
				if o == l.at && j == 0 {
					focus++
				}
			}
		}
	}
	return lines, focus
}

// sameWords says that a field as understood only says again what was written.
func sameWords(read, text string) bool {
	short := func(s string) string { return strings.ReplaceAll(s+" ", ".0 ", " ") }
	return short(read) == short(text)
}

// pointLines are the set-up points in w cells; why the marked one matters stands
// below it.
func (m *BenchScreen) pointLines(w int) (lines []benchLine, focus int) {
	at := m.marked()
	active := m.section == pointsSection
	for i := range m.view.Points {
		o := &m.view.Points[i]
		label, word := "to see", caution
		if o.Done {
			label, word = "seen", good
		}
		marked := o == at && active
		if marked {
			focus = len(lines)
		}
		for j, t := range wrap(clean(o.Text), max(1, w-2-pointWide), 3) {
			line := benchLine{text: t, ink: plain}
			if marked {
				line.ink = strong
			}
			if j == 0 {
				line.label, line.word, line.mark = label, word, marked
			}
			lines = append(lines, line)
		}
		if marked && o.Why != "" {
			for _, t := range wrap(clean(o.Why), max(1, w-2-pointWide-2), 3) {
				lines = append(lines, benchLine{text: "  " + t, ink: faint})
			}
		}
	}
	return lines, focus
}

// pointWide is the room of the word before a point.
const pointWide = 7

// pointsTitle says how far the person is.
func (m *BenchScreen) pointsTitle() string {
	done := 0
	for _, pt := range m.view.Points {
		if pt.Done {
			done++
		}
	}
	return fmt.Sprintf("points seen to: %d of %d", done, len(m.view.Points))
}

// rigLines are the rig and what its parts may carry, the nearest limit first.
func (m *BenchScreen) rigLines() []benchLine {
	r, u := m.view.Rig, m.view.Units
	if r == nil {
		return []benchLine{{text: "no rig yet: r lists the rig files found", ink: warning}}
	}
	var lines []benchLine
	for _, n := range m.view.Unknown {
		lines = append(lines, benchLine{label: "caution", text: "no known limit: " + clean(n), ink: caution})
	}
	bounds := r.Nearest()
	if len(bounds) == 0 {
		lines = append(lines, benchLine{label: "caution", text: "no part of this rig has a known limit: nothing can warn you", ink: stop})
	}
	for i, b := range bounds {
		label := ""
		switch {
		case i == 0:
			label = "nearest"
		case i == 1:
			label = "then"
		}
		lines = append(lines, benchLine{
			label: label, text: cut(clean(b.Limit.Name), 40) + " up to " + allowText(&b, u), ink: plain,
		})
	}
	lines = append(lines, benchLine{
		label: "ram", text: r.Ram.Area.Text(u) + ", " + percent(r.Path.BarShare()) + m.onWhat(), ink: plain,
	})
	return append(lines, m.historyLines()...)
}

// historyLines are what earlier records say of the rig.
func (m *BenchScreen) historyLines() (lines []benchLine) {
	say := func(label, text string, k ink) {
		for i, t := range wrap(clean(text), max(1, m.width-6-rigWide), 2) {
			if i > 0 {
				label = ""
			}
			lines = append(lines, benchLine{label: label, text: t, ink: k})
		}
	}
	if m.columns() { // the facts have it
		return nil
	}
	say("forces", m.view.Calibration, calibrationInk(m.view.Calibration)) // in full
	say("check", m.view.Check, checkInk(m.view.Check))
	say("zero", m.view.ZeroDrift, plain)
	return lines
}

// calibrationInk is whether the calibration is overdue; the words say it too.
func calibrationInk(text string) ink {
	if strings.Contains(text, "overdue") {
		return caution
	}
	return plain
}

// calibrationBrief is by what forces are reckoned, in w cells: what it covers gives way
// to when it was made and when it is due.
func calibrationBrief(text string, w int) string {
	text, _, _ = strings.Cut(text, ", so that ")
	parts := strings.Split(text, ", ")
	if ansi.StringWidth(text) <= w || len(parts) < 3 {
		return cut(text, w)
	}
	end := ", " + parts[len(parts)-1]
	return cut(parts[0], w-ansi.StringWidth(end)) + end
}

// checkInk is how the check bars stand; the words say it too.
func checkInk(text string) ink {
	if strings.Contains(text, "OUT OF CONTROL") || strings.Contains(text, "BEYOND") {
		return caution
	}
	return plain
}

// onWhat says what bears a share of the ram's force, by the kind that is chosen, as
// long as a column has room for.
func (m *BenchScreen) onWhat() string {
	f := fieldOf(m.view, bench.FieldKind)
	switch {
	case f == nil:
	case strings.EqualFold(f.Text, string(pull.Crush)):
		return " of it on the block"
	case strings.EqualFold(f.Text, string(pull.Proof)):
		return " of it on the part"
	}
	return " of its force on the bar"
}

// rigWide is the room of the words before the lines of the rig.
const rigWide = 9

// fineText is a pressure with the decimals that its size asks for: a scatter is
// a fraction of what a gauge shows.
func fineText(p si.Pressure, u si.System) string {
	s := p.In(u)
	switch v := max(s.Value, -s.Value); {
	case v < 1:
		s.Decimals = 2
	case v < 10:
		s.Decimals = 1
	}
	return s.String()
}
