package report

import (
	"image/color"
	"io"
	"math"
	"strings"

	"gonum.org/v1/plot"
	"gonum.org/v1/plot/font"
	"gonum.org/v1/plot/plotter"
	"gonum.org/v1/plot/text"
	"gonum.org/v1/plot/vg"
	"gonum.org/v1/plot/vg/draw"
	"gonum.org/v1/plot/vg/vgimg"

	"draghand/internal/record"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// The PNG is 1600 by 900 dots.
const (
	pngDots = 144 // an inch
	pngWide = 1600 * vg.Inch / pngDots
	pngHigh = 900 * vg.Inch / pngDots
)

// PNG writes the trace of a record as a picture of 1600 by 900 dots: force
// against time with the limits, the peak and the break, and who it was and what
// came out above it. The same record gives the same bytes. A record without a
// trace gives a picture that says so. Of a damaged record what is intact is
// drawn, it says so, and the damage comes back as the error.
func PNG(w io.Writer, rec *record.Record, o Options) error {
	f := gather(rec, o)
	if err := f.draw(w); err != nil {
		return err
	}
	return f.damage
}

// draw writes the picture.
func (f *facts) draw(w io.Writer) error {
	p := plot.New()
	f.plotWords(p)
	if g := f.figure(); g != nil {
		f.plotFigure(p, g)
	} else {
		p.HideAxes()
		p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = 0, 1, 0, 1
		words, err := plotter.NewLabels(plotter.XYLabels{XYs: []plotter.XY{{X: 0.5, Y: 0.5}}, Labels: []string{f.noFigure()}})
		if err != nil {
			return err
		}
		style(&words.TextStyle[0], 14, draw.XCenter, inkOf)
		p.Add(words)
	}
	c := vgimg.NewWith(vgimg.UseWH(pngWide, pngHigh), vgimg.UseDPI(pngDots))
	p.Draw(draw.Crop(draw.New(c), 0.15*vg.Inch, -0.25*vg.Inch, 0.12*vg.Inch, -0.12*vg.Inch))
	_, err := vgimg.PngCanvas{Canvas: c}.WriteTo(w)
	return err
}

// ink is a colour, 0xRRGGBBAA.
type ink uint32

// RGBA makes it a color.Color.
func (c ink) RGBA() (r, g, b, a uint32) {
	return color.NRGBA{uint8(c >> 24), uint8(c >> 16), uint8(c >> 8), uint8(c)}.RGBA()
}

// The colours of the picture, dark on white.
const (
	inkOf   ink = 0x202020ff
	forceOf ink = 0x174f78ff
	limitOf ink = 0x9c3310ff
	leastOf ink = 0x5a4a00ff
	blindOf ink = 0x8f1d1d40
	notOf   ink = 0x8f1d1dff
	veilOf  ink = 0xa09c9058
	gridOf  ink = 0xc9c6bcff
)

// plotWords is the title: who, what came out, and what must be said.
func (f *facts) plotWords(p *plot.Plot) {
	title := f.titleWords()
	if f.answer().Not {
		p.Title.TextStyle.Color = notOf
	}
	p.Title.Text = title
	p.Title.TextStyle.Font.Size = 15
	p.Title.TextStyle.Font.Variant = "Sans"
	p.Title.Padding = 0.1 * vg.Inch
}

// titleWords are the lines of the title. Each name is cut by itself, so that a long
// one takes no room of the others.
func (f *facts) titleWords() string {
	const most = 24
	a, bar := f.answer(), f.head.Specimen
	bar.Melt, bar.ID, bar.Alloy = short(tidy(bar.Melt), most), short(tidy(bar.ID), most), short(tidy(bar.Alloy), most)
	result := kindWords(f.head.Kind) + " · " + a.Label + ": " + a.Value
	if _, peak, ok := strings.Cut(a.Note, "stress on the block at the peak: "); ok {
		result += "; at the peak: " + peak
	}
	title := strength.Who(bar) + "\n" + short(result, 84)
	if a.Not {
		not := "DOES NOT COUNT"
		if len(a.Because) > 0 {
			not += ": " + a.Because[0]
		}
		title = short(not, 84) + "\n" + title
	}
	switch {
	case f.damage != nil:
		title = "DAMAGED RECORD: only what is intact is drawn\n" + title
	case f.head.Closing == nil:
		title = "UNFINISHED RECORD\n" + title
	}
	if f.head.Specimen.Simulated {
		title = "SIMULATED\n" + title
	}
	return title
}

// plotFigure puts the trace and its lines onto the plot.
func (f *facts) plotFigure(p *plot.Plot, g *figure) {
	per := si.Force(1).In(f.opt.Units)
	from, to := g.From.Seconds(), g.To.Seconds()
	p.X.Min, p.X.Max, p.Y.Min, p.Y.Max = from, to, g.low*per.Value, g.high*per.Value
	p.X.Label.Text, p.Y.Label.Text = "time, s", "force on the "+thing(f.head.Kind)+", "+per.Unit
	p.X.Tick.Marker, p.Y.Tick.Marker = roundTicks(9), roundTicks(7)
	for _, a := range []*plot.Axis{&p.X, &p.Y} {
		a.Padding = 0
		a.Label.TextStyle.Font.Size, a.Tick.Label.Font.Size = 11, 10
		a.Label.TextStyle.Font.Variant, a.Tick.Label.Font.Variant = "Sans", "Sans"
	}
	grid := plotter.NewGrid()
	grid.Vertical.Color, grid.Horizontal.Color = gridOf, gridOf
	p.Add(grid)
	x := scale{figLeft, figRight, from, to} // back from the measures of the page
	for _, b := range g.Blind {
		at, end := x.at(b.From), x.at(b.From+b.Wide)
		if box, err := plotter.NewPolygon(plotter.XYs{{X: at, Y: p.Y.Min}, {X: end, Y: p.Y.Min}, {X: end, Y: p.Y.Max}, {X: at, Y: p.Y.Max}}); err == nil {
			box.Color, box.LineStyle.Width = blindOf, 0
			p.Add(box)
		}
	}
	if g.Simulated {
		f.words(p, (from+to)/2, (p.Y.Min+p.Y.Max)/2, "SIMULATED", 84, draw.XCenter, veilOf, 0.3)
	}
	f.plotTrace(p, g, per.Value)
	for _, l := range g.Limits {
		colour := limitOf
		if l.Kind != "limit" {
			colour = leastOf
		}
		at := l.force * per.Value
		straight(p, plotter.XYs{{X: from, Y: at}, {X: to, Y: at}}, colour, 1, []vg.Length{vg.Points(6), vg.Points(3)})
		words := scale{figBottom, figTop, p.Y.Min, p.Y.Max}.at(l.TextAt)
		f.words(p, from+0.008*(to-from), words, short(l.Text, 48), 10, draw.XLeft, colour, 0)
	}
	last, beside := math.Inf(-1), 0.0
	for _, m := range g.Marks {
		if m.Kind == "zero" || m.Kind == "start" {
			continue
		}
		if beside += 12; m.X > last+letterApart { // peak and break lie on one another
			beside = 0
		}
		last = m.X
		at := plotter.XYs{{X: m.t.Seconds(), Y: m.f * per.Value}}
		if s, err := plotter.NewScatter(at); err == nil {
			s.GlyphStyle.Color, s.GlyphStyle.Radius, s.GlyphStyle.Shape = inkOf, 4, draw.RingGlyph{}
			if m.Kind == "break" {
				s.GlyphStyle.Shape = draw.CrossGlyph{}
			}
			p.Add(s)
		}
		if l, err := plotter.NewLabels(plotter.XYLabels{XYs: at, Labels: []string{m.Letter}}); err == nil {
			style(&l.TextStyle[0], 11, draw.XCenter, inkOf)
			l.Offset = vg.Point{X: vg.Points(beside), Y: vg.Points(6)}
			p.Add(l)
		}
	}
	if text := g.markWords(); text != "" {
		p.X.Label.Text += "\n" + text
	}
}

// markWords is what the marks are, by their letters, in lines below the axis.
func (g *figure) markWords() string {
	const aLine = 2
	text, n := "", 0
	for _, m := range g.Marks {
		if m.Kind == "zero" || m.Kind == "start" {
			continue
		}
		switch {
		case n > 0 && n%aLine == 0:
			text += "\n"
		case n > 0:
			text += "     "
		}
		n++
		text += m.Letter + "  " + m.What + ": " + m.When + ", " + m.Force
	}
	return text
}

// plotTrace draws the force, broken where it was out of sight.
func (f *facts) plotTrace(p *plot.Plot, g *figure, per float64) {
	var run plotter.XYs
	end := func() {
		// In short pieces: what draws a line looks through all of it that lies on
		// the same row of dots, so that a long noisy one would take seconds.
		const piece = 48
		for len(run) > 0 {
			n := min(piece, len(run))
			straight(p, run[:n], forceOf, 1.1, nil)
			if n == len(run) {
				break
			}
			run = run[n-1:]
		}
		run = nil
	}
	span := (g.To - g.From).Seconds() / float64(len(g.columns))
	last := math.Inf(-1)
	for i, c := range g.columns {
		if c.empty() {
			if c.blind {
				end()
			}
			continue
		}
		at := g.From.Seconds() + (float64(i)+0.5)*span
		first, second := float64(c.low)*per, float64(c.high)*per
		if math.Abs(second-last) < math.Abs(first-last) {
			first, second = second, first
		}
		run = append(run, plotter.XY{X: at, Y: first}, plotter.XY{X: at, Y: second})
		last = second
	}
	end()
}

// straight adds a line.
func straight(p *plot.Plot, pts plotter.XYs, c color.Color, wide float64, dashes []vg.Length) {
	l, err := plotter.NewLine(pts)
	if err != nil {
		return // a value that is no number
	}
	l.Color, l.Width, l.Dashes = c, vg.Points(wide), dashes
	p.Add(l)
}

// words adds a text.
func (f *facts) words(p *plot.Plot, x, y float64, s string, size float64, align text.XAlignment, c color.Color, turn float64) {
	l, err := plotter.NewLabels(plotter.XYLabels{XYs: []plotter.XY{{X: x, Y: y}}, Labels: []string{s}})
	if err != nil {
		return
	}
	style(&l.TextStyle[0], size, align, c)
	l.TextStyle[0].Rotation = turn
	if turn != 0 {
		l.TextStyle[0].YAlign = draw.YCenter
	}
	p.Add(l)
}

func style(s *text.Style, size float64, align text.XAlignment, c color.Color) {
	s.Font.Size, s.Font.Variant, s.XAlign, s.Color = font.Length(size), "Sans", align, c
}

// roundTicks are those of the page.
type roundTicks int

// Ticks makes it a plot.Ticker.
func (n roundTicks) Ticks(low, high float64) (out []plot.Tick) {
	for _, t := range ticks(low, high, int(n)) {
		out = append(out, plot.Tick{Value: t.Value, Label: t.Text})
	}
	return out
}

// short cuts a text to so many characters: a plot makes room for the longest, and
// then there may be none left for the trace.
func short(s string, most int) string {
	r := []rune(s)
	if len(r) > most {
		return string(r[:most-1]) + "…"
	}
	return s
}
