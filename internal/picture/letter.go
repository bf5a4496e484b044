package picture

import (
	"fmt"
	"image"
	"image/draw"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gomono"
	"golang.org/x/image/font/gofont/gomonobold"
	"golang.org/x/image/font/gofont/gomonobolditalic"
	"golang.org/x/image/font/gofont/gomonoitalic"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// emPerCell makes the font's advance (0.6 em) as wide as a cell.
const emPerCell = CellWidth / 0.6

// baseline is how far below the top of a cell letters stand, at scale 1.
const baseline = 15

// faces are the four cuts of the font: plain, bold, italic, both.
type faces struct {
	font [4]*sfnt.Font
	face [4]font.Face
	buf  sfnt.Buffer
}

func newFaces(scale int) (*faces, error) {
	f := &faces{}
	for i, ttf := range [4][]byte{gomono.TTF, gomonobold.TTF, gomonoitalic.TTF, gomonobolditalic.TTF} {
		var err error
		if f.font[i], err = opentype.Parse(ttf); err != nil {
			return nil, fmt.Errorf("read the built-in font: %w", err)
		}
		if f.face[i], err = opentype.NewFace(f.font[i], &opentype.FaceOptions{Size: emPerCell * float64(scale), DPI: 72, Hinting: font.HintingFull}); err != nil {
			return nil, fmt.Errorf("scale the built-in font: %w", err)
		}
	}
	return f, nil
}

// letter draws a character from the font, if the font has it.
func (p *pen) letter(c Cell) bool {
	cut := 0
	if c.Bold {
		cut |= 1
	}
	if c.Italic {
		cut |= 2
	}
	i, err := p.faces.font[cut].GlyphIndex(&p.faces.buf, c.Rune)
	if err != nil || i == 0 {
		return false
	}
	dot := fixed.P(p.x, p.y+baseline*p.scale)
	at, mask, from, _, ok := p.faces.face[cut].Glyph(dot, c.Rune)
	if !ok {
		return false
	}
	// A letter stays within its cell: a neighbour's ground is never touched.
	in := at.Intersect(image.Rect(p.x, p.y, p.x+p.w, p.y+p.h))
	draw.DrawMask(p.img, in, p.ink, image.Point{}, mask, from.Add(in.Min.Sub(at.Min)), draw.Over)
	return true
}
