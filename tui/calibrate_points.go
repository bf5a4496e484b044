package tui

import (
	"fmt"
	"math"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/calib"
)

// The marks of the points, by the way the load went.
const (
	risingMark  = '▲'
	fallingMark = '▼'
	badMark     = '!'
)

func directionText(d calib.Direction) string {
	if d == calib.Falling {
		return string(fallingMark) + " falling"
	}
	return string(risingMark) + " rising"
}

// pointsTitle is how many points there are, each way.
func (m *CalibrateScreen) pointsTitle() string {
	n, down := len(m.view.Run.Points), m.fallingCount()
	return fmt.Sprintf("%s: %d rising, %d falling", counted(int64(n), "point", "points"), n-down, down)
}

// pointsBrief is the same in fewer words.
func (m *CalibrateScreen) pointsBrief() string {
	n, down := len(m.view.Run.Points), m.fallingCount()
	if down == 0 {
		return fmt.Sprintf("%s: %d rising", counted(int64(n), "point", "points"), n)
	}
	return fmt.Sprintf("%s, %d falling", counted(int64(n), "point", "points"), down)
}

// The room of the points: the least, and with a word of the one that does not fit.
const tableNarrow, tableWide = 45, 65

// drawPoints draws the points below the names of their columns.
func (m *CalibrateScreen) drawPoints(p *plate, r room) {
	gauge := m.view.Live.In(m.view.Units)
	unit := m.refer(0).Unit
	if u := m.typedUnit(); u != "" {
		unit = u
	}
	lines, focus := m.pointLines(r.w >= tableWide)
	list := room{r.x, r.y + 1, r.w, r.h - 1}
	title, more := m.pointsTitle(), list.list(p, lines, 0, 0, focus)
	if ansi.StringWidth(title)+ansi.StringWidth(more)+4 > r.w {
		title = m.pointsBrief()
	}
	r.heading(p, title, false, more)
	names := pad("", 13) + padLeft("ref. "+clean(unit), 9) + padLeft("read "+gauge.Unit, 10) + padLeft("less line", 11)
	if n := len(m.view.Run.Points); n > 0 && m.view.Run.Points[n-1].Run > 1 && r.w >= tableWide {
		names += padLeft("round", 6)
	}
	p.text(r.x+2, r.y+1, r.w-2, names, faint)
}

// pointLines are the points, and the one keys are about; wide ones say which round they
// are of, from the second on.
func (m *CalibrateScreen) pointLines(wide bool) (lines []benchLine, focus int) {
	v := m.view
	bad, typed := m.suspect(), m.typedUnit() != ""
	for i := range v.Run.Points {
		pt := &v.Run.Points[i]
		g := pt.Gauge.In(v.Units)
		g.Decimals++
		resid := "–"
		if a := v.Answer; a != nil && i < len(a.Residuals) {
			resid = m.residualText(a.Residuals[i].Residual)
		}
		ref := m.refer(pt.Reference).Number()
		if typed {
			t, _ := pt.Typed(v.Run.At)
			ref = clean(t.Number)
		}
		mark := " "
		if i == bad {
			mark = string(badMark)
		}
		line := benchLine{ink: plain, text: padLeft(fmt.Sprintf("%d", i+1), 2) + mark + pad(directionText(pt.Direction), 10) +
			padLeft(ref, 9) + padLeft(g.Number(), 10) + padLeft(resid, 11)}
		word := ""
		if i == bad {
			line.ink, word = warning, "does not fit" // below it is said in any case
		}
		if wide {
			run := ""
			if pt.Run > 1 {
				run = fmt.Sprintf("%d", pt.Run)
			}
			line.text += padLeft(run, 6) + " " + word
		}
		if i == m.marked {
			line.mark, focus = true, len(lines)
			if line.ink == plain {
				line.ink = strong
			}
		}
		lines = append(lines, line)
	}
	return lines, focus
}

// typedUnit is the unit all points were typed in; empty: they were not, or in several,
// and the table has them in that of display.
func (m *CalibrateScreen) typedUnit() (unit string) {
	for i := range m.view.Run.Points {
		t, ok := m.view.Run.Points[i].Typed(m.view.Run.At)
		if !ok || i > 0 && t.Unit != unit {
			return ""
		}
		unit = t.Unit
	}
	return unit
}

// residualText is a residual with its sign, to two figures of the largest that is
// not the falling ones'.
func (m *CalibrateScreen) residualText(r float64) string {
	one := m.refer(1)
	decimals := one.Decimals
	if most := m.largestRising() * math.Abs(one.Value); most > 0 {
		decimals = max(decimals, min(figuresOf(most), decimals+2))
	}
	return signed(r*one.Value, decimals)
}

// largestRising is the largest residual of a rising point, in Pa or N.
func (m *CalibrateScreen) largestRising() (most float64) {
	a := m.view.Answer
	if a == nil {
		return 0
	}
	for i := range m.view.Run.Points {
		if m.view.Run.Points[i].Direction != calib.Falling && i < len(a.Residuals) {
			most = math.Max(most, math.Abs(a.Residuals[i].Residual))
		}
	}
	return most
}

// pad and padLeft fill a text up to w cells, or cut it.
func pad(s string, w int) string { return cut(s, w) + blanks(w-ansi.StringWidth(s)) }

func padLeft(s string, w int) string { return blanks(w-ansi.StringWidth(s)) + cut(s, w) }

func blanks(n int) string { return strings.Repeat(" ", max(0, n)) }
