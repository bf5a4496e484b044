package specimen

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"draghand/internal/si"
)

// SketchWidth is how wide the sketch of a bar is at most, in characters.
const SketchWidth = 76

// pen are the signs a sketch is drawn with.
type pen struct {
	line, side, upLeft, upRight, downLeft, downRight   string // of the outline
	intoNeckUp, outOfNeckUp, intoNeckDown, outNeckDown string // the fillets
	mark                                               string // a gauge mark
	from, to, run, diameter, plusMinus                 string // of the dimensions
}

func penOf(ascii bool) pen {
	if ascii {
		return pen{"-", "|", "+", "+", "+", "+", "\\", "/", "/", "\\", ":", "|", "|", "-", "D", "+/-"}
	}
	return pen{"─", "│", "┌", "┐", "└", "┘", "╰", "╯", "╭", "╮", "┊", "├", "┤", "─", "⌀", "±"}
}

// Sketch draws a bar with its dimensions in lines of text, at most SketchWidth
// wide, in a system of units. It is a picture to read sizes from, not to scale.
func Sketch(s Standard, sys si.System, ascii bool) []string {
	p := penOf(ascii)
	const end, neck, mark = 13, SketchWidth - 2*(13+1), 4 // columns: of an end within its outline, of the reduced section, from its fillet to the gauge mark
	line := func(n int) string { return strings.Repeat(p.line, n) }
	gap := func(n int) string { return strings.Repeat(" ", n) }
	middle := gap(neck)
	if s.GaugeLength > 0 {
		middle = gap(mark) + p.mark + gap(neck-2*mark-2) + p.mark + gap(mark)
	}
	middle = inside(middle, p.diameter+" "+s.dimension(s.Diameter, s.Tol, sys, p))
	corner := [4]string{"╮", "╭", "╯", "╰"}
	if ascii {
		corner = [4]string{"+", "+", "+", "+"}
	}
	out := []string{
		p.upLeft + line(end) + corner[0] + gap(neck-2) + corner[1] + line(end) + p.upRight,
		p.side + gap(end) + p.intoNeckUp + line(neck-2) + p.outOfNeckUp + gap(end) + p.side,
		p.side + gap(end) + middle + gap(end) + p.side,
		p.side + gap(end) + p.intoNeckDown + line(neck-2) + p.outNeckDown + gap(end) + p.side,
		p.downLeft + line(end) + corner[2] + gap(neck-2) + corner[3] + line(end) + p.downRight,
	}
	if s.GaugeLength > 0 {
		out = append(out, gap(1+end+mark)+span(p, neck-2*mark, "gauge length "+s.dimension(s.GaugeLength, s.GaugeTol, sys, p)))
	}
	reduced := "reduced section"
	if s.ReducedMin > 0 {
		reduced += ", at least " + s.ReducedMin.Text(sys)
	}
	out = append(out, gap(1+end)+span(p, neck, reduced))
	for _, note := range s.notes(sys) {
		out = append(out, folded(note, SketchWidth)...)
	}
	return out
}

// notes are the words under a sketch.
func (s Standard) notes(sys si.System) (out []string) {
	if s.FilletMin > 0 {
		out = append(out, "fillet: radius at least "+s.FilletMin.Text(sys)+", no tool mark, no undercut")
	} else {
		out = append(out, "fillet: the radius is not in this table; large, no tool mark, no undercut")
	}
	if s.AsCast.Nominal > 0 {
		out = append(out, fmt.Sprintf("turned of a bar cast %s (%s to %s)", s.AsCast.Nominal.Text(sys), s.AsCast.Low.Text(sys), s.AsCast.High.Text(sys)))
		out = append(out, fmt.Sprintf("stands for a casting of %s to %s in its controlling section", s.Casting[0].Text(sys), s.Casting[1].Text(sys)))
	}
	out = append(out, "ends: to suit the holders; they must outlast the reduced section")
	if s.Tol == 0 {
		out = append(out, "no tolerance of the diameter is in this table; what counts is what is measured")
	}
	out = append(out, "source: "+s.Source+" ("+s.Provenance+")")
	return out
}

// dimension is a size with its tolerance.
func (s Standard) dimension(v, tol si.Length, sys si.System, p pen) string {
	if tol == 0 {
		return v.Text(sys)
	}
	return v.In(sys).Number() + " " + p.plusMinus + " " + tol.Text(sys)
}

// inside sets a text into the middle of a row of signs.
func inside(row, text string) string {
	r, t := []rune(row), []rune(text)
	if at := (len(r) - len(t)) / 2; at >= 0 {
		copy(r[at:], t)
	}
	return string(r)
}

// span is a dimension line with its words in the middle.
func span(p pen, wide int, text string) string {
	n := wide - 2 - utf8.RuneCountInString(text) - 2
	if n < 2 {
		return p.from + " " + text + " " + p.to
	}
	return p.from + strings.Repeat(p.run, n/2) + " " + text + " " + strings.Repeat(p.run, n-n/2) + p.to
}

// folded breaks a line at blanks, the rest of it set in.
func folded(line string, wide int) (out []string) {
	now := ""
	for _, word := range strings.Fields(line) {
		switch {
		case now == "":
			now = word
		case utf8.RuneCountInString(now)+1+utf8.RuneCountInString(word) > wide:
			out = append(out, now)
			now = "  " + word
		default:
			now += " " + word
		}
	}
	return append(out, now)
}
