package tui

import (
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"
)

// cell is one place on the screen: a rune, its marks if it carries any, and its
// ink. A rune two cells wide is followed by a cell with the rune follows.
type cell struct {
	r     rune
	marks string
	ink   ink
}

const follows = -1

// laid is a row drawn by somebody else, used cells wide; from column from on, where
// that is not 0, the plate's own cells go on.
type laid struct {
	parts      []string
	used, from int
}

// plate is the screen as cells. Everything is written through it, so that no
// text, however wide, can push a line beyond the width or a frame beyond the
// height: what does not fit is not there.
type plate struct {
	w, h  int
	ascii bool // the terminal shows nothing else
	cells []cell
	rows  []laid // rows drawn by somebody else
	out   strings.Builder
}

func (p *plate) reset(w, h int) {
	p.w, p.h = max(0, w), max(0, h)
	n := p.w * p.h
	if cap(p.cells) < n {
		p.cells = make([]cell, n)
	}
	p.cells = p.cells[:n]
	clear(p.cells)
	if cap(p.rows) < p.h {
		p.rows = make([]laid, p.h)
	}
	p.rows = p.rows[:p.h]
	clear(p.rows)
}

// set puts one rune of width one. Half of a wide rune is no rune: where one of
// its two cells is taken, the other becomes blank.
func (p *plate) set(x, y int, r rune, k ink) {
	if x < 0 || y < 0 || x >= p.w || y >= p.h {
		return
	}
	i := y*p.w + x
	if p.cells[i].r == follows {
		p.cells[i-1] = cell{ink: p.cells[i-1].ink}
	}
	if x+1 < p.w && p.cells[i+1].r == follows {
		p.cells[i+1] = cell{ink: p.cells[i+1].ink}
	}
	p.cells[i] = cell{r: r, ink: k}
}

// text writes s, which is clean, from column x on and returns the column after
// it. What runs beyond column x+w is cut with an ellipsis.
func (p *plate) text(x, y, w int, s string, k ink) int {
	if y < 0 || y >= p.h || x >= p.w {
		return x
	}
	w = min(w, p.w-x)
	s = cut(s, w)
	for s != "" {
		// A letter with marks behind it is one with them, ASCII or not.
		if c := s[0]; c < utf8.RuneSelf && (len(s) == 1 || s[1] < utf8.RuneSelf) {
			p.set(x, y, rune(c), k)
			x, s = x+1, s[1:]
			continue
		}
		cluster, n := ansi.FirstGraphemeCluster(s, ansi.GraphemeWidth)
		s = s[len(cluster):]
		r, size := utf8.DecodeRuneInString(cluster)
		if n <= 0 || x < 0 {
			continue
		}
		if n > 2 || x+n > p.w {
			r, size, n = '?', len(cluster), 1
		}
		p.set(x, y, r, k)
		if x < p.w {
			p.cells[y*p.w+x].marks = cluster[size:]
		}
		if n == 2 {
			p.set(x+1, y, follows, k)
		}
		x += n
	}
	return x
}

// right writes s so that it ends before column x.
func (p *plate) right(x, y, w int, s string, k ink) int {
	s = cut(s, w)
	from := x - ansi.StringWidth(s)
	p.text(from, y, w, s, k)
	return from
}

// centre writes s in the middle of the screen's width.
func (p *plate) centre(y int, s string, k ink) {
	s = cut(s, p.w)
	p.text((p.w-ansi.StringWidth(s))/2, y, p.w, s, k)
}

// band fills a row with an ink.
func (p *plate) band(y int, k ink) {
	for x := range p.w {
		p.set(x, y, ' ', k)
	}
}

// lay puts a line somebody else drew, at most w cells wide, into row y; it
// replaces what the plate has there.
func (p *plate) lay(y int, line ...string) {
	if y >= 0 && y < p.h {
		p.rows[y] = laid{parts: line}
	}
}

// layLeft is lay for the columns before from alone; the line is used cells wide.
func (p *plate) layLeft(y, used, from int, line ...string) {
	if y >= 0 && y < p.h && used <= from && from < p.w {
		p.rows[y] = laid{parts: line, used: used, from: from}
	}
}

// frame prints the plate, one escape sequence a run of equal ink, nothing after
// the last cell of a row that shows.
func (p *plate) frame(t *theme) string {
	p.out.Reset()
	p.out.Grow(4 * p.w * p.h)
	for y := range p.h {
		if y > 0 {
			p.out.WriteByte('\n')
		}
		row := p.cells[y*p.w : (y+1)*p.w]
		l := &p.rows[y]
		for _, s := range l.parts {
			if p.ascii {
				asciiText(&p.out, s)
				continue
			}
			p.out.WriteString(s)
		}
		switch {
		case l.parts == nil:
			p.row(row, t)
		case l.from > 0 && !blank(row[l.from:]):
			for range l.from - l.used {
				p.out.WriteByte(' ')
			}
			p.row(row[l.from:], t)
		}
	}
	return p.out.String()
}

func blank(row []cell) bool {
	for _, c := range row {
		if c.r != 0 && c.r != ' ' {
			return false
		}
	}
	return true
}

func (p *plate) row(row []cell, t *theme) {
	end := len(row)
	for end > 0 && (row[end-1].r == 0 || row[end-1].r == ' ') && row[end-1].ink < cautionBar {
		end--
	}
	now := plain
	for x, c := range row[:end] {
		switch c.r {
		case follows:
			continue
		case 0:
			c.r = ' '
		}
		// A blank looks the same in every ink but the bands.
		if c.ink != now && (c.r != ' ' || c.ink >= cautionBar || now >= cautionBar) {
			p.out.WriteString(t.inks[now].Off)
			now = c.ink
			p.out.WriteString(t.inks[now].On)
		}
		if p.ascii {
			if c.r == ' ' && x > 0 && row[x-1].r == '±' {
				c.r = rune(plusMinus[1])
			}
			n := 1
			if x+1 < len(row) && row[x+1].r == follows {
				n = 2
			}
			asciiCell(&p.out, c.r, n)
			continue
		}
		p.out.WriteRune(c.r)
		p.out.WriteString(c.marks)
	}
	p.out.WriteString(t.inks[now].Off)
}
