// Package chart draws force against time in braille dots: eight dots a cell,
// two wide and four high, so that a short spike and a sudden fall both show.
//
// The dots and the cells are those of ntcharts, which only canvas.go imports;
// everything that decides what is drawn is here. The library hangs on NaN and
// on points far outside its range, panics on sizes near zero and takes 3 ms to
// print a frame, so a frame is clipped first and printed by our own view.
package chart

import (
	"math"
	"time"

	"draghand/internal/si"
	"draghand/internal/watch"
)

// An Ink names what a cell belongs to; the Palette says how it looks.
type Ink uint8

// The inks of a chart.
const (
	Blank Ink = iota
	Axis
	Force
	Hand
	Caution
	Warning
	Stop
	Break
	Later // the force behind Now
	Now
	Curve // the first of MaxCurves, of as many traces over each other
)

// Of traces over each other the one in front has an ink of its own.
const (
	MaxCurves     = 8
	Front     Ink = Curve + MaxCurves // the first of MaxCurves
	inks          = Front + MaxCurves
)

// Style is the pair of escape sequences around a run of one ink; both are empty
// on a terminal without colour.
type Style struct{ On, Off string }

// Palette gives each ink its style.
type Palette [inks]Style

// Level is a horizontal line across the chart.
type Level struct {
	At   si.Force
	Name string // "stop link bar"; characters wider than a cell are replaced
	Ink  Ink
}

// Input is one frame.
type Input struct {
	Trace       *watch.Trace
	From, To    time.Duration // window; nothing is drawn unless To > From
	Bottom, Top si.Force      // range; nothing is drawn unless Top > Bottom
	Levels      []Level
	Hand        si.Force // the drag hand, latched at HandT
	HandT       time.Duration
	HasHand     bool
	Break       time.Duration
	HasBreak    bool
	Low, High   si.Force // of the expected break, a band at the right edge; High 0: none
	Title       string   // which time this is, in words
	Now         time.Duration
	HasNow      bool // a saved pull is looked at, and Now is where; what is behind it is drawn Later
	Units       si.System
}

// MinWidth and MinHeight are the least size a chart says anything at.
const (
	MinWidth  = 20
	MinHeight = 5
)

// joinGap is the longest time without a reading the line is drawn across. It
// is the time after which the engine says that it cannot see the force.
const joinGap = 500 * time.Millisecond

// Chart keeps the memory of the last frame for the next one. The zero value is
// ready; it is not safe for use by two goroutines.
type Chart struct {
	plate
	cols  []span
	order []int    // levels from the lowest up
	names []string // of the levels in one row
	mask  []uint8  // the dots of one trace of several, a byte a cell
	mine  []bool   // the cells it goes through, its gaps included
	named []int    // cells with a letter
}

// span is what one column of dots shows, in newtons; empty when lo > hi.
type span struct{ lo, hi float64 }

func (s span) empty() bool { return s.lo > s.hi }

// Draw gives the h lines of a chart w cells wide, none wider than w. Below
// MinWidth×MinHeight, and where there is nothing to scale by, they are empty.
func (c *Chart) Draw(w, h int, in Input, pal *Palette) []string {
	if h <= 0 {
		return nil
	}
	if w < MinWidth || h < MinHeight || in.To <= in.From ||
		!finite(float64(in.Bottom)) || !finite(float64(in.Top)) || !(in.Top > in.Bottom) {
		clear(c.ends)
		return make([]string, h)
	}
	ticks := forceTicks(in.Bottom, in.Top, h-1, in.Units)
	gutter := len(ticks.unit)
	for _, t := range ticks.list {
		gutter = max(gutter, len(t.text))
	}
	if w-gutter-2 < MinWidth/2 {
		clear(c.ends)
		return make([]string, h)
	}
	f := frame{x0: gutter + 1, w: w - gutter - 2, h: h - 1, in: &in}
	c.reset(w, h)
	c.spans(&f)
	c.dots(&f)
	c.axes(&f, ticks)
	c.levels(&f)
	c.breakMark(&f)
	c.now(&f)
	c.band(&f)
	c.hand(&f)
	c.title(&f)
	return c.view(pal)
}

// frame is where the plot lies on the plate: w×h cells from column x0, row 0.
type frame struct {
	x0, w, h int
	in       *Input
	whole    bool // a time that would be cut is not written
	bare     bool // without a grid: nothing would tell its dots from those of a trace
}

// dotX is the column of dots of a time; false outside the window.
func (f *frame) dotX(t time.Duration) (int, bool) {
	if t < f.in.From || t >= f.in.To {
		return 0, false
	}
	x := int(float64(t-f.in.From) / float64(f.in.To-f.in.From) * float64(2*f.w))
	return min(x, 2*f.w-1), true
}

// dotY is the row of dots of a force, counted from the top; forces outside the
// range lie on its edge, so that an extreme is never invisible.
func (f *frame) dotY(v float64) int {
	frac := (v - float64(f.in.Bottom)) / float64(f.in.Top-f.in.Bottom)
	frac = math.Max(0, math.Min(1, frac))
	return int(math.Round((1 - frac) * float64(4*f.h-1)))
}

// curveY is dotY for the trace: what has not reached a level is drawn below its
// line, though it be by a dot.
func (f *frame) curveY(v float64) int {
	y := f.dotY(v)
	for i := range f.in.Levels {
		if at := f.in.Levels[i].At; v < float64(at) && at <= f.in.Top {
			y = max(y, min(f.dotY(float64(at))+1, 4*f.h-1))
		}
	}
	return y
}

// Row is the row of cells, from the top, of a force in a chart h lines high over
// a range; false where it is outside the range or there is no such chart.
func Row(v, bottom, top si.Force, h int) (int, bool) {
	if h < MinHeight || !(top > bottom) {
		return 0, false
	}
	return (&frame{h: h - 1, in: &Input{Bottom: bottom, Top: top}}).row(v)
}

// row is the row of cells of a force; false where it is outside the range.
func (f *frame) row(v si.Force) (int, bool) {
	if !finite(float64(v)) || v < f.in.Bottom || v > f.in.Top {
		return 0, false
	}
	return f.dotY(float64(v)) / 4, true
}

// spans reduces the trace to one span a column of dots, every extreme kept.
func (c *Chart) spans(f *frame) {
	if cap(c.cols) < 2*f.w {
		c.cols = make([]span, 2*f.w)
	}
	c.cols = c.cols[:2*f.w]
	for i := range c.cols {
		c.cols[i] = span{math.Inf(1), math.Inf(-1)}
	}
	tr := f.in.Trace
	if tr == nil || tr.Bin <= 0 {
		return
	}
	first := 0
	if f.in.From > tr.From {
		first = max(0, int((f.in.From-tr.From)/tr.Bin)-1)
	}
	prev, prevT := -1, time.Duration(0)
	for i := first; i < len(tr.Columns); i++ {
		col := tr.Columns[i]
		lo, hi := float64(col.Min), float64(col.Max)
		if col.Empty() || !finite(lo) || !finite(hi) {
			continue
		}
		t := tr.From + time.Duration(i)*tr.Bin + tr.Bin/2
		x, ok := f.dotX(t)
		if !ok {
			if t >= f.in.To {
				break
			}
			continue
		}
		s := &c.cols[x]
		s.lo, s.hi = math.Min(s.lo, lo), math.Max(s.hi, hi)
		if prev >= 0 && prev != x && t-prevT <= max(joinGap, 2*tr.Bin) {
			c.join(prev, x)
		}
		prev, prevT = x, t
	}
}

// join draws the line from column a to column b: the columns between them get
// the straight line, and b reaches to where the line comes from.
func (c *Chart) join(a, b int) {
	from, to := c.cols[a], c.cols[b]
	y0, y1 := (from.lo+from.hi)/2, (to.lo+to.hi)/2
	last := from
	for x := a + 1; x < b; x++ {
		y := y0 + (y1-y0)*float64(x-a)/float64(b-a)
		c.cols[x] = reach(span{y, y}, last)
		last = span{y, y}
	}
	c.cols[b] = reach(to, last)
}

// reach stretches s until it touches the span before it.
func reach(s, before span) span {
	switch {
	case before.empty():
	case before.lo > s.hi:
		s.hi = before.lo
	case before.hi < s.lo:
		s.lo = before.hi
	}
	return s
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
