package tui

import (
	"fmt"

	"draghand/internal/rig"
)

// drawLists are the points, their residuals as a plot, and what they say.
func (m *CalibrateScreen) drawLists(p *plate, r room) {
	if len(m.view.Run.Points) == 0 {
		m.drawHow(p, r)
		return
	}
	lines := m.answerLines(r.w)
	upper, lower := r, r
	low := 0
	if len(lines) > 0 {
		low = min(len(lines)+1, max(6, r.h*2/5))
	}
	if m.roomy() && low > 0 {
		low++ // a blank line before
	}
	upper.h -= low
	lower.y, lower.h = r.y+upper.h, low
	if m.roomy() && low > 0 {
		lower.y, lower.h = lower.y+1, lower.h-1
	}
	table := tableNarrow
	if r.w >= 100 {
		table = tableWide
	}
	left := room{upper.x, upper.y, table, upper.h}
	m.drawPoints(p, left)
	right := room{upper.x + table + 2, upper.y, upper.w - table - 2, upper.h}
	if m.view.Answer != nil {
		m.drawPlot(p, right)
	} else {
		right.draw(p, "less line", false, textLines("a plot of what the reference says less what the line says, once there are points enough for a line", right.w-2, 6, faint), 0, 0, -1)
	}
	if low > 0 {
		lower.draw(p, "what the points say", false, lines, calibrateWide, m.from, -1)
	}
}

// textLines are a text as lines of a list.
func textLines(text string, w, most int, k ink) (lines []benchLine) {
	for _, t := range wrap(text, w, most) {
		lines = append(lines, benchLine{text: t, ink: k})
	}
	return lines
}

// drawHow says how it goes, as long as there is no point.
func (m *CalibrateScreen) drawHow(p *plate, r room) {
	var lines []benchLine
	for i, t := range []string{
		"with all load off leave the rig alone: the zero is taken by itself",
		"press the load up to the first value of the reference and hold it; once the reading stands still, type what the reference shows",
		"go on upward only, in five to ten steps over all that pulls will use; overshoot makes a falling point of a rising one",
		"come down again in the same steps, to no load at last: falling against rising shows the friction",
		"look at the residuals, drop what was read wrong, save",
	} {
		for j, l := range wrap(t, min(r.w, 110)-5, 2) {
			label := ""
			if j == 0 {
				label = fmt.Sprintf("%d", i+1)
			}
			lines = append(lines, benchLine{label: label, text: l, ink: plain})
		}
	}
	safe := "what stands in the load path is rated for the highest load and sits square; nobody under or beside a hanging weight"
	if m.view.Run.At == rig.AtGauge {
		safe = "the reference gauge shares the oil: gauge, hose and fittings rated for the highest pressure, air bled, no hand near them under pressure"
	}
	lines = append(lines, textLines("Guard up, nobody in line, as for a pull; "+safe+".", min(r.w, 110)-5, 3, caution)...)
	r.draw(p, "how it goes", false, lines, 3, 0, -1)
}
