package chart

import (
	"math"
	"slices"
	"time"
)

// Piece is what a trace lies between over a short time around At, in SI.
type Piece struct {
	At        time.Duration // the moment that all are laid by is 0
	Low, High float64
	Gap       bool // nothing joins it to the one before
}

// Trace is one of several over each other.
type Trace struct {
	Pieces  []Piece // in order of time
	Letter  rune    // one cell wide
	Pattern int     // of its dots, any number; MaxCurves of them differ
	Ink     int     // which of MaxCurves
	Peak    time.Duration
	HasPeak bool // the letter stands there too
}

// Over is one frame of traces over each other.
type Over struct {
	Traces      []Trace // the first MaxCurves are drawn
	Front       int     // index of the one in front of the others; −1: none
	From, To    time.Duration
	Bottom, Top float64
	Per         float64 // SI of one unit of display
	Unit        string
	Title       string
	// Cells has the patterns run by cells, for a terminal whose ASCII shows no dots.
	Cells bool
}

// patterns are the dots along a trace, in whole cells of two: what differs by less
// than a cell is the same in ASCII.
var patterns = [MaxCurves]string{
	"##",
	"######..",
	"##..",
	"########..##..",
	"##....",
	"##########....",
	"####....",
	"######..##..##..",
}

// pattern is one of them.
func pattern(n int) string { return patterns[((n%MaxCurves)+MaxCurves)%MaxCurves] }

// lit says whether the dot at a place along a trace is on.
func lit(p string, at int) bool { return p[at%len(p)] == '#' }

// Sample is a level trace of a pattern, w cells long.
func Sample(n, w int) string {
	p := pattern(n)
	out := make([]rune, max(0, w))
	for i := range out {
		out[i] = ' '
		if lit(p, 2*i) { // and so the dot beside it
			out[i] = 0x2800 | 0x04 | 0x20
		}
	}
	return string(out)
}

// DrawOver gives the h lines of a chart of traces over each other, w cells wide, none
// wider than w. A cell belongs to one trace alone, so that the patterns stay what they
// are: the one in front has it, then the first. Each has its letter on its own line,
// at its peak and at its end. Below MinWidth×MinHeight, and where there is nothing to
// scale by, the lines are empty.
func (c *Chart) DrawOver(w, h int, in Over, pal *Palette) []string {
	if h <= 0 {
		return nil
	}
	nothing := func() []string {
		clear(c.ends)
		return make([]string, h)
	}
	if w < MinWidth || h < MinHeight || in.To <= in.From || !finite(in.Bottom) || !finite(in.Top) ||
		!(in.Top > in.Bottom) || !(in.Per > 0) || !finite(in.Per) {
		return nothing()
	}
	ticks := ticksOf(in.Bottom, in.Top, h-1, in.Per, in.Unit)
	gutter := len([]rune(ticks.unit))
	for _, t := range ticks.list {
		gutter = max(gutter, len(t.text))
	}
	if w-gutter-2 < MinWidth/2 {
		return nothing()
	}
	shape := Input{From: in.From, To: in.To, Bottom: force(in.Bottom), Top: force(in.Top), Title: in.Title}
	f := frame{x0: gutter + 1, w: w - gutter - 2, h: h - 1, in: &shape, whole: true, bare: pal[Axis].On == ""}
	c.reset(w, h)
	traces := in.Traces[:min(len(in.Traces), MaxCurves)]
	front := in.Front
	if front < 0 || front >= len(traces) {
		front = -1
	}
	c.named = c.named[:0]
	for _, i := range inOrder(front, len(traces)) {
		ink := Curve + Ink(max(0, traces[i].Ink)%MaxCurves)
		if i == front {
			ink += Front - Curve
		}
		c.trace(&f, &traces[i])
		if in.Cells {
			c.byCells(&f, &traces[i])
		}
		c.give(&f, ink)
		c.letters(&f, &traces[i], ink)
	}
	c.axes(&f, ticks)
	c.moment(&f)
	c.title(&f)
	return c.view(pal)
}

// inOrder are the indices from the front to the back.
func inOrder(front, n int) []int {
	out := make([]int, 0, n)
	if front >= 0 {
		out = append(out, front)
	}
	for i := range n {
		if i != front {
			out = append(out, i)
		}
	}
	return out
}

// trace makes the dots of one trace.
func (c *Chart) trace(f *frame, t *Trace) {
	c.lay(f, t.Pieces)
	n := f.w * f.h
	if cap(c.mask) < n {
		c.mask, c.mine = make([]uint8, n), make([]bool, n)
	}
	c.mask, c.mine = c.mask[:n], c.mine[:n]
	clear(c.mask)
	clear(c.mine)
	set := func(x, y int) { c.mask[y/4*f.w+x/2] |= dotBit[x&1][y&3] }
	pass := func(x, y int) { c.mine[y/4*f.w+x/2] = true }
	p := pattern(t.Pattern)
	at, before := -1, 0
	for x, s := range c.cols {
		if s.empty() {
			at = -1
			continue
		}
		if at < 0 { // so that what is level lies in whole cells
			at = x & 1
		}
		top, bottom := f.dotY(s.hi), f.dotY(s.lo)
		if bottom-top <= 2 {
			for y := top; y <= bottom; y++ {
				pass(x, y)
				if lit(p, at) {
					set(x, y)
				}
			}
			at++
			before = top
			continue
		}
		// Steep, or a spike: along it, and both of its ends whatever the pattern says.
		set(x, top)
		set(x, bottom)
		from, step := top, 1
		if before-top > bottom-before {
			from, step = bottom, -1
		}
		for y := from; y >= top && y <= bottom; y += step {
			pass(x, y)
			if lit(p, at) {
				set(x, y)
			}
			at++
		}
		before = bottom
		if step < 0 {
			before = top
		}
	}
}

// byCells leaves of a trace whole cells, on and off by its pattern along it: from left
// to right, and in a column the way the trace went.
func (c *Chart) byCells(f *frame, t *Trace) {
	p, at, before := pattern(t.Pattern), 0, 0
	for x := range f.w {
		top, bottom := -1, -1
		for y := range f.h {
			if c.mine[y*f.w+x] {
				if top < 0 {
					top = y
				}
				bottom = y
			}
		}
		if top < 0 {
			continue
		}
		from, to, step := top, bottom, 1
		if bottom-before < before-top || bottom == before && top < bottom { // it rose
			from, to, step = bottom, top, -1
		}
		for y := from; ; y += step {
			if i := y*f.w + x; c.mine[i] {
				s := c.cols[2*x : 2*x+2]
				switch {
				case !lit(p, 2*at):
					if !peaks(f, s, y) {
						c.mask[i] = 0
					}
				case c.mask[i] == 0:
					c.mask[i] = 0x04 | 0x20
				}
				at++
			}
			if y == to {
				break
			}
		}
		before = to
	}
}

// peaks says that a spike ends in a row of cells: it is drawn whatever the pattern says.
func peaks(f *frame, cols []span, y int) bool {
	for _, s := range cols {
		if s.empty() {
			continue
		}
		top, bottom := f.dotY(s.hi), f.dotY(s.lo)
		if bottom-top > 8 && (top/4 == y || bottom/4 == y) {
			return true
		}
	}
	return false
}

// give gives a trace the cells that are still free.
func (c *Chart) give(f *frame, ink Ink) {
	for i, dots := range c.mask {
		if x, y := f.x0+i%f.w, i/f.w; c.mine[i] && c.free(x, y) {
			r := ' '
			if dots != 0 {
				r = 0x2800 | rune(dots)
			}
			c.set(x, y, r, ink)
		}
	}
}

// dotBit is the bit of a dot in a cell of braille, by its column and row.
var dotBit = [2][4]uint8{{0x01, 0x02, 0x04, 0x40}, {0x08, 0x10, 0x20, 0x80}}

// lay reduces a trace to one span a column of dots, every extreme kept.
func (c *Chart) lay(f *frame, all []Piece) {
	if cap(c.cols) < 2*f.w {
		c.cols = make([]span, 2*f.w)
	}
	c.cols = c.cols[:2*f.w]
	for i := range c.cols {
		c.cols[i] = span{math.Inf(1), math.Inf(-1)}
	}
	first, _ := slices.BinarySearchFunc(all, f.in.From, func(p Piece, t time.Duration) int { return int(min(max(p.At-t, -1), 1)) })
	prev, broken := -1, true
	for _, p := range all[first:] {
		broken = broken || p.Gap
		if !finite(p.Low) || !finite(p.High) || p.Low > p.High {
			continue
		}
		x, ok := f.dotX(p.At)
		if !ok {
			break
		}
		s := &c.cols[x]
		s.lo, s.hi = math.Min(s.lo, p.Low), math.Max(s.hi, p.High)
		if prev >= 0 && prev < x && !broken {
			c.join(prev, x)
		}
		prev, broken = x, false
	}
}

// moment marks what the traces are laid by: an upright line on the cells nothing
// else is in.
func (c *Chart) moment(f *frame) {
	dx, ok := f.dotX(0)
	if !ok {
		return
	}
	x := f.x0 + dx/2
	for y := range f.h {
		if c.free(x, y) || c.inks[y*c.w+x] == Axis {
			c.set(x, y, '┆', Axis)
		}
	}
}
