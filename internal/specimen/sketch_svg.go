package specimen

import (
	"encoding/xml"
	"fmt"
	"math"
	"strings"

	"draghand/internal/si"
)

// SketchSVG draws a bar with its dimensions as an SVG picture that needs nothing
// else: no script, no font, no file. Reduced section, diameter, gauge marks and
// fillet are to one scale where the table states them; the ends are as it suits.
// It follows the light or dark of the page it is shown on.
func SketchSVG(s Standard, sys si.System) string {
	const (
		wide    = 760.0
		neckPx  = 420.0
		centreY = 120.0
		leftX   = (wide - neckPx) / 2
	)
	length := s.ReducedMin
	if length <= 0 {
		length = 2.5 * s.Diameter
	}
	px := neckPx / float64(length)
	d := min(float64(s.Diameter)*px, 130)
	half := d / 2
	rise := max(0.3*d, 10) // how much the ends are thicker, each side
	radius := max(float64(s.FilletMin)*px, rise)
	along := math.Sqrt(radius*radius - (radius-rise)*(radius-rise)) // of the arc
	along = min(along, 90)
	rightX := leftX + neckPx
	top, bottom := centreY-half, centreY+half
	const endX = 12.0
	p := penOf(false)

	var b strings.Builder
	add := func(format string, a ...any) { fmt.Fprintf(&b, format+"\n", a...) }
	notes := s.notes(sys)
	var lines []string
	for _, n := range notes {
		lines = append(lines, folded(n, 100)...)
	}
	dimY := bottom + rise + 28
	high := dimY + 56 + 18*float64(len(lines))
	add(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.0f %.0f" width="%.0f" height="%.0f" role="img">`, wide, high, wide, high)
	add(`<title>%s</title>`, escaped("specimen "+s.Name))
	add(`<style>
svg { background: #ffffff; color: #1b2430; font: 14px sans-serif }
.bar { fill: #dfe5ea; stroke: currentColor; stroke-width: 1.5 }
.dim { stroke: currentColor; stroke-width: 1; fill: none }
.axis { stroke: currentColor; stroke-width: 0.7; stroke-dasharray: 12 4 2 4; opacity: 0.6 }
text { fill: currentColor }
@media (prefers-color-scheme: dark) { svg { background: #14191f; color: #e6ebf0 } .bar { fill: #2b3540 } }
</style>`)
	add(`<text x="%.1f" y="24" text-anchor="middle" font-weight="bold">%s</text>`, wide/2, escaped(s.Name))
	add(`<path class="bar" d="M%.1f %.1f H%.1f A%.1f %.1f 0 0 0 %.1f %.1f H%.1f A%.1f %.1f 0 0 0 %.1f %.1f H%.1f V%.1f H%.1f A%.1f %.1f 0 0 0 %.1f %.1f H%.1f A%.1f %.1f 0 0 0 %.1f %.1f H%.1f Z"/>`,
		endX, top-rise, leftX-along, radius, radius, leftX, top, rightX, radius, radius, rightX+along, top-rise, wide-endX, bottom+rise,
		rightX+along, radius, radius, rightX, bottom, leftX, radius, radius, leftX-along, bottom+rise, endX)
	add(`<path class="axis" d="M4 %.1f H%.1f"/>`, centreY, wide-4)
	centred := func(x, y float64, text string) {
		add(`<text x="%.1f" y="%.1f" text-anchor="middle">%s</text>`, x, y, escaped(text))
	}
	along2 := func(from, to, y float64, text string) {
		add(`<path class="dim" d="M%.1f %.1f H%.1f M%.1f %.1f v-10 M%.1f %.1f v-10"/>`, from, y, to, from, y+5, to, y+5)
		centred((from+to)/2, y-6, text)
	}
	diameterX := leftX + neckPx/2
	add(`<path class="dim" d="M%.1f %.1f V%.1f M%.1f %.1f h10 M%.1f %.1f h10"/>`, diameterX, top, bottom, diameterX-5, top, diameterX-5, bottom)
	add(`<text x="%.1f" y="%.1f">%s</text>`, diameterX+10, centreY-6, escaped(p.diameter+" "+s.dimension(s.Diameter, s.Tol, sys, p)))
	if s.GaugeLength > 0 {
		g := min(float64(s.GaugeLength)*px, neckPx-8)
		from, to := leftX+(neckPx-g)/2, leftX+(neckPx+g)/2
		add(`<path class="dim" d="M%.1f %.1f V%.1f M%.1f %.1f V%.1f"/>`, from, top-6, dimY+5, to, top-6, dimY+5)
		along2(from, to, dimY, "gauge length "+s.dimension(s.GaugeLength, s.GaugeTol, sys, p))
	}
	reduced := "reduced section"
	if s.ReducedMin > 0 {
		reduced += ", at least " + s.ReducedMin.Text(sys)
	}
	along2(leftX, rightX, dimY+30, reduced)
	if s.FilletMin > 0 {
		centred(leftX-along/2-20, top-rise-10, "R at least "+s.FilletMin.Text(sys))
	}
	for i, line := range lines {
		add(`<text x="%.1f" y="%.1f" font-size="12">%s</text>`, endX, dimY+56+18*float64(i), escaped(line))
	}
	add(`</svg>`)
	return b.String()
}

// escaped is a text as it may stand in an SVG.
func escaped(text string) string {
	var b strings.Builder
	_ = xml.EscapeText(&b, []byte(text)) // a Builder does not fail
	return b.String()
}
