package tui

import (
	"math"

	"draghand/internal/control"
	"draghand/internal/shelf"
	"draghand/internal/si"
)

// checkReach is how many s off the mean the chart shows at the most: one wild bar is
// not to press the others into a line.
const checkReach = 9

// checkPlot is where the chart lies and how values and bars fall on it.
type checkPlot struct {
	room
	low, high float64 // strengths of the lowest and the highest row
	from      int     // first bar shown
	each      int     // cells from bar to bar
}

// checkAxis is the room of the strengths to the right of the chart.
const checkAxis = 16

// newCheckPlot lays the newest bars that fit, the chosen one among them, into a room.
func newCheckPlot(c *control.Chart, r room, bar int) checkPlot {
	n := len(c.Points)
	p := checkPlot{room: r, each: max(1, min(12, r.w/max(1, n)))}
	fits := max(1, r.w/p.each)
	p.from = max(0, min(n-fits, bar))
	p.low, p.high = math.Inf(1), math.Inf(-1)
	take := func(v float64) { p.low, p.high = min(p.low, v), max(p.high, v) }
	shown := c.Shown()
	for i := p.from; i < min(n, p.from+fits); i++ {
		j := &c.Points[i]
		v := j.Value
		if j.By.Known() {
			take(j.By.Low())
			take(j.By.High())
			v = max(j.By.Mean-checkReach*j.By.SD, min(v, j.By.Mean+checkReach*j.By.SD))
		}
		take(v)
	}
	if shown.Known() {
		take(shown.Low())
		take(shown.High())
	}
	if span := p.high - p.low; span > 0 {
		p.low, p.high = p.low-span/16, p.high+span/16
	} else {
		p.low, p.high = p.low*0.99, p.high*1.01
	}
	return p
}

// column is where a bar is drawn, in the middle of its cells.
func (p *checkPlot) column(i int) int { return p.x + (i-p.from)*p.each + p.each/2 }

// row is where a strength is drawn; out is -1 or 1 where it lies under or over the
// chart, and the row is then the last one.
func (p *checkPlot) row(v float64) (y, out int) {
	f := (p.high - v) / (p.high - p.low)
	y = int(math.Round(f * float64(p.h-1)))
	switch {
	case y < 0:
		return p.y, 1
	case y > p.h-1:
		return p.y + p.h - 1, -1
	}
	return p.y + y, 0
}

// draw draws the chart: lines first, then changes, then bars.
func (p *checkPlot) draw(to *plate, s *shelf.Stock, bar int, u si.System) {
	points := s.Chart.Points
	last := min(len(points), p.from+max(1, p.w/p.each))
	for i := p.from; i < last; i++ {
		j := &points[i]
		if !j.By.Known() {
			continue
		}
		for _, l := range []struct {
			v float64
			r rune
			k ink
		}{{j.By.Mean, '┈', faint}, {j.By.Low(), '─', caution}, {j.By.High(), '─', caution}} {
			if y, out := p.row(l.v); out == 0 {
				for x := p.x + (i-p.from)*p.each; x < p.x+(i-p.from+1)*p.each; x++ {
					to.set(x, y, l.r, l.k)
				}
			}
		}
	}
	for i := p.from; i < last; i++ {
		if j := &points[i]; j.Change != "" && j.Stretch > 0 {
			p.change(to, i, clean(j.Change))
		}
	}
	for i := p.from; i < last; i++ {
		p.bar(to, i, &points[i])
		if i == bar {
			to.set(p.column(i), p.y+p.h, '▴', strong)
		}
	}
	p.axis(to, p.x+(last-p.from)*p.each+1, s.Chart.Shown(), u)
}

// bar draws the sign of one bar, never on the line of a limit that it is beyond and
// apart from a line that it lies on.
func (p *checkPlot) bar(to *plate, i int, j *control.Judged) {
	r, k := checkSign(j)
	y, out := p.row(j.Value)
	switch {
	case out > 0:
		r = '▲'
	case out < 0:
		r = '▼'
	case !j.By.Known():
	case j.Value > j.By.High():
		if line, off := p.row(j.By.High()); off == 0 && y >= line {
			y = max(p.y, line-1)
		}
	case j.Value < j.By.Low():
		if line, off := p.row(j.By.Low()); off == 0 && y <= line {
			y = min(p.y+p.h-1, line+1)
		}
	}
	x := p.column(i)
	if j.By.Known() && p.each >= 3 {
		to.set(x-1, y, ' ', plain)
		to.set(x+1, y, ' ', plain)
	}
	to.set(x, y, r, k)
}

// change draws the line before the bar where the rig was changed, and what of it
// beside its top.
func (p *checkPlot) change(to *plate, i int, what string) {
	x := p.x + (i-p.from)*p.each
	if i == p.from || p.each == 1 { // it would hide the bar: beside it
		x = max(p.x, x-1)
	}
	for y := p.y; y < p.y+p.h; y++ {
		to.set(x, y, '│', strong)
	}
	to.text(x+2, p.y, p.x+p.w-x-2, what, strong)
}

// checkSign is how a bar is drawn.
func checkSign(j *control.Judged) (rune, ink) {
	switch {
	case j.State.Out() || j.AcrossBeyond():
		return '◆', stop
	case j.State == control.In:
		return '●', good
	}
	return '+', plain
}

// axis writes mean and limits from column x on, right after the newest bar: those by
// which it was judged. Without limits it writes the ends of the chart. What would fall
// on a row taken stays away.
func (p *checkPlot) axis(to *plate, x int, l control.Limits, u si.System) {
	taken := map[int]bool{}
	say := func(what string, v float64, k ink) {
		y, out := p.row(v)
		if out != 0 || taken[y] {
			return
		}
		taken[y] = true
		to.text(x, y, checkAxis-1, what+si.Stress(v).Text(u), k)
	}
	if l.Known() {
		say("mean   ", l.Mean, faint)
		say("+3 SD  ", l.High(), caution)
		say("-3 SD  ", l.Low(), caution)
		return
	}
	say("", p.high, faint)
	say("", p.low, faint)
}
