package tui

import (
	"io"
	"os"
	"strings"

	"github.com/charmbracelet/lipgloss"
	"github.com/muesli/termenv"

	"draghand/tui/chart"
)

// ink names how a run of cells looks. Meaning is never in the ink alone: every
// state it marks also has its word.
type ink uint8

const (
	plain  ink = iota // the terminal's own colour
	strong            // the same, bold
	faint             // labels and scales
	live              // the force now
	hand              // the drag hand
	good              // in order
	caution
	warning
	stop
	unsure    // a record that is not whole, a caution by its colour
	overTrace // the first of the traces laid over each other
)

// The same on a filled band.
const (
	cautionBar = overTrace + chart.MaxCurves + ink(iota)
	warningBar
	stopBar
	noteBar
	inkCount
)

// theme is how the inks look on one terminal.
type theme struct {
	inks  [inkCount]chart.Style
	chart chart.Palette
}

// The colours are of middle lightness, so that each reads on a dark and on a
// light background alike; a test holds every one of them at a contrast of 3 to
// both black and white (large text, WCAG 2.1, 1.4.3). Of 256 colours the nearest
// is taken; sixteen have their own.
const (
	colourFaint   = lipgloss.Color("#847c72")
	colourLive    = lipgloss.Color("#2a86a8")
	colourHand    = lipgloss.Color("#a8589e")
	colourGood    = lipgloss.Color("#3f8c5c")
	colourCaution = lipgloss.Color("#9a7c12")
	colourWarning = lipgloss.Color("#cc6414")
	colourStop    = lipgloss.Color("#d2383c")
)

// overColours are those of traces over each other; none is that of an alarm.
var overColours = [chart.MaxCurves]lipgloss.Color{
	colourLive, colourHand, colourGood, "#7d70c8", "#74862f", "#6c7f8c", "#b8608f", "#1f8f86",
}

// newTheme asks out for nothing: the profile comes from the environment.
func newTheme(out io.Writer, noColor bool) *theme {
	r := lipgloss.NewRenderer(out)
	r.SetHasDarkBackground(true) // settles it: no question to the terminal
	if noColor {
		r.SetColorProfile(termenv.Ascii)
	}
	if r.ColorProfile() == termenv.Ascii && os.Getenv("TERM") != "dumb" {
		return uncoloured()
	}
	return themeOf(r)
}

// uncoloured is the theme of a terminal that is to show no colour or has none: what
// must be seen first is bold, the bands are reversed, and neither is a colour. The
// library would drop both with the colours.
func uncoloured() *theme {
	const bold, reverse, off = "\x1b[1m", "\x1b[1;7m", "\x1b[0m"
	t := &theme{}
	for _, k := range []ink{strong, caution, warning, stop, unsure} {
		t.inks[k] = chart.Style{On: bold, Off: off}
	}
	for _, k := range []ink{cautionBar, warningBar, stopBar, noteBar} {
		t.inks[k] = chart.Style{On: reverse, Off: off}
	}
	t.chart[chart.Break], t.chart[chart.Now] = t.inks[strong], t.inks[strong]
	for i := range chart.Ink(chart.MaxCurves) {
		t.chart[chart.Front+i] = t.inks[strong]
	}
	return t
}

func themeOf(r *lipgloss.Renderer) *theme {
	s := r.NewStyle
	bold := func(c lipgloss.Color) lipgloss.Style { return s().Foreground(c).Bold(true) }
	bar := func(c lipgloss.Color) lipgloss.Style { return bold(c).Reverse(true) }
	styles := [inkCount]lipgloss.Style{
		strong:     s().Bold(true),
		faint:      s().Foreground(colourFaint),
		live:       s().Foreground(colourLive),
		hand:       s().Foreground(colourHand),
		good:       s().Foreground(colourGood),
		caution:    bold(colourCaution),
		warning:    bold(colourWarning),
		stop:       bold(colourStop),
		unsure:     bold(colourCaution),
		cautionBar: bar(colourCaution),
		warningBar: bar(colourWarning),
		stopBar:    bar(colourStop),
		noteBar:    s().Bold(true).Reverse(true),
	}
	for i, c := range overColours {
		styles[overTrace+ink(i)] = s().Foreground(c)
	}
	if r.ColorProfile() == termenv.ANSI {
		sixteen(&styles, s)
	}
	t := &theme{}
	for i := range t.inks {
		if ink(i) != plain {
			t.inks[i] = around(styles[i])
		}
	}
	thin := func(k ink) chart.Style { return around(styles[k].Bold(false)) }
	t.chart = chart.Palette{
		chart.Axis:    t.inks[faint],
		chart.Force:   t.inks[live],
		chart.Hand:    t.inks[hand],
		chart.Caution: thin(caution),
		chart.Warning: thin(warning),
		chart.Stop:    thin(stop),
		chart.Break:   t.inks[strong],
		chart.Later:   t.inks[faint],
		chart.Now:     t.inks[strong],
	}
	for i := range chart.MaxCurves {
		t.chart[chart.Curve+chart.Ink(i)] = t.inks[overTrace+ink(i)]
		t.chart[chart.Front+chart.Ink(i)] = around(styles[overTrace+ink(i)].Bold(true))
	}
	return t
}

// sixteen puts other styles in the place of those that a terminal of sixteen
// colours would only come near to: of its colours but the bright red, magenta and
// blue read on black and on white alike in the palettes there are, and nobody asks
// the terminal which ground it has. So the drag hand and a caution have the
// terminal's own colour, a caution is bold and its bar yellow with black on it, and
// what is faint is so by its attribute: grey is the ground in some palettes.
func sixteen(styles *[inkCount]lipgloss.Style, s func() lipgloss.Style) {
	const (
		black, red, yellow, magenta       = lipgloss.Color("0"), lipgloss.Color("1"), lipgloss.Color("3"), lipgloss.Color("5")
		brightRed, brightBlue, brightPink = lipgloss.Color("9"), lipgloss.Color("12"), lipgloss.Color("13")
		white                             = lipgloss.Color("15")
	)
	styles[faint] = s().Faint(true)
	styles[live] = s().Foreground(brightBlue)
	styles[hand] = s()
	styles[good] = s().Bold(true)
	for i := range ink(chart.MaxCurves) { // no other colour is free: their patterns tell them apart
		styles[overTrace+i] = s()
		if i%2 == 0 {
			styles[overTrace+i] = s().Foreground(brightBlue)
		}
	}
	styles[caution] = s().Bold(true)
	styles[unsure] = s().Foreground(black).Background(yellow) // yellow letters are not to be read on white
	styles[warning] = s().Foreground(brightPink).Bold(true)
	styles[stop] = s().Foreground(brightRed).Bold(true)
	styles[cautionBar] = s().Foreground(black).Background(yellow)
	styles[warningBar] = s().Foreground(white).Background(magenta).Bold(true)
	styles[stopBar] = s().Foreground(white).Background(red).Bold(true)
}

// around takes a style apart into what comes before a run and after it, once,
// since the library spends a microsecond and a half on each run it renders.
func around(s lipgloss.Style) chart.Style {
	on, off, _ := strings.Cut(s.Render("x"), "x")
	return chart.Style{On: on, Off: off}
}
