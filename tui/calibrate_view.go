package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/calib"
	livecal "draghand/internal/calib/live"
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
	y, covered := m.drawAlarms(p, 1)
	if roomy {
		y++
	}
	if covered {
		y += figureHigh(m.figureSize(roomy))
	} else {
		y = m.drawReading(p, y, roomy)
	}
	if roomy {
		y++
	}
	y = m.drawStands(p, y)
	y = m.drawLimit(p, y, roomy)
	y = m.drawReference(p, y)
	y = m.drawNext(p, y)
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
// a limit of. Their lines are there without an alarm too, so that nothing moves when
// one comes; a long one covers what comes below.
func (m *CalibrateScreen) drawAlarms(p *plate, y int) (next int, covered bool) {
	next = y + 1
	if m.view.Rig != nil {
		if names := m.view.Rig.UnknownParts(); len(names) > 0 {
			p.text(2, next, p.w-4, "no known limit: "+unknownNames(names), caution)
			next++
		}
	}
	if texts, k := m.alarm(); texts != nil {
		h := headline{texts: texts}
		lines := []string{h.within(p.w - 4)}
		if !m.readable() { // with what to do about it
			lines = wrap(texts[0], p.w-4, 4)
		}
		for _, l := range lines {
			p.band(y, k)
			p.text(2, y, p.w-4, cut(l, p.w-4), k)
			y++
		}
	}
	return next, y > next
}

// figureSize is how large the figures are.
func (m *CalibrateScreen) figureSize(roomy bool) int {
	switch {
	case roomy && m.height >= 52 && m.width >= 150:
		return 4
	case roomy:
		return 3
	case m.height >= 30:
		return 2
	}
	return 1
}

// drawReading is what the rig reads, in figures to be read from the pump.
func (m *CalibrateScreen) drawReading(p *plate, y int, roomy bool) int {
	size := m.figureSize(roomy)
	u := m.view.Units
	if !m.readable() {
		words := "NO READING"
		if m.view.Fault == "" {
			words = "NOT SEEN"
		}
		if m.ascii && size < 3 {
			p.text(2, y+1, p.w-4, words, warning)
			return y + figureHigh(size)
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
	half := p.w * 45 / 100
	if m.view.Run.At != rig.AtGauge {
		at.w = half - 4
	}
	draw := drawFigure
	if m.ascii && size < 3 { // figures of so few cells cannot be read there
		draw = drawPlain
	}
	most := m.mostRead()
	bottom := draw(p, at, gauge.Number(), widestOf(most.In(u)), gauge.Unit, what, size, k)
	if m.view.Run.At != rig.AtGauge {
		force := m.view.Force.In(u)
		draw(p, room{half + 2, y, p.w - half - 4, 0}, force.Number(), widestOf(m.byRig(most).In(u)), force.Unit, m.onWhat(), size, k)
	}
	return bottom
}

// mostRead is the most that is to be read, past the first stop: figures keep the
// place of that one.
func (m *CalibrateScreen) mostRead() si.Pressure {
	if m.view.Rig == nil {
		return 0
	}
	most := m.view.Rig.Chain().Range()
	for i := range m.bounds {
		most = min(most, 1.2*m.bounds[i].PressureAt(m.view.Rig.Alarm.Stop))
	}
	return most
}

// byRig is what the rig makes of a pressure at the reference's place.
func (m *CalibrateScreen) byRig(p si.Pressure) si.Force {
	if m.view.Rig == nil {
		return 0
	}
	return si.Force((&livecal.View{Rig: m.view.Rig, Run: m.view.Run}).ByRig(calib.Point{Gauge: p}))
}

// widestOf is the widest figure up to a value, with a sign where that is wider.
func widestOf(s si.Shown) string {
	wide := strings.Map(func(r rune) rune {
		if r >= '0' && r <= '9' {
			return '8'
		}
		return r
	}, s.Number())
	if len(wide) < len("-888") {
		return "-888"
	}
	return wide
}

// drawPlain is drawFigure in plain digits, in the same lines.
func drawPlain(p *plate, r room, text, widest, unit, what string, size int, k ink) int {
	p.text(r.x, r.y, r.w, what, faint)
	p.text(r.x, r.y+1, r.w, padLeft(text, len(widest))+" "+unit, k)
	return r.y + figureHigh(size)
}

// onWhat is what the force bears on.
func (m *CalibrateScreen) onWhat() string {
	switch run := &m.view.Run; {
	case run.At == rig.AtRam:
		return "force on the ram, by the rig"
	case run.Far:
		return "force on the far side, by the rig"
	}
	return "force on the specimen, by the rig"
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
	if m.mode != valuing && m.danger() {
		p.text(x, y, w, "no point now: the load comes first", faint)
		return y + 1
	}
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
	for i, l := range wrap(text, p.w-4-calibrateWide, 2) {
		p.text(2+calibrateWide, y+i, p.w-4-calibrateWide, l, k)
	}
	return y + 2 // also where one is enough: nothing below moves
}

// drawKeys is the last line: a question, a note, or the keys.
func (m *CalibrateScreen) drawKeys(p *plate, y int) {
	w := p.w - 4
	switch {
	case m.mode == departing || m.mode == dropping:
		p.band(y, noteBar)
		p.text(2, y, w, m.question(), noteBar)
	case m.note != "" && !m.urgent():
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
	return fmt.Sprintf("drop point %d, %s at %s?  y / n", m.marked+1, pt.Direction, clean(pt.ReferenceText(m.view.Run.At, m.view.Units)))
}

// mostUrgent is the line that stays in sight under help.
func (m CalibrateScreen) mostUrgent(w int) (string, ink) {
	if texts, k := m.alarm(); texts != nil {
		h := headline{texts: texts}
		return cut(h.within(w), w), k
	}
	return "", plain
}
