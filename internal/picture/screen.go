// Package picture runs a program in a terminal of its own, types keys into it
// and draws what its screen shows: as text for tests and as PNG for the
// documents and for a look at one's own work.
//
//	pty -> tidy (what the emulator gets wrong) -> emulator -> Screen -> text, PNG
//
// It knows nothing of draghand: any terminal program will do. Braille, boxes,
// blocks and the usual pointers are drawn as geometry, since no common font has
// them all; a character that can be drawn neither way shows as a crossed box
// and is reported, so that nothing vanishes from a picture unseen.
//
//	r, err := picture.Run(ctx, picture.Options{
//		Cmd: "draghand", Args: []string{"demo"}, Cols: 80, Rows: 24,
//		Steps: []picture.Step{picture.Until("BROKE"), picture.Shot("broke.png")},
//	})
//	missing, err := picture.Draw(file, r.Shots[0].Screen, 1)
package picture

import (
	"image/color"
	"strings"
	"time"

	"github.com/hinshun/vt10x"
)

// A Cell is one character of a screen. A wide character takes two: the second
// has Rune 0.
type Cell struct {
	Rune      rune
	FG, BG    color.RGBA // reverse video already applied
	Bold      bool
	Dim       bool
	Italic    bool
	Underline bool
}

// A Screen is what a terminal showed at one moment. It never changes.
type Screen struct {
	Cols, Rows int
	Cells      []Cell // row by row
	CursorX    int
	CursorY    int
	Cursor     bool          // the cursor is visible
	Title      string        // window title, if the program set one
	At         time.Duration // since the program was started
}

// Cell is the cell in column x of row y, both from 0.
func (s *Screen) Cell(x, y int) Cell { return s.Cells[y*s.Cols+x] }

// Line is row y as text, without blanks at its end.
func (s *Screen) Line(y int) string {
	var b strings.Builder
	for x := range s.Cols {
		if r := s.Cell(x, y).Rune; r != 0 {
			b.WriteRune(r)
		}
	}
	return strings.TrimRight(b.String(), " ")
}

// Text is the whole screen, a line a row, each without blanks at its end.
func (s *Screen) Text() string {
	var b strings.Builder
	for y := range s.Rows {
		b.WriteString(s.Line(y))
		b.WriteByte('\n')
	}
	return b.String()
}

// Contains says whether some row shows text.
func (s *Screen) Contains(text string) bool { return strings.Contains(s.Text(), text) }

// The mode bits of a glyph in the emulator, which it keeps to itself; the test
// of each attribute holds them true.
const (
	modeUnderline = 1 << 1
	modeBold      = 1 << 2
	modeItalic    = 1 << 4
	modeBlink     = 1 << 5 // stands for dim: see tidy
)

// capture copies the emulator's screen. The caller keeps writers away.
func capture(t vt10x.Terminal, th Theme) *Screen {
	cols, rows := t.Size()
	s := &Screen{Cols: cols, Rows: rows, Cells: make([]Cell, cols*rows), Cursor: t.CursorVisible(), Title: t.Title()}
	c := t.Cursor()
	s.CursorX, s.CursorY = c.X, c.Y
	for y := range rows {
		for x := range cols {
			g := t.Cell(x, y)
			r := g.Char
			switch r {
			case filler:
				r = 0
			case 0:
				r = ' '
			}
			s.Cells[y*cols+x] = Cell{
				Rune: r, FG: th.rgb(g.FG), BG: th.rgb(g.BG),
				Bold: g.Mode&modeBold != 0, Dim: g.Mode&modeBlink != 0,
				Italic: g.Mode&modeItalic != 0, Underline: g.Mode&modeUnderline != 0,
			}
		}
	}
	return s
}

// A Theme is the terminal's own colours.
type Theme struct {
	FG, BG  color.RGBA
	Palette [16]color.RGBA
}

func hex(v uint32) color.RGBA { return color.RGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 255} }

// Dark is light text on a dark ground.
func Dark() Theme {
	return Theme{FG: hex(0xd8dbe0), BG: hex(0x16181c), Palette: [16]color.RGBA{
		hex(0x16181c), hex(0xd95757), hex(0x6fb36a), hex(0xd0a546), hex(0x5a93d6), hex(0xb47bcf), hex(0x4fb0b0), hex(0xc4c8ce),
		hex(0x6b7280), hex(0xff7b7b), hex(0x93d78d), hex(0xf2ca6b), hex(0x86b8f2), hex(0xd6a3ec), hex(0x79d6d6), hex(0xffffff),
	}}
}

// Light is dark text on a light ground.
func Light() Theme {
	return Theme{FG: hex(0x1f2328), BG: hex(0xfbfbf8), Palette: [16]color.RGBA{
		hex(0x1f2328), hex(0xb3261e), hex(0x2e7d32), hex(0x8a6100), hex(0x1f5fae), hex(0x7b3fa0), hex(0x00727a), hex(0x8b9199),
		hex(0x5b626b), hex(0xd23b32), hex(0x3f9944), hex(0xa87800), hex(0x3579cc), hex(0x9a58c2), hex(0x128f98), hex(0xfbfbf8),
	}}
}

// rgb is the emulator's colour: the 16 of the theme, the 6×6×6 cube and the
// greys of a 256-colour terminal, or 24 bits as they are.
func (th Theme) rgb(c vt10x.Color) color.RGBA {
	switch {
	case c == vt10x.DefaultBG:
		return th.BG
	case c >= 1<<24:
		return th.FG
	case c < 16:
		return th.Palette[c]
	case c >= 256:
		return hex(uint32(c))
	case c >= 232:
		v := uint8(8 + (c-232)*10)
		return color.RGBA{v, v, v, 255}
	}
	n, level := c-16, [6]uint8{0, 95, 135, 175, 215, 255}
	return color.RGBA{level[n/36], level[n/6%6], level[n%6], 255}
}
