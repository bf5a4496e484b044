package chart

// later is the last column of cells, from the left edge of the plot, that is not
// behind Now: all of them where there is no Now.
func (f *frame) later() int {
	switch {
	case !f.in.HasNow || f.in.Now >= f.in.To:
		return f.w
	case f.in.Now < f.in.From:
		return -1
	}
	x, _ := f.dotX(f.in.Now)
	return x / 2
}

// now draws where in the time the pull is looked at: an upright line beside all
// that is drawn, with a foot on the scale.
func (c *Chart) now(f *frame) {
	if !f.in.HasNow || f.in.Now < f.in.From || f.in.Now > f.in.To {
		return
	}
	x := f.x0 + min(f.later(), f.w-1)
	for y := range f.h {
		if c.free(x, y) || c.inks[y*c.w+x] == Axis {
			c.set(x, y, '│', Now)
		}
	}
	if c.free(x, f.h) {
		c.set(x, f.h, '│', Now)
	}
}
