package chart

import (
	"strings"

	"github.com/NimbleMarkets/ntcharts/canvas"
	"github.com/NimbleMarkets/ntcharts/canvas/graph"
	"github.com/NimbleMarkets/ntcharts/canvas/runes"
)

// plate is a canvas of w×h cells with the ink of each beside it. The cells of
// the library carry a style of half a kilobyte each; comparing and printing
// those is what makes its own view slow, so the ink is kept apart.
type plate struct {
	w, h   int
	canvas canvas.Model
	inks   []Ink
	lines  []string
	ends   []int // cells used of each line
	out    strings.Builder
}

// reset empties the plate. The library's Clear makes every row anew, forty
// times the cost of Fill.
func (p *plate) reset(w, h int) {
	if p.w != w || p.h != h {
		p.w, p.h = w, h
		p.canvas = canvas.New(w, h)
		p.inks = make([]Ink, w*h)
		p.lines = make([]string, h)
		p.ends = make([]int, h)
		return
	}
	p.canvas.Fill(canvas.Cell{})
	clear(p.inks)
}

// set puts a rune of width one into a cell; outside the plate nothing happens.
func (p *plate) set(x, y int, r rune, ink Ink) {
	if p.canvas.SetCell(canvas.Point{X: x, Y: y}, canvas.Cell{Rune: r}) {
		p.inks[y*p.w+x] = ink
	}
}

// dashes are a cell with a line through its row of dots, from the top.
var dashes = [4]rune{0x09, 0x12, 0x24, 0xc0}

// free says that nothing has been drawn into the cell.
func (p *plate) free(x, y int) bool {
	return x >= 0 && y >= 0 && x < p.w && y < p.h && p.inks[y*p.w+x] == Blank
}

// dots draws the spans of the trace: one grid a frame, filled from the least to
// the largest force of each column of dots. Everything is clipped before.
func (c *Chart) dots(f *frame) {
	grid := graph.NewBrailleGrid(f.w, f.h, 0, 1, 0, 1)
	for x, s := range c.cols {
		if s.empty() {
			continue
		}
		for y := f.curveY(s.hi); y <= f.curveY(s.lo); y++ {
			grid.Set(canvas.Point{X: x, Y: y})
		}
	}
	later := f.later()
	for y, row := range grid.BraillePatterns() {
		for x, r := range row {
			if r != runes.BrailleBlockOffset {
				ink := Force
				if x > later {
					ink = Later
				}
				c.set(f.x0+x, y, r, ink)
			}
		}
	}
}

// Used is how many cells wide a line of the last frame is.
func (c *Chart) Used(line int) int {
	if line < 0 || line >= len(c.ends) {
		return 0
	}
	return c.ends[line]
}

// view prints the plate, one escape sequence a run of equal ink and nothing
// after the last cell drawn. The lines are valid until the next frame.
func (p *plate) view(pal *Palette) []string {
	for y := range p.h {
		row := p.inks[y*p.w : (y+1)*p.w]
		end := p.w
		for end > 0 && row[end-1] == Blank {
			end--
		}
		p.ends[y] = end
		p.out.Reset()
		p.out.Grow(3*end + 32)
		ink := Blank
		for x := range end {
			if row[x] != ink {
				p.out.WriteString(pal[ink].Off)
				ink = row[x]
				p.out.WriteString(pal[ink].On)
			}
			if ink == Blank {
				p.out.WriteByte(' ')
				continue
			}
			p.out.WriteRune(p.canvas.Cell(canvas.Point{X: x, Y: y}).Rune)
		}
		p.out.WriteString(pal[ink].Off)
		p.lines[y] = p.out.String()
	}
	return p.lines
}
