package tui

import (
	"io"
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
	cautionBar // the same on a filled band
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
// both black and white (large text, WCAG 2.1, 1.4.3). Where colours are fewer
// the nearest is taken.
const (
	colourFaint   = lipgloss.Color("#847c72")
	colourLive    = lipgloss.Color("#2a86a8")
	colourHand    = lipgloss.Color("#a8589e")
	colourGood    = lipgloss.Color("#3f8c5c")
	colourCaution = lipgloss.Color("#9a7c12")
	colourWarning = lipgloss.Color("#cc6414")
	colourStop    = lipgloss.Color("#d2383c")
)

// newTheme asks out for nothing: the profile comes from the environment.
func newTheme(out io.Writer, noColor bool) *theme {
	r := lipgloss.NewRenderer(out)
	r.SetHasDarkBackground(true) // settles it: no question to the terminal
	if noColor {
		r.SetColorProfile(termenv.Ascii)
	}
	return themeOf(r)
}

func themeOf(r *lipgloss.Renderer) *theme {
	s := r.NewStyle
	styles := [inkCount]lipgloss.Style{
		strong:     s().Bold(true),
		faint:      s().Foreground(colourFaint),
		live:       s().Foreground(colourLive),
		hand:       s().Foreground(colourHand),
		good:       s().Foreground(colourGood),
		caution:    s().Foreground(colourCaution).Bold(true),
		warning:    s().Foreground(colourWarning).Bold(true),
		stop:       s().Foreground(colourStop).Bold(true),
		cautionBar: s().Foreground(colourCaution).Bold(true).Reverse(true),
		warningBar: s().Foreground(colourWarning).Bold(true).Reverse(true),
		stopBar:    s().Foreground(colourStop).Bold(true).Reverse(true),
		noteBar:    s().Bold(true).Reverse(true),
	}
	t := &theme{}
	for i := range t.inks {
		if ink(i) != plain {
			t.inks[i] = around(styles[i])
		}
	}
	t.chart = chart.Palette{
		chart.Axis:    t.inks[faint],
		chart.Force:   t.inks[live],
		chart.Hand:    t.inks[hand],
		chart.Caution: around(s().Foreground(colourCaution)),
		chart.Warning: around(s().Foreground(colourWarning)),
		chart.Stop:    around(s().Foreground(colourStop)),
		chart.Break:   t.inks[strong],
	}
	return t
}

// around takes a style apart into what comes before a run and after it, once,
// since the library spends a microsecond and a half on each run it renders.
func around(s lipgloss.Style) chart.Style {
	on, off, _ := strings.Cut(s.Render("x"), "x")
	return chart.Style{On: on, Off: off}
}
