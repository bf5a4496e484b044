package report

import (
	"math"
	"strconv"
	"strings"
	"time"

	"draghand/internal/pull"
	"draghand/internal/si"
)

// Measures of the picture, in its own units.
const (
	figWide, figHigh      = 960.0, 470.0
	figLeft, figRight     = 78.0, 882.0
	figTop, figBottom     = 58.0, 410.0
	figLane               = 22.0 // where the letters stand
	letterApart           = 22.0
	limitRoom             = 1.6 // a limit up to so many times the largest force is drawn
	figColumns            = 804 // one a unit of width
	mostLetters           = 12
	labelHigh, blindLeast = 15.0, 2.0
)

// figure is the force over time, worked out and ready to be drawn.
type figure struct {
	From, To     time.Duration
	Whole        bool // the picture is of the whole record
	Lines        []string
	Blind        []span
	X, Y, Stress []label
	Limits       []line
	Far          []string // limits that lie above the picture, with their force
	Marks        []mark
	Thing        string // what is pulled, or pressed
	ForceUnit    string
	StressUnit   string // empty: no section
	Simulated    bool
	Described    string // in words, for who cannot see it

	low, high float64 // N
	columns   []column
}

type (
	span  struct{ From, Wide float64 }
	label struct {
		At   float64
		Text string
	}
	line struct {
		At, TextAt float64
		Text       string
		Kind       string // "limit", "minimum" or "target"
		force      float64
	}
	// mark is a moment with its letter: where it is, and what.
	mark struct {
		Letter, What, When, Force, Stress string
		X, Y, LetterX                     float64
		Kind                              string
		t                                 time.Duration
		f                                 float64
		Flat                              bool // no force of its own: a moment only
	}
)

// figure works the picture out; nil where there is nothing to draw.
func (f *facts) figure() *figure {
	if f.trace.seen == 0 {
		return nil
	}
	g := &figure{Simulated: f.head.Specimen.Simulated, Thing: thing(f.head.Kind)}
	g.From, g.To = f.window()
	g.Whole = g.From == 0 && g.To >= f.trace.end
	low, high, ok := f.trace.extremes(g.From, g.To)
	if !ok {
		g.From, g.To, g.Whole = 0, max(f.trace.end, time.Millisecond), true
		low, high, ok = f.trace.extremes(g.From, g.To)
	}
	if !ok {
		return nil
	}
	g.columns = f.trace.columns(g.From, g.To, figColumns)
	f.levels(g, low, high)
	x := scale{g.From.Seconds(), g.To.Seconds(), figLeft, figRight}
	y := scale{g.low, g.high, figBottom, figTop}
	g.draw(x, y)
	f.axes(g, x, y)
	g.spread(y)
	f.marks(g, x, y)
	g.Described = f.described(g)
	return g
}

// window is the span of time that is drawn: all of it, or what lies around the
// load where that is less than half.
func (f *facts) window() (from, to time.Duration) {
	end := max(f.trace.end, time.Millisecond)
	s := &f.state
	if s.LoadedAt == 0 {
		return 0, end
	}
	last := max(s.Peak.T, s.PeakRaw.T)
	if s.Break != nil {
		last = max(last, s.Break.T+s.Break.Fall)
	}
	if s.Hold != nil {
		last = max(last, s.Hold.From+s.Hold.For)
	}
	if s.Outcome != pull.Broken && s.Outcome != pull.Faded {
		last = end // it went on to the end
	}
	room := max((last-s.LoadedAt)/5, 2*time.Second)
	from, to = max(0, s.LoadedAt-room), min(end, last+room)
	if to <= from || to-from > end/2 {
		return 0, end
	}
	return from, to
}

// levels are the forces of the limits, and how high the picture reaches.
func (f *facts) levels(g *figure, low, high float64) {
	g.low, g.high = min(0, low), max(high, 1)
	area, sys := f.head.Specimen.Area(), f.opt.Units
	var all []line
	add := func(force float64, kind, text string) {
		if force > 0 && force-force == 0 {
			all = append(all, line{Kind: kind, Text: text, force: force})
		}
	}
	for _, l := range f.state.Limits {
		add(float64(l.AtForce), "limit", tidy(l.Name)+" "+l.AtForce.Text(sys))
	}
	if m := f.head.Measured(); m != nil && m.Minimum > 0 && area > 0 {
		add(float64(m.Minimum)*float64(area), "minimum", "minimum "+m.Minimum.Text(sys))
	}
	if p := f.head.Proof; p != nil && f.head.Kind == pull.Proof {
		add(float64(p.Target), "target", "asked to hold "+p.Target.Text(sys))
	}
	top := g.high
	for _, l := range all {
		if f.started && l.force <= limitRoom*top {
			g.Limits = append(g.Limits, l)
			g.high = max(g.high, l.force)
		} else if l.Kind == "limit" {
			g.Far = append(g.Far, l.Text)
		}
	}
	room := 0.05 * (g.high - g.low)
	g.high += room
	if g.low < 0 {
		g.low -= room
	}
}

// draw makes the lines of the force: up and down through both extremes of each
// column, so that a single reading shows. Where the force was out of sight the
// line ends and goes on after it.
func (g *figure) draw(x, y scale) {
	var b strings.Builder
	end := func() {
		if b.Len() > 0 {
			g.Lines = append(g.Lines, b.String())
			b.Reset()
		}
	}
	wide := (x.to - x.from) / float64(len(g.columns))
	last := math.NaN()
	dark := false
	for i, c := range g.columns {
		at := x.from + (float64(i)+0.5)*wide
		if c.blind {
			if n := len(g.Blind); dark && n > 0 {
				g.Blind[n-1].Wide = at + wide/2 - g.Blind[n-1].From
			} else {
				g.Blind = append(g.Blind, span{at - wide/2, max(wide, blindLeast)})
			}
			if c.empty() {
				end()
			}
		}
		dark = c.blind
		if c.empty() {
			continue
		}
		first, second := y.at(float64(c.low)), y.at(float64(c.high))
		if math.Abs(second-last) < math.Abs(first-last) {
			first, second = second, first
		}
		for k, v := range []float64{first, second} {
			if k == 1 && math.Abs(second-first) < 0.05 {
				continue
			}
			b.WriteByte("ML"[min(1, b.Len())])
			b.WriteString(strconv.FormatFloat(at, 'f', 1, 64))
			b.WriteByte(' ')
			b.WriteString(strconv.FormatFloat(v, 'f', 1, 64))
		}
		last = second
	}
	end()
}

// axes are the labels of time, force and stress.
func (f *facts) axes(g *figure, x, y scale) {
	for _, t := range ticks(x.low, x.high, 9) {
		g.X = append(g.X, label{x.at(t.Value), t.Text})
	}
	per := si.Force(1).In(f.opt.Units).Value
	g.ForceUnit = si.Force(1).In(f.opt.Units).Unit
	for _, t := range ticks(g.low*per, g.high*per, 7) {
		g.Y = append(g.Y, label{y.at(t.Value / per), t.Text})
	}
	if area := float64(f.head.Specimen.Area()); area > 0 {
		g.StressUnit = si.Stress(1).In(f.opt.Units).Unit
		per := si.Stress(1).In(f.opt.Units).Value / area
		for _, t := range ticks(g.low*per, g.high*per, 7) {
			g.Stress = append(g.Stress, label{y.at(t.Value / per), t.Text})
		}
	}
}

// spread puts the words of the limit lines where they do not lie on one another:
// from the lowest up, each at its line or above the one below.
func (g *figure) spread(y scale) {
	for i := range g.Limits {
		for j := i; j > 0 && g.Limits[j].force < g.Limits[j-1].force; j-- {
			g.Limits[j], g.Limits[j-1] = g.Limits[j-1], g.Limits[j]
		}
	}
	below := math.Inf(1)
	for i := range g.Limits {
		l := &g.Limits[i]
		l.At = y.at(l.force)
		l.TextAt = min(l.At-4, below-labelHigh)
		below = l.TextAt
	}
}

// described is the picture in a sentence.
func (f *facts) described(g *figure) string {
	var text strings.Builder
	text.WriteString("Force on the " + thing(f.head.Kind) + " against time, " + seconds(g.From) + " to " + seconds(g.To) + ", 0 to " + si.Force(g.high).Text(f.opt.Units) + ".")
	for _, m := range g.Marks {
		text.WriteString(" " + m.Letter + ": " + m.What + " at " + m.When)
		if m.Force != "" {
			text.WriteString(", " + m.Force)
		}
		text.WriteString(".")
	}
	for _, l := range g.Limits {
		text.WriteString(" Line: " + l.Text + ".")
	}
	return text.String()
}
