package tui

import (
	"math"

	"draghand/internal/batch"
	"draghand/internal/compare"
	"draghand/internal/si"
)

// spreadPlot is how one group's bars spread against the straight line of a law.
type spreadPlot struct {
	room
	s         strengthScale
	low, high float64 // scores at the lowest and the highest row
	score     func(p float64) float64
	fit       func(v float64) float64 // score of a strength by the law; nil: none was fitted
}

// spreadFractions are the fractions of bars that may stand beside the plot, the same to
// both sides of the middle.
var spreadFractions = [...][]float64{{0.5}, {0.10, 0.50, 0.90}, {0.20, 0.50, 0.80}, {0.05, 0.20, 0.50, 0.80, 0.95}, {0.01, 0.05, 0.20, 0.50, 0.80, 0.95, 0.99}}

// spreadAxis is the room of the fractions.
const spreadAxis = 6

// row is the row of a score; ok is false where it lies off the plot.
func (s *spreadPlot) row(v float64) (y int, ok bool) {
	f := (s.high - v) / (s.high - s.low)
	if !(f >= 0 && f <= 1) {
		return s.y, false
	}
	return s.y + int(math.Round(f*float64(s.h-1))), true
}

// spreads says whether the plot is that of Weibull, and gives the places of the bars.
func (m *CompareScreen) spreads(g *compare.Group) (weibull bool, places []batch.Plotted) {
	if m.plot == plotWeibull {
		return true, g.Plot
	}
	return false, g.NormalPlot
}

// drawSpread draws the bars of the group by rank, with the line of the law that they
// are held against. both: the dots are in sight too.
func (m *CompareScreen) drawSpread(p *plate, r room, g *compare.Group, both bool) {
	weibull, places := m.spreads(g)
	title, other := "spread of "+m.groupName(g)+", bell curve", " p: Weibull"
	if weibull {
		title, other = "spread of "+m.groupName(g)+", Weibull", " p: bell curve"
	}
	if !both {
		other = " p: another"
	}
	r.heading(p, title, false, other)
	plot, ok := m.spreadOf(g, r, weibull, places)
	if !ok {
		p.text(r.x+2, r.y+1, r.w-2, "too few bars to say how they spread", faint)
		return
	}
	plot.drawAxis(p)
	plot.drawLine(p)
	apart, off, far := flagged(g), "", ""
	end := plot.y + plot.h // what bore at least so much has a row of its own, outside
	for i := range g.Censored {
		x, ok := plot.s.col(float64(g.Censored[i].AtLeast))
		if !ok {
			far = "‹ off scale"
			p.set(x, end, '‹', live)
			continue
		}
		off = "> bore at least, not by rank"
		p.set(x, end, '>', live)
	}
	if len(g.Censored) > 0 {
		end++
	}
	told := ""
	for _, last := range []bool{false, true} { // the one apart over the others
		for i := range places {
			d := &places[i]
			x, in := plot.s.col(d.Value)
			y, on := plot.row(plot.score(d.Position))
			if !in || !on || last != (d.Index == apart) {
				continue
			}
			if last {
				told = "◆ apart"
				p.set(x, y, '◆', stop)
				continue
			}
			p.set(x, y, '●', good)
		}
	}
	plot.s.draw(p, end, m.units)
	line := "⠤ the law"
	if plot.fit == nil {
		line = ""
	}
	p.text(r.x, end+1, r.w, legend(r.w, "● bar", line, told, off, far, "left: % that are weaker"), faint)
}

// spreadOf lays the plot out; ok is false where there is nothing to lay out.
func (m *CompareScreen) spreadOf(g *compare.Group, r room, weibull bool, places []batch.Plotted) (spreadPlot, bool) {
	plot := spreadPlot{room: room{r.x + spreadAxis, r.y + 1, r.w - spreadAxis, r.h - 3}, score: batch.NormalScore}
	if len(g.Censored) > 0 {
		plot.h--
	}
	if weibull {
		plot.score = batch.WeibullScore
	}
	plot.s = newStrengthScale(plot.x, plot.w, weibull)
	plot.low, plot.high = math.Inf(1), math.Inf(-1)
	for i := range places {
		plot.s.take(places[i].Value)
		if v := plot.score(places[i].Position); finite(v) {
			plot.low, plot.high = min(plot.low, v), max(plot.high, v)
		}
	}
	span := plot.s.high - plot.s.low
	for i := range g.Censored {
		plot.s.take(max(float64(g.Censored[i].AtLeast), plot.s.high-2*span))
	}
	if len(places) < 3 || plot.h < 3 || plot.w < 8 || !plot.s.settle() || !(plot.high > plot.low) {
		return plot, false
	}
	air := (plot.high - plot.low) / 10
	plot.low, plot.high = plot.low-air, plot.high+air
	switch f := g.Weibull; {
	case weibull && f != nil && f.Shape > 0 && f.Scale > 0:
		plot.fit = func(v float64) float64 { return f.Shape * (math.Log(v) - math.Log(f.Scale)) }
	case !weibull && g.Strength.SD > 0:
		plot.fit = func(v float64) float64 { return (v - g.Strength.Mean) / g.Strength.SD }
	}
	return plot, true
}

// drawAxis draws the fractions of bars, as many as there are rows for.
func (s *spreadPlot) drawAxis(p *plate) {
	for y := s.y; y < s.y+s.h; y++ {
		p.set(s.x-1, y, '▏', faint)
	}
	for _, f := range s.fractions() {
		y, _ := s.row(s.score(f))
		p.right(s.x-1, y, spreadAxis-1, si.Number(100*f, 0)+" %", faint)
	}
}

// fractions are those of spreadFractions with the most that lie in sight: each with the
// one it is to the other side of the middle, and no two in rows beside each other.
func (s *spreadPlot) fractions() (out []float64) {
	for _, all := range spreadFractions {
		var fit []float64
		last := math.MinInt32
		for i, f := range all {
			y, ok := s.row(s.score(f))
			if _, both := s.row(s.score(all[len(all)-1-i])); !ok || !both {
				continue
			}
			if last != math.MinInt32 && last-y < 2 {
				fit = nil
				break
			}
			fit, last = append(fit, f), y
		}
		if len(fit) > len(out) {
			out = fit
		}
	}
	return out
}

// drawLine draws the law as a line of dots, two to a cell across and four down.
func (s *spreadPlot) drawLine(p *plate) {
	if s.fit == nil {
		return
	}
	bits := [4][2]rune{{0x01, 0x08}, {0x02, 0x10}, {0x04, 0x20}, {0x40, 0x80}}
	cells := map[[2]int]rune{}
	for i := range 2 * s.w {
		v := s.s.at((float64(i)/2 - 0.25) / float64(s.w-1))
		f := (s.high - s.fit(v)) / (s.high - s.low)
		row := int(math.Round((f*float64(s.h-1) + 0.5) * 4)) // in quarters of a cell
		if !finite(f) || row < 0 || row >= 4*s.h {
			continue
		}
		cells[[2]int{s.x + i/2, s.y + row/4}] |= bits[row%4][i%2]
	}
	for at, dots := range cells {
		p.set(at[0], at[1], 0x2800+dots, faint)
	}
}
