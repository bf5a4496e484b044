package tui

import (
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/bench"
	"draghand/internal/pull"
	"draghand/internal/si"
)

// wideBench is the least width of a bench in two columns; narrower ones show one
// part at a time. roomyBench is the least height for the same.
const (
	wideBench  = 112
	roomyBench = 34
)

// View draws the frame.
func (m BenchScreen) View() string {
	if m.width <= 0 || m.height <= 0 {
		return ""
	}
	p := &m.scratch.plate
	p.reset(m.width, m.height)
	if m.width < minWidth || m.height < minHeight {
		m.drawSmall(p)
	} else {
		m.drawBench(p)
	}
	return p.frame(m.theme)
}

// columns says that all parts stand side by side.
func (m *BenchScreen) columns() bool { return m.width >= wideBench && m.height >= roomyBench }

// drawBench draws from the top: what is on the bench, what must be read now, the
// reading, its source and zero; from the bottom: the keys and whether it may be
// armed. The parts that are set up take what is left.
func (m *BenchScreen) drawBench(p *plate) {
	roomy := m.columns()
	right := "bench"
	if m.view.Rig != nil && !roomy { // in columns the rig has a heading
		right += "   " + cut(clean(m.view.Rig.Name), p.w/3)
	}
	x := p.right(p.w-2, 0, p.w/2, right, strong)
	p.text(2, 0, x-5, m.ident(x-5), plain)
	y := 1
	lines, inks := alerts(m.view.Look, m.view.Units, p.w-4)
	for i, l := range lines {
		p.band(y, inks[i])
		p.text(2, y, p.w-4, l, inks[i])
		y++
	}
	if roomy || len(lines) > 0 { // a figure is not to touch a band
		y++
	}
	y = m.drawReading(p, y, roomy)
	if roomy {
		y++
	}
	bottom := p.h - 1
	m.drawKeys(p, bottom)
	verdict := m.verdict(p.w - 4)
	bottom -= len(verdict)
	for i, l := range verdict {
		if l.ink >= cautionBar {
			p.band(bottom+i, l.ink)
		}
		l.draw(p, 0, bottom+i, p.w-2, 0)
	}
	if roomy {
		bottom--
	}
	m.drawParts(p, room{2, y, p.w - 4, bottom - y}, roomy)
}

// drawReading is what the rig reads: two figures to be read from the press, and
// in words how the readings come in and what they are above.
func (m *BenchScreen) drawReading(p *plate, y int, roomy bool) int {
	size := 1
	switch {
	case roomy && p.h >= 52 && p.w >= 150:
		size = 4
	case roomy:
		size = 3
	case p.h >= 30:
		size = 2
	}
	gauge, force := "", "" // no fresh reading
	k := faint
	u := m.view.Units
	if look := m.view.Look; look != nil && look.State.Seen {
		gauge, force = look.State.Live.Gauge.In(u).Number(), look.State.Live.Specimen.In(u).Number()
		k = levelInk(look.State.Worst)
	}
	on := "force on the specimen"
	if m.value(bench.FieldKind) == string(pull.Crush) {
		on = "force on the block"
	}
	if gauge == "" || gauge == "–" || force == "–" { // no number
		return m.drawUnread(p, y, size)
	}
	half := p.w * 45 / 100
	if roomy {
		half = (p.w - 4) * 47 / 100 // over the columns
	}
	y = drawFigure(p, room{2, y, half - 4, 0}, gauge, "-888", si.Pressure(0).In(u).Unit, "gauge pressure", size, k)
	drawFigure(p, room{half + 2, y - figureHigh(size), p.w - half - 4, 0}, force, "-888", si.Force(0).In(u).Unit, on, size, k)
	return m.drawFacts(p, y)
}

// drawUnread says as large as the figures would be that there is nothing to read.
func (m *BenchScreen) drawUnread(p *plate, y, size int) int {
	words, k := "NO READING", faint
	if look := m.view.Look; look != nil && look.State.Readings > 0 && !look.State.Signal.Valid() { // readings come
		words = "NOT SEEN"
	}
	if m.view.Source == bench.SourceOpen || m.view.Source == bench.SourceFailed {
		k = warning
	}
	drawn := max(1, fit(words, size, p.w-4, 5*size))
	_, h := figureSize(words, drawn)
	p.figures(2, y+figureHigh(size)-h, words, drawn, k)
	return m.drawFacts(p, y+figureHigh(size))
}

// drawFacts says how the readings come in, what was wrong with some, and what the
// figures are above.
func (m *BenchScreen) drawFacts(p *plate, y int) int {
	fact := func(label, text string, k ink, most int) {
		p.text(2, y, 8, label, faint)
		lines := []string{text}
		if most > 1 {
			lines = wrap(text, p.w-13, most)
		}
		for i, l := range lines {
			p.text(11, y+i, p.w-13, l, k)
		}
		y += max(1, len(lines))
	}
	src, sk := m.benchSource(p.w - 13)
	most := 1
	if sk == stop { // with what to do about it
		most = 4
	}
	fact("source", src, sk, most)
	if t := m.quality(); t != "" {
		fact("quality", t, caution, 1)
	}
	zero, zk := "–", faint
	if m.view.Look != nil {
		zero, zk = benchZero(m.view.Look, m.view.Units)
	}
	most = 1
	if zk == warning {
		most = 2
	}
	fact("zero", zero, zk, most)
	if t := clean(m.view.ZeroDrift); t != "" && zk == good {
		if m.columns() {
			fact("", "now "+t, plain, 1)
		} else {
			x := 11 + ansi.StringWidth(zero) + 3
			first, _, _ := strings.Cut(t, ",")
			by, _, _ := strings.Cut(first, " from ")
			h := headline{texts: []string{first, "moved by " + by, "moved " + by}}
			if brief := h.within(p.w - 2 - x); ansi.StringWidth(brief) <= p.w-2-x {
				p.text(x, y-1, p.w-2-x, brief, plain)
			}
		}
	}
	if t := clean(m.view.Calibration); t != "" {
		most, k := 2, calibrationInk(t)
		if !m.columns() {
			t, most = calibrationBrief(t, p.w-13), 1
		}
		fact("forces", t, k, most)
	}
	if t := clean(m.view.Check); t != "" && m.columns() {
		fact("check", t, checkInk(t), 1)
	}
	return y
}

// figureHigh is the height of a figure with what belongs to it.
func figureHigh(size int) int {
	_, h := figureSize("0", size)
	if size > 1 {
		h++
	}
	return h
}

// drawFigure draws one figure with its unit, and says what it is beside it where
// it is small, above it where it is large. It ends where widest would, and so do
// the words, so that nothing jumps with a sign or another digit; widest empty: both
// begin at the left.
func drawFigure(p *plate, r room, text, widest, unit, what string, size int, k ink) int {
	left := widest == ""
	if len(widest) < len(text) {
		widest = text
	}
	_, h := figureSize("0", size)
	drawn := fit(widest, size, r.w-len(unit)-2, 5*size)
	if fw, _ := figureSize(text, 1); drawn == 0 || fw == 0 {
		p.text(r.x, r.y+h-1, r.w, text+" "+unit+"  "+what, k)
		return r.y + figureHigh(size)
	}
	y := r.y
	if size > 1 {
		y++ // below the words
	}
	_, dh := figureSize("0", drawn)
	full, _ := figureSize(widest, drawn)
	wide, _ := figureSize(text, drawn)
	x := p.figures(r.x+full-wide, y+h-dh, text, drawn, k)
	p.text(x+2, y+h-1, r.w-(x+2-r.x), unit, strong)
	if size > 1 {
		at := r.x
		if !left {
			at = max(at, r.x+full-ansi.StringWidth(what))
		}
		p.text(at, r.y, r.w-(at-r.x), what, faint)
	} else {
		beside := r.w - (x + 2 - r.x)
		brief := what
		if i := strings.IndexAny(what, ",:"); i > 0 {
			brief = what[:i]
		}
		first, _, _ := strings.Cut(brief, " ")
		label := headline{texts: []string{what, brief, first}}
		p.text(x+2, y+h-2, beside, label.within(beside), faint)
	}
	return r.y + figureHigh(size)
}

// drawParts draws set-up, points and rig: side by side where there is room, else
// the one that keys are in below a line that names all three.
func (m *BenchScreen) drawParts(p *plate, r room, roomy bool) {
	if m.mode == choosing {
		lines, at := m.list.lines(r.w)
		r.draw(p, m.list.title(), true, lines, 0, 0, at)
		return
	}
	if roomy {
		wide := r.w * 47 / 100
		left, right := room{r.x, r.y, wide - 2, r.h}, room{r.x + wide, r.y, r.w - wide, r.h}
		m.drawLeft(p, left)
		points, at := m.pointLines(right.w)
		if m.section != pointsSection {
			at = m.firstOpen(points)
		}
		right.draw(p, m.pointsTitle(), m.section == pointsSection, points, pointWide, 0, at)
		return
	}
	names := []string{"set-up", m.pointsTitle(), "rig and limits"}
	x := r.x
	for i, name := range names {
		k, mark := faint, "  "
		if benchSection(i) == m.section {
			k, mark = strong, "▸ "
		}
		x = p.text(x, r.y, r.x+r.w-x, mark+name, k) + 3
	}
	more := ""
	switch m.section {
	case setupSection:
		lines, at := m.setupLines(r.w)
		more = r.list(p, lines, labelWide, 0, at)
	case pointsSection:
		lines, at := m.pointLines(r.w)
		more = r.list(p, lines, pointWide, 0, at)
	default:
		more = r.list(p, m.rigLines(), rigWide, m.rigFrom, -1)
	}
	p.right(r.x+r.w, r.y, 24, more, faint)
}

// drawLeft draws the set-up, and the rig below it. The set-up takes what it needs,
// but the unknown parts and the nearest limit stay in sight.
func (m *BenchScreen) drawLeft(p *plate, r room) {
	lines, at := m.setupLines(r.w)
	rig := m.rigLines()
	low := min(len(rig)+1, max(4, r.h-len(lines)-2))
	if m.section == rigSection {
		low = min(len(rig)+1, r.h*2/3)
	}
	upper, lower := r, r
	upper.h = min(r.h-low-1, len(lines)+1)
	lower.y, lower.h = r.y+upper.h+1, low
	upper.draw(p, "set-up", m.section == setupSection, lines, labelWide, 0, at)
	title := "rig"
	if m.view.Rig != nil {
		title += ": " + cut(clean(m.view.Rig.Name), 36)
	}
	lower.draw(p, title, m.section == rigSection, rig, rigWide, m.rigFrom, -1)
}

// firstOpen is the line of the first point that is not seen to.
func (m *BenchScreen) firstOpen(lines []benchLine) int {
	for i := range lines {
		if lines[i].label == "to see" {
			return i
		}
	}
	return 0
}

// drawKeys is the last line: what was just asked for, or the keys.
func (m *BenchScreen) drawKeys(p *plate, y int) {
	w := p.w - 4
	switch {
	case m.mode == leaving:
		p.band(y, noteBar)
		p.text(2, y, w, leaveLoaded, noteBar)
	case m.mode == arming:
		p.text(2, y, w, "arming: the record is being made; touch nothing", strong)
	case m.note != "":
		p.text(2, y, w, troubleText(m.note, w), strong)
	default:
		p.text(2, y, p.w-2, m.keys.short(m.mode, p.w-3), faint)
	}
}

// mostUrgent is the line that stays in sight under help.
func (m BenchScreen) mostUrgent(w int) (string, ink) {
	if lines, inks := alerts(m.view.Look, m.view.Units, w); len(lines) > 0 {
		return lines[0], inks[0]
	}
	if look := m.view.Look; look != nil && look.State.Seen {
		return joinFit(w, "gauge "+look.State.Live.Gauge.Text(m.view.Units), "specimen "+look.State.Live.Specimen.Text(m.view.Units)), live
	}
	return "no fresh reading", plain
}
