package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// View draws the frame.
func (m CalibrateScreen) View() string {
	if m.width <= 0 || m.height <= 0 {
		return ""
	}
	p := &m.scratch.plate
	p.reset(m.width, m.height)
	if m.width < minWidth || m.height < minHeight {
		m.drawSmall(p)
	} else {
		m.drawCalibrate(p)
	}
	return p.frame(m.theme)
}

// calibrateWide is the room of the labels of this screen.
const calibrateWide = 11

// roomy says that there is room for more than the least.
func (m *CalibrateScreen) roomy() bool { return m.height >= roomyBench && m.width >= wideBench }

// drawCalibrate draws from the top: what is held against what, what must be read
// now, the reading and whether it stands, how near a limit is, what is typed and what
// comes next; from the bottom: the keys and what the points say. Points and plot take
// what is left.
func (m *CalibrateScreen) drawCalibrate(p *plate) {
	roomy := m.roomy()
	right := "calibrate"
	if strings.HasPrefix(m.view.Source, "sim:") {
		right = "simulated   " + right
	}
	if m.view.Rig != nil && roomy {
		right += "   " + cut(clean(m.view.Rig.Name), p.w/3)
	}
	x := p.right(p.w-2, 0, p.w/2, right, strong)
	p.text(2, 0, x-5, m.title(x-5), plain)
	y := m.drawAlarms(p, 1)
	if y == 1 || roomy {
		y++
	}
	y = m.drawReading(p, y, roomy)
	if roomy {
		y++
	}
	y = m.drawStands(p, y)
	y = m.drawLimit(p, y, roomy)
	y = m.drawReference(p, y)
	y = m.drawNext(p, y)
	if roomy {
		y++
	}
	bottom := p.h - 1
	m.drawKeys(p, bottom)
	if m.failed != "" {
		text := clean(m.failed)
		if ansi.StringWidth(text) > p.w-4 {
			text = shortPaths(text)
		}
		lines := wrap(text, p.w-4, 3)
		bottom -= len(lines)
		for i, l := range lines {
			p.text(2, bottom+i, p.w-4, l, stop)
		}
	}
	m.drawLists(p, room{2, y, p.w - 4, bottom - y})
}

// title is what the rig is held against, and where.
func (m *CalibrateScreen) title(w int) string {
	ref := clean(m.view.Run.Reference.Text)
	if ref == "" {
		ref = "a reference"
	}
	return joinFit(w, "against "+ref+", "+m.where(), clean(m.view.Source))
}

// where is the place of the reference.
func (m *CalibrateScreen) where() string {
	switch run := &m.view.Run; {
	case run.At == rig.AtGauge:
		return "at the gauge port"
	case run.At == rig.AtRam:
		return "at the ram"
	case run.Far:
		return "in the far side's place"
	}
	return "in the specimen's place"
}

// drawAlarms are what must be read before anything else, and the parts nobody knows
// a limit of.
func (m *CalibrateScreen) drawAlarms(p *plate, y int) int {
	if texts, k := m.alarm(); texts != nil {
		h := headline{texts: texts}
		lines := []string{h.within(p.w - 4)}
		if !m.readable() { // with what to do about it
			lines = wrap(texts[0], p.w-4, 3)
		}
		for _, l := range lines {
			p.band(y, k)
			p.text(2, y, p.w-4, cut(l, p.w-4), k)
			y++
		}
	}
	if m.view.Rig == nil {
		return y
	}
	if names := m.view.Rig.UnknownParts(); len(names) > 0 {
		p.text(2, y, p.w-4, "no known limit: "+unknownNames(names), caution)
		y++
	}
	return y
}

// drawReading is what the rig reads, in figures to be read from the pump.
func (m *CalibrateScreen) drawReading(p *plate, y int, roomy bool) int {
	size := 1
	switch {
	case roomy && p.h >= 52 && p.w >= 150:
		size = 4
	case roomy:
		size = 3
	case p.h >= 30:
		size = 2
	}
	u := m.view.Units
	if !m.readable() {
		words := "NO READING"
		if m.view.Fault == "" {
			words = "NOT SEEN"
		}
		drawn := max(1, fit(words, size, p.w-4, 5*size))
		_, h := figureSize(words, drawn)
		p.figures(2, y+figureHigh(size)-h, words, drawn, warning)
		return y + figureHigh(size)
	}
	k := levelInk(m.limit.Level)
	gauge := m.view.Live.In(u)
	what := "gauge pressure"
	if !m.view.HaveZero {
		what, k = "gauge pressure, no zero yet", faint
	}
	at := room{2, y, p.w - 4, 0}
	if m.view.Run.At == rig.AtGauge {
		return drawFigure(p, at, gauge.Number(), "-888", gauge.Unit, what, size, k)
	}
	half := p.w * 45 / 100
	force := m.view.Force.In(u)
	drawFigure(p, room{half + 2, y, p.w - half - 4, 0}, force.Number(), "-888", force.Unit, m.onWhat(), size, k)
	at.w = half - 4
	return drawFigure(p, at, gauge.Number(), "-888", gauge.Unit, what, size, k)
}

// onWhat is what the force bears on.
func (m *CalibrateScreen) onWhat() string {
	switch run := &m.view.Run; {
	case run.At == rig.AtRam:
		return "ram force, by the rig"
	case run.Far:
		return "far side, by the rig"
	}
	return "specimen force, by the rig"
}

// refer is a value of the reference, ready to be shown.
func (m *CalibrateScreen) refer(v float64) si.Shown {
	if m.view.Run.At == rig.AtGauge {
		return si.Pressure(v).In(m.view.Units)
	}
	return si.Force(v).In(m.view.Units)
}

// drawReference is the line in which the reference's value is typed.
func (m *CalibrateScreen) drawReference(p *plate, y int) int {
	p.text(2, y, calibrateWide, "reference", strong)
	x, w := 2+calibrateWide, p.w-4-calibrateWide
	if m.mode != valuing {
		hint := "type its value here: a digit begins it, such as " + m.example()
		if m.unit != "" {
			hint = "type its value here; without a unit it is in " + clean(m.unit)
		}
		p.text(x, y, w, hint, faint)
		return y + 1
	}
	p.text(x-2, y, 2, "▸", strong)
	room := max(10, w/3)
	m.edit.draw(p, x, y, room)
	hint := "with its unit, such as " + m.example()
	switch text := m.edit.text(); {
	case unitOf(text) != "":
		hint = ""
	case m.unit != "":
		hint = clean(m.unit) + ", the unit of the point before"
	}
	p.text(x+min(room, len(m.edit.parts)+3), y, w-room, hint, faint)
	return y + 1
}

// example is a value of the reference as it may be typed.
func (m *CalibrateScreen) example() string {
	switch {
	case m.view.Run.At == rig.AtGauge && m.view.Units == si.Metric:
		return "100 bar"
	case m.view.Run.At == rig.AtGauge:
		return "1500 psi"
	case m.view.Units == si.Metric:
		return "5 kN"
	}
	return "1000 lbf"
}

// drawNext says what to do next, or why the value was not taken.
func (m *CalibrateScreen) drawNext(p *plate, y int) int {
	label, text, k := "next", m.next(), strong
	if m.refused != "" {
		label, text, k = "NOT TAKEN", clean(m.refused), warning
	}
	p.text(2, y, calibrateWide, label, k)
	lines := wrap(text, p.w-4-calibrateWide, 2)
	for i, l := range lines {
		p.text(2+calibrateWide, y+i, p.w-4-calibrateWide, l, k)
	}
	return y + max(1, len(lines))
}

// drawKeys is the last line: a question, a note, or the keys.
func (m *CalibrateScreen) drawKeys(p *plate, y int) {
	w := p.w - 4
	switch {
	case m.mode == departing || m.mode == dropping:
		p.band(y, noteBar)
		p.text(2, y, w, m.question(), noteBar)
	case m.note != "":
		p.text(2, y, w, troubleText(m.note, w), strong)
	default:
		p.text(2, y, w+1, closeKeys(m.keys.line(m.mode), w+1), faint)
	}
}

// question is what is asked now.
func (m *CalibrateScreen) question() string {
	if m.mode == departing {
		return m.leaveQuestion()
	}
	pt := &m.view.Run.Points[m.marked]
	return fmt.Sprintf("drop point %d, %s at %s?  y / n", m.marked+1, pt.Direction, m.refer(pt.Reference))
}

// mostUrgent is the line that stays in sight under help.
func (m CalibrateScreen) mostUrgent(w int) (string, ink) {
	if texts, k := m.alarm(); texts != nil {
		h := headline{texts: texts}
		return cut(h.within(w), w), k
	}
	return "", plain
}
