package picture

import (
	"cmp"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"slices"

	"golang.org/x/image/vector"
)

// Size of a character cell in pixels at scale 1.
const (
	CellWidth  = 10
	CellHeight = 20
)

// Draw writes the screen as a PNG, each cell CellWidth × CellHeight pixels
// times scale (1 or more). missing are the characters that could not be drawn
// and show as a crossed box, in order, each once.
func Draw(w io.Writer, s *Screen, scale int) (missing []rune, err error) {
	img, missing, err := Image(s, scale)
	if err != nil {
		return nil, err
	}
	if err := (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(w, img); err != nil {
		return missing, fmt.Errorf("write the picture: %w", err)
	}
	return missing, nil
}

// Image is Draw without the file.
func Image(s *Screen, scale int) (img *image.RGBA, missing []rune, err error) {
	scale = max(scale, 1)
	f, err := newFaces(scale)
	if err != nil {
		return nil, nil, err
	}
	p := &pen{img: image.NewRGBA(image.Rect(0, 0, s.Cols*CellWidth*scale, s.Rows*CellHeight*scale)), scale: scale, faces: f}
	unknown := map[rune]bool{}
	for y := range s.Rows {
		for x := range s.Cols {
			p.ground(x, y, s.Cell(x, y).BG)
		}
	}
	for y := range s.Rows {
		for x := range s.Cols {
			c := s.Cell(x, y)
			if c.Rune == 0 {
				continue
			}
			wide := x+1 < s.Cols && s.Cell(x+1, y).Rune == 0
			p.to(x, y, wide, c)
			if !p.glyph(c) {
				unknown[c.Rune] = true
				p.crossedBox()
			}
			if c.Underline {
				p.rect(0, p.h-2*scale, p.w, p.h-scale)
			}
		}
	}
	if s.Cursor && s.CursorX < s.Cols {
		p.to(s.CursorX, s.CursorY, false, s.Cell(s.CursorX, s.CursorY))
		p.rect(0, p.h-2*scale, p.w, p.h)
	}
	for r := range unknown {
		missing = append(missing, r)
	}
	slices.SortFunc(missing, cmp.Compare[rune])
	return p.img, missing, nil
}

// A pen draws into one cell at a time.
type pen struct {
	img   *image.RGBA
	scale int
	faces *faces

	x, y, w, h int // the cell in pixels
	ink        image.Image
	ras        vector.Rasterizer
}

func (p *pen) ground(x, y int, c color.RGBA) {
	w, h := CellWidth*p.scale, CellHeight*p.scale
	draw.Draw(p.img, image.Rect(x*w, y*h, (x+1)*w, (y+1)*h), image.NewUniform(c), image.Point{}, draw.Src)
}

// to moves the pen to a cell and takes its ink.
func (p *pen) to(x, y int, wide bool, c Cell) {
	p.w, p.h = CellWidth*p.scale, CellHeight*p.scale
	p.x, p.y = x*p.w, y*p.h
	if wide {
		p.w *= 2
	}
	fg := c.FG
	if c.Dim {
		fg = mix(c.FG, c.BG)
	}
	p.ink = image.NewUniform(fg)
}

// mix is the colour midway between two.
func mix(a, b color.RGBA) color.RGBA {
	m := func(a, b uint8) uint8 { return uint8((int(a)*11 + int(b)*9) / 20) }
	return color.RGBA{m(a.R, b.R), m(a.G, b.G), m(a.B, b.B), 255}
}

// rect fills a rectangle given in pixels of the cell.
func (p *pen) rect(x0, y0, x1, y1 int) {
	draw.Draw(p.img, image.Rect(p.x+x0, p.y+y0, p.x+x1, p.y+y1), p.ink, image.Point{}, draw.Src)
}

// shade fills the cell with so much of the ink, 0 to 255.
func (p *pen) shade(alpha uint8) {
	r := image.Rect(p.x, p.y, p.x+p.w, p.y+p.h)
	draw.DrawMask(p.img, r, p.ink, image.Point{}, image.NewUniform(color.Alpha{alpha}), image.Point{}, draw.Over)
}

// glyph draws the character of c, if there is a way.
func (p *pen) glyph(c Cell) bool {
	r := c.Rune
	switch {
	case blank(r):
		return true
	case r >= 0x2500 && r <= 0x257f:
		p.box(r)
		return true
	case r >= 0x2580 && r <= 0x259f:
		p.block(r)
		return true
	case r >= 0x2800 && r <= 0x28ff:
		p.braille(r)
		return true
	}
	return p.shape(r) || p.letter(c)
}

// blank says whether nothing is to be drawn: the spaces of Unicode.
func blank(r rune) bool {
	return r == ' ' || r == 0xa0 || r >= 0x2000 && r <= 0x200a || r == 0x202f || r == 0x205f || r == 0x3000
}

// crossedBox stands for a character that cannot be drawn.
func (p *pen) crossedBox() {
	t := p.scale
	x0, y0, x1, y1 := t, 4*t, p.w-t, p.h-3*t
	p.rect(x0, y0, x1, y0+t)
	p.rect(x0, y1-t, x1, y1)
	p.rect(x0, y0, x0+t, y1)
	p.rect(x1-t, y0, x1, y1)
	p.line(float32(x0), float32(y0), float32(x1), float32(y1), float32(t))
	p.line(float32(x0), float32(y1), float32(x1), float32(y0), float32(t))
}

// braille draws the eight dots, numbered as in Unicode: bits 0 to 2 and 6 the
// left column, 3 to 5 and 7 the right one.
func (p *pen) braille(r rune) {
	bits := r - 0x2800
	for bit, at := range [8][2]int{{0, 0}, {0, 1}, {0, 2}, {1, 0}, {1, 1}, {1, 2}, {0, 3}, {1, 3}} {
		if bits&(1<<bit) != 0 {
			x0, y0 := at[0]*p.w/2+p.scale, at[1]*p.h/4+p.scale
			p.rect(x0, y0, x0+p.w/2-2*p.scale, y0+p.h/4-2*p.scale)
		}
	}
}

// block draws U+2580 to U+259F: eighths from below and from the left, halves,
// shades and quadrants.
func (p *pen) block(r rune) {
	w, h := p.w, p.h
	switch {
	case r == 0x2580:
		p.rect(0, 0, w, h/2)
	case r <= 0x2588:
		p.rect(0, h-h*int(r-0x2580)/8, w, h)
	case r <= 0x258f:
		p.rect(0, 0, (w*int(0x2590-r)+4)/8, h)
	case r == 0x2590:
		p.rect(w/2, 0, w, h)
	case r <= 0x2593:
		p.shade(uint8(64 * (r - 0x2590)))
	case r == 0x2594:
		p.rect(0, 0, w, h/8)
	case r == 0x2595:
		p.rect(w-(w+4)/8, 0, w, h)
	default: // upper left 1, upper right 2, lower left 4, lower right 8
		q := [...]int{4, 8, 1, 13, 9, 7, 11, 2, 6, 14}[r-0x2596]
		for i, at := range [4][2]int{{0, 0}, {1, 0}, {0, 1}, {1, 1}} {
			if q&(1<<i) != 0 {
				p.rect(at[0]*w/2, at[1]*h/2, (at[0]+1)*w/2, (at[1]+1)*h/2)
			}
		}
	}
}
