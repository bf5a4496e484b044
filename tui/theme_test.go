package tui

import (
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	"draghand/tui/chart"
)

// luminance is the relative luminance of WCAG 2.1 of a colour, 0xRRGGBB.
func luminance(rgb uint32) float64 {
	lum := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		s := float64(rgb>>(16-8*i)&0xff) / 255
		if s <= 0.03928 {
			s /= 12.92
		} else {
			s = math.Pow((s+0.055)/1.055, 2.4)
		}
		lum += weight * s
	}
	return lum
}

func contrast(a, b uint32) float64 {
	x, y := luminance(a)+0.05, luminance(b)+0.05
	return math.Max(x, y) / math.Min(x, y)
}

// TestColoursReadOnBothGrounds: contrast of at least 3 to black and to white,
// by WCAG 2.1, 1.4.3 (large text) and its definition of relative luminance.
func TestColoursReadOnBothGrounds(t *testing.T) {
	all := []lipgloss.Color{colourFaint, colourLive, colourHand, colourGood, colourCaution, colourWarning, colourStop}
	for _, c := range append(all, overColours[:]...) {
		v, err := strconv.ParseUint(strings.TrimPrefix(string(c), "#"), 16, 32)
		if err != nil {
			t.Fatal(err)
		}
		black, white := contrast(uint32(v), 0), contrast(uint32(v), 0xffffff)
		if black < 3 || white < 3 {
			t.Errorf("%s: contrast %.1f to black and %.1f to white, want 3 to both", c, black, white)
		}
	}
}

// sgr is what an escape sequence asks for: colours by their number of sixteen,
// −1 for the terminal's own, and attributes.
type sgr struct {
	fg, bg               int
	bold, faint, reverse bool
}

func readSGR(t *testing.T, on string) sgr {
	t.Helper()
	out := sgr{fg: -1, bg: -1}
	if on == "" {
		return out
	}
	body, ok := strings.CutPrefix(on, "\x1b[")
	body, end := strings.CutSuffix(body, "m")
	if !ok || !end {
		t.Fatalf("no colour sequence: %q", on)
	}
	for _, f := range strings.Split(body, ";") {
		n, err := strconv.Atoi(f)
		switch {
		case err != nil:
			t.Fatalf("%q: %v", on, err)
		case n == 1:
			out.bold = true
		case n == 2:
			out.faint = true
		case n == 7:
			out.reverse = true
		case n >= 30 && n <= 37:
			out.fg = n - 30
		case n >= 90 && n <= 97:
			out.fg = n - 90 + 8
		case n >= 40 && n <= 47:
			out.bg = n - 40
		case n >= 100 && n <= 107:
			out.bg = n - 100 + 8
		default:
			t.Fatalf("%q asks for %d", on, n)
		}
	}
	return out
}

func themeIn(profile termenv.Profile) *theme {
	r := lipgloss.NewRenderer(os.Stdout)
	r.SetColorProfile(profile)
	return themeOf(r)
}

// palette is what a terminal of sixteen colours shows them as, and the grounds it has.
type palette struct {
	name   string
	rgb    [16]uint32
	ground []uint32
}

// palettes are the defaults of X11's terminal, of the Linux console
// (drivers/tty/vt/vt.c; its ground is black) and of the Windows console since 2017, as
// published.
func palettes() []palette {
	return []palette{
		{"X11", [16]uint32{
			0x000000, 0xcd0000, 0x00cd00, 0xcdcd00, 0x0000ee, 0xcd00cd, 0x00cdcd, 0xe5e5e5,
			0x7f7f7f, 0xff0000, 0x00ff00, 0xffff00, 0x5c5cff, 0xff00ff, 0x00ffff, 0xffffff,
		}, []uint32{0x000000, 0xffffff}},
		{"Linux", [16]uint32{
			0x000000, 0xaa0000, 0x00aa00, 0xaa5500, 0x0000aa, 0xaa00aa, 0x00aaaa, 0xaaaaaa,
			0x555555, 0xff5555, 0x55ff55, 0xffff55, 0x5555ff, 0xff55ff, 0x55ffff, 0xffffff,
		}, []uint32{0x000000}},
		{"Windows", [16]uint32{
			0x0c0c0c, 0xc50f1f, 0x13a10e, 0xc19c00, 0x0037da, 0x881798, 0x3a96dd, 0xcccccc,
			0x767676, 0xe74856, 0x16c60c, 0xf9f1a5, 0x3b78ff, 0xb4009e, 0x61d6d6, 0xf2f2f2,
		}, []uint32{0x0c0c0c, 0xf2f2f2}},
	}
}

// TestSixteenForTraces: of the sixteen colours three read at a contrast of 3 on every
// ground of these palettes, and two of those are of an alarm. So eight traces over each
// other cannot have one each: they share what is left, and none is that of an alarm.
func TestSixteenForTraces(t *testing.T) {
	var read []int
	for n := range 16 {
		least := math.Inf(1)
		for _, pal := range palettes() {
			for _, ground := range pal.ground {
				least = min(least, contrast(pal.rgb[n], ground))
			}
		}
		if least >= 3 {
			read = append(read, n)
		}
	}
	th := themeIn(termenv.ANSI)
	colour := func(k ink) int { return readSGR(t, th.inks[k].On).fg }
	if want := []int{colour(stop), colour(live), colour(warning)}; !slices.Equal(read, want) {
		t.Errorf("%v read on every ground, want %v", read, want)
	}
	seen := map[int]bool{}
	for i := range ink(chart.MaxCurves) {
		c := colour(overTrace + i)
		if c == colour(warning) || c == colour(stop) {
			t.Errorf("trace %d has the colour of an alarm", i)
		}
		seen[c] = true
	}
	if len(seen) != 2 {
		t.Errorf("the traces share %d colours", len(seen))
	}
}

// TestSixteenColours: on a terminal of sixteen colours every ink reads on black
// and on white at a contrast of 3, and what is well, a caution, a warning and a
// stop are told apart.
func TestSixteenColours(t *testing.T) {
	th := themeIn(termenv.ANSI)
	for _, pal := range palettes() {
		for _, ground := range pal.ground {
			for k := ink(0); k < inkCount; k++ {
				s := readSGR(t, th.inks[k].On)
				fg, bg := 0xffffff^ground, ground
				if s.fg >= 0 {
					fg = pal.rgb[s.fg]
				}
				if s.bg >= 0 {
					bg = pal.rgb[s.bg]
				}
				if c := contrast(fg, bg); c < 3 {
					t.Errorf("%s, ground %06x, ink %d (%q): contrast %.1f, want 3", pal.name, ground, k, th.inks[k].On, c)
				}
			}
		}
	}
	for _, set := range [][]ink{{live, caution, warning, stop}, {cautionBar, warningBar, stopBar, noteBar}} {
		for i, a := range set {
			for _, b := range set[i+1:] {
				x, y := readSGR(t, th.inks[a].On), readSGR(t, th.inks[b].On)
				if x.fg == y.fg && x.bg == y.bg {
					t.Errorf("inks %d and %d are the same but for attributes: %q", a, b, th.inks[a].On)
				}
			}
		}
	}
}

// TestNoColour: without colour no ink asks for one, and what must be seen first
// still stands out, bold or reversed; a terminal that can do neither gets neither.
func TestNoColour(t *testing.T) {
	t.Setenv("TERM", "xterm-256color")
	for _, th := range []*theme{newTheme(nil, true), uncoloured()} {
		for k := ink(0); k < inkCount; k++ {
			s := readSGR(t, th.inks[k].On)
			if s.fg >= 0 || s.bg >= 0 {
				t.Errorf("ink %d is %q without colour", k, th.inks[k].On)
			}
			bold := k == unsure || k == strong || k == caution || k == warning || k == stop
			if bar := k >= cautionBar; s.reverse != bar || s.bold != (bold || bar) {
				t.Errorf("ink %d is %q: bold %v and reversed %v, want %v and %v", k, th.inks[k].On, s.bold, s.reverse, bold || bar, bar)
			}
			if (th.inks[k].On == "") != (th.inks[k].Off == "") {
				t.Errorf("ink %d is never put back", k)
			}
		}
	}
	t.Setenv("TERM", "dumb")
	for i, s := range newTheme(nil, true).inks {
		if s.On != "" || s.Off != "" {
			t.Errorf("ink %d is %q on a terminal that can do nothing", i, s.On)
		}
	}
	for name, words := range map[string]string{"stop": "■ STOP", "caution": "△ CAUTION", "broken-saved": "BROKE at"} {
		m := screen(states[name](), 80, 24, termenv.Ascii)
		m.theme = uncoloured()
		if got := lineOf(m.View(), words); !strings.Contains(got, "\x1b[1;7m") {
			t.Errorf("%s does not stand out: %q", name, got)
		}
	}
	a := app(readyDesk(), 80, 24, termenv.Ascii)
	a.theme = uncoloured()
	a.front = newBenchScreen(a.desk, a.theme)
	a = tell(a, tea.WindowSizeMsg{Width: 80, Height: 24})
	if got := lineOf(a.View(), "READY"); !strings.Contains(got, "\x1b[1;7m") {
		t.Errorf("READY does not stand out: %q", got)
	}
}
