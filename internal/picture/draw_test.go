package picture

import (
	"bytes"
	"image"
	"image/color"
	"image/png"
	"slices"
	"strings"
	"testing"
)

// paint draws text on a screen of one colour on another, at scale 1.
func paint(t *testing.T, text string, cols, rows int) (*image.RGBA, []rune) {
	t.Helper()
	img, missing, err := Image(show(cols, rows, "\x1b[?25l"+text), 1)
	if err != nil {
		t.Fatal(err)
	}
	return img, missing
}

// inked counts the pixels of a cell that differ from the ground.
func inked(img *image.RGBA, x, y int) int {
	n, bg := 0, Dark().BG
	for py := range CellHeight {
		for px := range CellWidth {
			if img.RGBAAt(x*CellWidth+px, y*CellHeight+py) != bg {
				n++
			}
		}
	}
	return n
}

// near allows for the soft edge of slanted and round shapes: an eighth of the
// way from ink to ground.
func near(a, b color.RGBA) bool {
	far := func(x, y uint8) bool { return max(x, y)-min(x, y) > 32 }
	return !far(a.R, b.R) && !far(a.G, b.G) && !far(a.B, b.B)
}

func TestDrawKnownPixels(t *testing.T) {
	fg, bg := Dark().FG, Dark().BG
	for _, c := range []struct {
		name, text string
		x, y       int // pixel
		want       color.RGBA
	}{
		{"full block", "█", 0, 0, fg},
		{"full block to its last pixel", "█", 9, 19, fg},
		{"lower half, above", "▄", 5, 9, bg},
		{"lower half, below", "▄", 5, 10, fg},
		{"one eighth from below", "▁", 5, 18, fg},
		{"one eighth from below, above it", "▁", 5, 17, bg},
		{"left three quarters (U+258A)", "▊", 7, 10, fg},
		{"left three quarters, right of it", "▊", 8, 10, bg},
		{"left eighth (U+258F)", "▏", 0, 10, fg},
		{"left eighth, right of it", "▏", 1, 10, bg},
		{"right half", "▐", 5, 0, fg},
		{"quadrant upper right", "▝", 9, 0, fg},
		{"quadrant upper right, lower left", "▝", 0, 19, bg},
		{"three quadrants (U+259F), upper left free", "▟", 0, 0, bg},
		{"braille dot 1", "⠁", 2, 2, fg},
		{"braille dot 1, not dot 4", "⠁", 7, 2, bg},
		{"braille dot 8", "⢀", 7, 17, fg},
		{"light line meets its neighbour", "─", 9, 10, fg},
		{"light line is light", "─", 5, 12, bg},
		{"heavy line", "━", 5, 11, fg},
		{"double line, between its strokes", "═", 5, 10, bg},
		{"double line, upper stroke", "═", 5, 9, fg},
		{"corner ┘ closes", "┘", 5, 10, fg},
		{"corner ╚ outer stroke closes", "╚", 4, 11, fg},
		{"╬ is open in the middle", "╬", 5, 10, bg},
		{"arc ╭ leaves to the right", "╭", 9, 10, fg},
		{"arc ╭ leaves downward", "╭", 5, 19, fg},
		{"arc ╭ cuts the corner", "╭", 5, 10, bg},
		{"middle of ●", "●", 5, 10, fg},
		{"triangle ▲ below", "▲", 5, 12, fg},
		{"wide box spans two cells", "漢", 18, 10, fg},
		{"reverse", "\x1b[7m ", 5, 5, fg},
		{"underline", "\x1b[4mn", 5, 18, fg},
		{"dim is between ink and ground", "\x1b[2m█", 5, 5, mix(fg, bg)},
		{"ground", "\x1b[48;2;18;52;86m ", 5, 5, hex(0x123456)},
	} {
		img, _ := paint(t, c.text, 2, 1)
		if got := img.RGBAAt(c.x, c.y); !near(got, c.want) {
			t.Errorf("%s: pixel %d,%d of %q is %v, want %v", c.name, c.x, c.y, c.text, got, c.want)
		}
	}
}

// Bold letters have more ink, and a letter looks the same wherever it stands.
func TestDrawLetters(t *testing.T) {
	img, missing := paint(t, "m\x1b[1mm\x1b[0m m", 4, 1)
	if len(missing) > 0 {
		t.Errorf("missing %q", missing)
	}
	if p, b := inked(img, 0, 0), inked(img, 1, 0); p == 0 || b <= p {
		t.Errorf("plain m has %d pixels of ink, bold %d: want more in bold", p, b)
	}
	a := img.SubImage(image.Rect(0, 0, 10, 20)).(*image.RGBA)
	b := img.SubImage(image.Rect(30, 0, 40, 20)).(*image.RGBA)
	for y := range 20 {
		for x := range 10 {
			if a.RGBAAt(x, y) != b.RGBAAt(30+x, y) {
				t.Fatalf("pixel %d,%d of the same letter differs between cells", x, y)
			}
		}
	}
}

// Every character the program may use leaves ink, and what cannot be drawn is
// reported and leaves a box.
func TestDrawEveryRune(t *testing.T) {
	var all []rune
	for r := range shapes {
		all = append(all, r)
	}
	for r := rune(0x2500); r <= 0x259f; r++ {
		all = append(all, r)
	}
	for r := rune(0x2801); r <= 0x28ff; r++ {
		all = append(all, r)
	}
	all = append(all, []rune("±≤≥×·–—…°²³½µΩσΔ√∞‰“”←→ßéŁΩ€№")...)
	slices.Sort(all)
	for _, r := range all {
		img, missing := paint(t, string(r), 2, 1)
		if len(missing) > 0 || inked(img, 0, 0)+inked(img, 1, 0) == 0 {
			t.Errorf("%q (%U): missing %q, no ink %v", r, r, missing, inked(img, 0, 0) == 0)
		}
	}
	img, missing := paint(t, "\u2697 \u0e01\u2697", 4, 1)
	if string(missing) != "ก⚗" {
		t.Errorf("missing = %q, want each unknown character once, in order", string(missing))
	}
	for _, x := range []int{0, 2, 3} {
		if inked(img, x, 0) < 40 {
			t.Errorf("an unknown character leaves %d pixels of ink in cell %d, want a box", inked(img, x, 0), x)
		}
	}
	if inked(img, 1, 0) != 0 {
		t.Error("a blank has ink")
	}
}

// Lines of the box table come in mirrored pairs: what ┌ has on the right, ┐ has
// on the left. A slip in the table shows here.
func TestBoxMirrors(t *testing.T) {
	for _, pair := range []string{"┌┐", "└┘", "├┤", "┍┑", "┎┒", "┏┓", "┕┙", "┖┚", "┗┛", "┝┥", "┞┦", "┟┧", "┠┨", "┡┩", "┢┪", "┣┫", "┭┮", "┱┲", "┵┶", "┹┺", "┽┾", "╃╄", "╅╆", "╉╊", "╒╕", "╓╖", "╔╗", "╘╛", "╙╜", "╚╝", "╞╡", "╟╢", "╠╣", "╴╶", "╸╺", "╼╾"} {
		r := []rune(pair)
		a, b := arms[r[0]-0x2500], arms[r[1]-0x2500]
		if want := string([]byte{a[0], a[3], a[2], a[1]}); b != want {
			t.Errorf("%q: arms %s and %s, want the second %s", pair, a, b, want)
		}
	}
}

// The table of shapes is data in a string: every figure of it must read.
func TestShapesRead(t *testing.T) {
	for r, s := range shapes {
		for part := range strings.SplitSeq(s, ";") {
			f := strings.Fields(part)
			if len(f) < 2 || !strings.Contains("F L C O H", f[0]) {
				t.Fatalf("%q: %q is no shape", r, part)
			}
			for _, field := range f[1:] {
				for n := range strings.SplitSeq(field, ",") {
					if v := number(n); v != v || v < -60 || v > 360 {
						t.Errorf("%q: %q in %q is no figure of a shape", r, n, part)
					}
				}
			}
		}
	}
}

func TestDrawFile(t *testing.T) {
	var b bytes.Buffer
	if _, err := Draw(&b, show(7, 3, "hello"), 2); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := img.Bounds().Size(), image.Pt(7*20, 3*40); got != want {
		t.Errorf("size %v, want %v", got, want)
	}
}
