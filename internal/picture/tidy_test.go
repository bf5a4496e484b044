package picture

import (
	"bytes"
	"strings"
	"testing"

	"github.com/hinshun/vt10x"
	"pgregory.net/rapid"
)

// show is the screen after the given bytes, in a terminal without a program.
func show(cols, rows int, chunks ...string) *Screen {
	emu := vt10x.New(vt10x.WithSize(cols, rows))
	f := tidy{out: emu}
	for _, c := range chunks {
		if _, err := f.Write([]byte(c)); err != nil {
			panic(err) // the emulator never fails
		}
	}
	return capture(emu, Dark())
}

func TestTidyText(t *testing.T) {
	for _, c := range []struct{ name, in, want string }{
		{"plain", "abc", "abc"},
		{"wide characters keep what follows in its column", "漢字|\x1b[1;8Hx", "漢字|  x"},
		{"a combining mark takes no cell", "e\u0301|", "e|"},
		{"a variation selector takes no cell", "\u25b6\ufe0e|", "▶|"},
		{"control within a sequence", "ab\x1b[\r1Cx", "ax"},
		{"window title is not text", "\x1b]0;漢 title\x07t", "t"},
		{"title ended by ST", "\x1b]2;title\x1b\\t", "t"},
		{"title given up", "\x1b]2;title\x1b[2Ct", "  t"},
		{"device control text is dropped", "a\x1bP1$r0m\x1b\\b", "ab"},
		{"empty first parameter", "\x1b[;3Hx", "  x"},
		{"kitty query does not move the cursor", "abc\x1b[?u\x1b[<ud", "abcd"},
		{"parameters that are no number", "ab\x1b[1xyC\x1b[1 qc", "abyCc"},
		{"negative parameters", "ab\x1b[-5@c", "abc"},
		{"sequence longer than any", "\x1b[" + strings.Repeat("1;", 200) + "mz", strings.Repeat("1;", 200)[257:] + "mz"},
	} {
		if got := show(200, 2, c.in).Line(0); got != c.want {
			t.Errorf("%s: %q shows %q, want %q", c.name, c.in, got, c.want)
		}
	}
}

func TestTidyAttributes(t *testing.T) {
	th := Dark()
	plain := Cell{Rune: 'x', FG: th.FG, BG: th.BG}
	with := func(change func(*Cell)) Cell { c := plain; change(&c); return c }
	for _, c := range []struct {
		name, in string
		want     Cell
	}{
		{"plain", "x", plain},
		{"bold", "\x1b[1mx", with(func(c *Cell) { c.Bold = true })},
		{"dim", "\x1b[2mx", with(func(c *Cell) { c.Dim = true })},
		{"neither bold nor dim after 22", "\x1b[1;2;22mx", plain},
		{"italic", "\x1b[3mx", with(func(c *Cell) { c.Italic = true })},
		{"underline", "\x1b[4mx", with(func(c *Cell) { c.Underline = true })},
		{"curly underline", "\x1b[4:3mx", with(func(c *Cell) { c.Underline = true })},
		{"no underline", "\x1b[4m\x1b[4:0mx", plain},
		{"blink is not drawn", "\x1b[5mx", plain},
		{"reverse", "\x1b[7mx", with(func(c *Cell) { c.FG, c.BG = th.BG, th.FG })},
		{"palette", "\x1b[31;44mx", with(func(c *Cell) { c.FG, c.BG = th.Palette[1], th.Palette[4] })},
		{"bright palette", "\x1b[91mx", with(func(c *Cell) { c.FG = th.Palette[9] })},
		{"cube", "\x1b[38;5;196mx", with(func(c *Cell) { c.FG = hex(0xff0000) })},
		{"greys", "\x1b[48;5;232mx", with(func(c *Cell) { c.BG = hex(0x080808) })},
		{"24 bits", "\x1b[38;2;18;52;86mx", with(func(c *Cell) { c.FG = hex(0x123456) })},
		{"24 bits, colons", "\x1b[38:2::18:52:86mx", with(func(c *Cell) { c.FG = hex(0x123456) })},
		{"24 bits, colons, no space", "\x1b[38:2:18:52:86mx", with(func(c *Cell) { c.FG = hex(0x123456) })},
		{"blue is no palette entry (one step of green off)", "\x1b[38;2;0;0;200mx", with(func(c *Cell) { c.FG = hex(0x0001c8) })},
		{"underline colour", "\x1b[58;2;1;4;7mx", plain},
		{"underline colour, colons", "\x1b[58:5:4mx", plain},
		{"reset by an empty list", "\x1b[1;31m\x1b[mx", plain},
		{"xterm's key mode is no attribute", "\x1b[1m\x1b[>4;2mx", with(func(c *Cell) { c.Bold = true })},
		{"cut short", "\x1b[38;2;1mx", plain},
	} {
		if got := show(10, 1, c.in).Cell(0, 0); got != c.want {
			t.Errorf("%s: %q shows %+v, want %+v", c.name, c.in, got, c.want)
		}
	}
}

// A screen depends on the bytes, never on how they were cut into reads.
func TestTidyChunking(t *testing.T) {
	parts := []string{"plain", "漢", "e\u0301", "⣿", "─", "\x1b[1;38;2;0;0;9m", "\x1b[0m", "\x1b]0;t\x07", "\r\n", "\x1b[2;2H", "\x1b(0q\x1b(B", "\x1b[>1u", "\x9b", "\xff", "\x1b"}
	rapid.Check(t, func(t *rapid.T) {
		whole := strings.Join(rapid.SliceOf(rapid.SampledFrom(parts)).Draw(t, "parts"), "")
		var chunks []string
		for rest := whole; rest != ""; {
			n := rapid.IntRange(1, len(rest)).Draw(t, "cut")
			chunks, rest = append(chunks, rest[:n]), rest[n:]
		}
		one, many := show(30, 4, whole), show(30, 4, chunks...)
		if one.Text() != many.Text() {
			t.Fatalf("%q cut into %q shows %q, whole %q", whole, chunks, many.Text(), one.Text())
		}
	})
}

// Whatever a program sends, the emulator behind the filter stands it, and the
// screen holds nothing that is no character of one line.
func FuzzTidy(f *testing.F) {
	for _, s := range []string{"abc", "\x1b[999999999999C\x1b[-1@x", "\x1b[5;2r\x1b[9S\x1b[9T\x1bM\x1bD", "\x1b]4;1;rgb:ff/ff/ff\x07", "\x1b]11;#zz\x07", "\x1b[?1049h漢\x1b[0;0H\x1b[1J\x1b[9P", "\xf0\x9f", "\x1b[3g\t\x1b[5I\x1b[5Z"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, in []byte) {
		s := show(20, 5, string(in))
		lines := strings.Split(strings.TrimSuffix(s.Text(), "\n"), "\n")
		if len(lines) != 5 {
			t.Fatalf("%q: %d lines, want 5", in, len(lines))
		}
		for _, r := range s.Text() {
			if r < ' ' && r != '\n' || r == filler {
				t.Fatalf("%q: the screen holds %U", in, r)
			}
		}
		var png bytes.Buffer
		if len(in) < 64 { // drawing every input would slow the search
			if _, err := Draw(&png, s, 1); err != nil {
				t.Fatal(err)
			}
		}
	})
}
