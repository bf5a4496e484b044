package chart

import (
	"slices"
	"strings"
)

// levels draws the limit lines on the cells that are still free, each through
// the row of dots of its force. Lines that share a row of cells share its name
// and the ink of the highest: no name is to stand for a row that has another
// line in it.
func (c *Chart) levels(f *frame) {
	c.order = c.order[:0]
	for i := range f.in.Levels {
		if _, ok := f.row(f.in.Levels[i].At); ok {
			c.order = append(c.order, i)
		}
	}
	all := f.in.Levels
	slices.SortStableFunc(c.order, func(a, b int) int {
		switch {
		case all[a].At < all[b].At:
			return -1
		case all[a].At > all[b].At:
			return 1
		}
		return 0
	})
	for from := 0; from < len(c.order); {
		y, _ := f.row(all[c.order[from]].At)
		to, ink, dots := from, Blank, rune(0)
		c.names = c.names[:0]
		for ; to < len(c.order); to++ {
			l := &all[c.order[to]]
			if at, _ := f.row(l.At); at != y {
				break
			}
			dots |= dashes[f.dotY(float64(l.At))%4]
			ink = max(ink, l.Ink)
			if l.Name != "" && !slices.Contains(c.names, l.Name) {
				c.names = append(c.names, l.Name)
			}
		}
		c.level(f, y, dots, ink)
		from = to
	}
}

// level draws the lines of one row of cells and their names: at the right end,
// or as far to the right as the trace leaves room.
func (c *Chart) level(f *frame, y int, dots rune, ink Ink) {
	for x := f.x0; x < f.x0+f.w; x++ {
		if c.free(x, y) || c.inks[y*c.w+x] == Axis {
			r := 0x2800 | dots
			if (x-f.x0)%2 > 0 {
				r = ' '
			}
			c.set(x, y, r, ink)
		}
	}
	name := []rune(strings.Join(c.names, "/"))
	if room := f.w - 4; len(name) > room {
		name = name[:max(0, room)]
	}
	if len(name) == 0 {
		return
	}
	n := len(name) + 2
	for x := f.x0 + f.w - n - 1; x > f.x0; x-- {
		if c.only(x, y, n, ink) {
			c.text(x, y, " "+string(name)+" ", ink)
			return
		}
	}
}
