package chart

import (
	"math"
	"slices"

	"draghand/internal/si"
)

// letters writes the letter of the trace that was just drawn onto its own line: at
// its peak, half-way up to it, and at its end in the window. Where another letter or another trace is,
// it moves along the line.
func (c *Chart) letters(f *frame, t *Trace, ink Ink) {
	if t.Letter == 0 {
		return
	}
	last := len(c.cols) - 1
	for last >= 0 && c.cols[last].empty() {
		last--
	}
	if last < 0 {
		return
	}
	if dx, ok := f.dotX(t.Peak); ok && t.HasPeak {
		c.letter(f, dx/2, true, t.Letter, ink, letterReach)
		if x := c.halfUp(dx); x >= 0 && dx-x > 2*letterReach {
			c.letter(f, x/2, true, t.Letter, ink, letterReach/2)
		}
	}
	c.letter(f, last/2, false, t.Letter, ink, letterReach)
}

// halfUp is the first column of dots in which the trace that was just drawn is half as
// high as it gets up to its peak; −1 where it begins higher.
func (c *Chart) halfUp(peak int) int {
	most := math.Inf(-1)
	for _, s := range c.cols[:peak+1] {
		most = math.Max(most, s.hi)
	}
	begun := false
	for x, s := range c.cols[:peak] {
		if s.empty() {
			continue
		}
		if s.hi >= most/2 {
			if !begun {
				return -1
			}
			return x
		}
		begun = true
	}
	return -1
}

// How many cells a letter may move along its line: to where no other trace is in
// front, and else to where it is alone without one.
const (
	ownReach    = 6
	letterReach = 16
)

// letter puts one into the cell of the trace nearest to a column of cells, the
// topmost of that column, or the lowest, at most reach cells away: where another is in
// front, the letter stands over that one.
func (c *Chart) letter(f *frame, x int, top bool, letter rune, ink Ink, reach int) {
	for _, own := range [2]bool{true, false} {
		far := reach
		if own {
			far = min(far, ownReach)
		}
		for d := range far {
			for _, at := range [2]int{x - d, x + d} {
				if y, ok := c.cellOf(f, at, top, own, ink); ok {
					c.set(f.x0+at, y, letter, ink)
					c.named = append(c.named, y*c.w+f.x0+at)
					return
				}
			}
		}
	}
}

// cellOf is the cell of the trace that was just drawn in a column of cells: the
// topmost or the lowest that has no letter, with own only where it is in front.
func (c *Chart) cellOf(f *frame, x int, top, own bool, ink Ink) (int, bool) {
	if x < 0 || x >= f.w {
		return 0, false
	}
	for i := range f.h {
		y := i
		if !top {
			y = f.h - 1 - i
		}
		at := y*c.w + f.x0 + x
		if (c.inks[at] == ink || !own) && c.mine[y*f.w+x] && !slices.Contains(c.named, at) {
			return y, true
		}
	}
	return 0, false
}

// force lends the scale of forces to another quantity: the frame only reckons rows
// with it.
func force(v float64) si.Force { return si.Force(v) }
