package report

import (
	"fmt"
	"math"

	"draghand/internal/batch"
	"draghand/internal/compare"
	"draghand/internal/si"
)

// Measures of a probability plot, in its own units.
const (
	probLeft, probRight = 58.0, 455.0
	probTop, probBottom = 16.0, 318.0
	probNames           = 12 // bars up to so many have their names at their spots
	probLeastPoints     = 3
)

// probFigure is a probability plot: on its scale the distribution is a straight line.
type probFigure struct {
	Kind      string // "Normal" or "Weibull"
	ID        string
	X, Y      []label
	Spots     []spot
	Line      string // path; empty: none
	Unit      string
	Simulated bool
	Described string
	Caption   string
}

// spot is a bar on it.
type spot struct {
	X, Y    float64
	Name    string // empty: not written
	NameX   float64
	Anchor  string
	Flagged bool
}

// probAxes are how values and shares become places.
type probAxes struct {
	x, y  scale
	value func(float64) float64 // of a strength on the x axis
	score func(float64) float64 // of a share on the y axis
}

func (f *batchFacts) normalPlot(g *compare.Group) *probFigure {
	if g.Alike || len(g.NormalPlot) < probLeastPoints {
		return nil
	}
	a := axesOf(g.NormalPlot, func(v float64) float64 { return v }, batch.NormalScore)
	p := f.probPlot(g, g.NormalPlot, a, "Normal")
	s := &g.Strength
	p.Line = lineOf(a, s.SD, s.Mean)
	p.Caption = fmt.Sprintf("Line: normal, mean %s, SD %s.", si.Stress(s.Mean).Text(f.opt.Units), finer(s.SD, f.opt.Units))
	return p
}

func (f *batchFacts) weibullPlot(g *compare.Group) *probFigure {
	if g.Alike || len(g.Plot) < probLeastPoints {
		return nil
	}
	a := axesOf(g.Plot, math.Log, batch.WeibullScore)
	p := f.probPlot(g, g.Plot, a, "Weibull")
	p.Caption = "No Weibull distribution could be fitted."
	if w := g.Weibull; w != nil {
		p.Line = lineOf(a, 1/w.Shape, math.Log(w.Scale))
		p.Caption = fmt.Sprintf("Line: Weibull, m %s, scale %s.", compare.DigitsText(w.Shape), si.Stress(w.Scale).Text(f.opt.Units))
	}
	if n := len(g.Censored); n > 0 {
		p.Caption += fmt.Sprintf(" %d that bore at least so much have no spot.", n)
	}
	return p
}

// axesOf are axes that have room for all that is plotted.
func axesOf(all []batch.Plotted, value, score func(float64) float64) probAxes {
	lowX, highX := math.Inf(1), math.Inf(-1)
	lowY, highY := math.Inf(1), math.Inf(-1)
	for _, p := range all {
		lowX, highX = min(lowX, value(p.Value)), max(highX, value(p.Value))
		lowY, highY = min(lowY, score(p.Position)), max(highY, score(p.Position))
	}
	roomX, roomY := 0.12*(highX-lowX), 0.08*(highY-lowY)
	if roomX == 0 {
		roomX = 0.01*math.Abs(highX) + 1e-9
	}
	return probAxes{
		x: scale{lowX - roomX, highX + roomX, probLeft, probRight}, y: scale{lowY - roomY, highY + roomY, probBottom, probTop},
		value: value, score: score,
	}
}

// probPlot is the plot without its line.
func (f *batchFacts) probPlot(g *compare.Group, all []batch.Plotted, a probAxes, kind string) *probFigure {
	sys := f.opt.Units
	sim, _ := g.Simulated()
	p := &probFigure{Kind: kind, Unit: si.Stress(0).In(sys).Unit, Simulated: sim > 0}
	per := si.Stress(1).In(sys).Value
	low, high := all[0].Value, all[0].Value
	for _, q := range all {
		low, high = min(low, q.Value), max(high, q.Value)
	}
	span := 0.12 * (high - low)
	for _, t := range ticks((low-span)*per, (high+span)*per, 5) {
		if v := t.Value / per; v > 0 && a.value(v) >= a.x.low && a.value(v) <= a.x.high {
			p.X = append(p.X, label{a.x.at(a.value(v)), t.Text})
		}
	}
	for _, share := range []float64{0.001, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.3, 0.5, 0.7, 0.8, 0.9, 0.95, 0.98, 0.99, 0.995, 0.999} {
		s := a.score(share)
		if s < a.y.low || s > a.y.high {
			continue
		}
		at := a.y.at(s)
		if n := len(p.Y); n > 0 && p.Y[n-1].At-at < 16 {
			continue
		}
		p.Y = append(p.Y, label{at, si.Number(100*share, map[bool]int{true: 1}[share < 0.01 || share > 0.99])})
	}
	for i, q := range all {
		s := spot{X: a.x.at(a.value(q.Value)), Y: a.y.at(a.score(q.Position)), Anchor: "start"}
		s.Flagged = g.Outlier != nil && g.Outlier.Flagged && g.Outlier.Index == q.Index
		if q.Index < len(g.Pulls) && (len(all) <= probNames || i == 0 || i == len(all)-1 || s.Flagged) {
			s.Name, s.NameX = shortName(g.Pulls[q.Index].Bar, 12), s.X+8
			if s.X > (probLeft+probRight)/2 {
				s.NameX, s.Anchor = s.X-8, "end"
			}
		}
		p.Spots = append(p.Spots, s)
	}
	p.Described = fmt.Sprintf("%s probability plot of %d bars of %s. %s", kind, len(all), tidy(g.Name), tidy(g.Headline(sys)))
	return p
}

// lineOf is the straight line value = slope · score + at through a plot, cut at its
// frame.
func lineOf(a probAxes, slope, at float64) string {
	if !(slope > 0) || math.IsInf(slope, 0) || math.IsNaN(at) || math.IsInf(at, 0) {
		return ""
	}
	from, to := a.y.low, a.y.high
	from, to = max(from, (a.x.low-at)/slope), min(to, (a.x.high-at)/slope)
	if !(from < to) {
		return ""
	}
	return fmt.Sprintf("M%.1f %.1f L%.1f %.1f", a.x.at(slope*from+at), a.y.at(from), a.x.at(slope*to+at), a.y.at(to))
}
