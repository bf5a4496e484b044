package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// Measures of the dot plot, in its own units.
const (
	dotsLeft, dotsRight = 190.0, 930.0
	dotsTop, dotsRow    = 14.0, 54.0
	dotSize             = 4.6
	dotsName            = 24 // letters of a group's name
	dotsRows            = 16 // groups of one picture
)

// dotFigure is every bar of some groups on the scale of all.
type dotFigure struct {
	ID                   string
	High, Bottom, Middle float64 // of the picture; of its frame; where the words of the axis stand
	X                    []label
	Rows                 []dotRow
	Minimum              *label
	Unit                 string
	More                 int // groups that no picture has
	Far                  []string
	Simulated            bool
	Described            string
}

// dotRow is a group.
type dotRow struct {
	Y, TextY, SmallY  float64
	Name, Small       string
	Dots              []dot
	Mean, Low, High   float64 // places; 0: not drawn
	MeanY             float64
	CountOn, CountOnY float64
	Off               bool // the interval of the mean goes on outside the picture
}

// dot is a bar.
type dot struct {
	X, Y    float64
	Held    bool // it bore at least so much
	Flagged bool
	Name    string
	at      float64 // Pa
}

// dots works the dot plot out, in parts that a sheet of paper has room for; none where
// there is nothing to draw.
func (f *batchFacts) dots() (out []*dotFigure) {
	x, ok := f.dotScale()
	if !ok {
		return nil
	}
	groups := f.c.Groups[:min(len(f.c.Groups), MostGroups)]
	parts := (len(groups) + dotsRows - 1) / dotsRows
	for some := range slices.Chunk(groups, (len(groups)+parts-1)/parts) {
		d := f.dotsOf(some, x)
		d.ID = fmt.Sprintf("dots-%d", len(out)+1)
		out = append(out, d)
	}
	last := out[len(out)-1]
	last.More = max(0, len(f.c.Groups)-MostGroups)
	if m := f.c.Options.Minimum; m > 0 && last.Minimum == nil {
		last.Far = append(last.Far, "the minimum of "+compare.StatedText(m))
	}
	return out
}

// dotsOf are the dots of some groups.
func (f *batchFacts) dotsOf(groups []compare.Group, x scale) *dotFigure {
	sys := f.opt.Units
	d := &dotFigure{Unit: si.Stress(0).In(sys).Unit}
	d.Bottom = dotsTop + dotsRow*float64(len(groups))
	d.High, d.Middle = d.Bottom+44, (dotsLeft+dotsRight)/2
	per := si.Stress(1).In(sys).Value
	for _, t := range ticks(x.low*per, x.high*per, 9) {
		d.X = append(d.X, label{x.at(t.Value / per), t.Text})
	}
	if m := float64(f.c.Options.Minimum); m > 0 && m >= x.low && m <= x.high {
		d.Minimum = &label{x.at(m), "minimum " + compare.StatedText(si.Stress(m))}
	}
	for i := range groups {
		r := f.dotRow(&groups[i], x, dotsTop+dotsRow*float64(i))
		sim, _ := groups[i].Simulated()
		d.Simulated = d.Simulated || sim > 0
		d.Rows = append(d.Rows, r)
		if s := &groups[i].Strength; r.Off {
			d.Far = append(d.Far, fmt.Sprintf("the interval of the mean of %s, %s to %s", r.Name, si.Stress(s.MeanLow).In(sys).Number(), si.Stress(s.MeanHigh).Text(sys)))
		}
	}
	d.Described = f.describedDots(groups)
	return d
}

// dotRow is a group from the height y on.
func (f *batchFacts) dotRow(g *compare.Group, x scale, y float64) dotRow {
	r := dotRow{Y: y, TextY: y + 25, SmallY: y + 40, MeanY: y + dotsRow - 9, Name: shortName(g.Name, dotsName)}
	r.Small = fmt.Sprintf("n = %d", len(g.Pulls))
	if sim, all := g.Simulated(); sim > 0 {
		r.Small += ", simulated"
		if sim < all {
			r.Small += " in part"
		}
	}
	r.Dots = placed(g, x, y+(dotsRow-18)/2)
	if s := &g.Strength; len(g.Pulls) > 1 && !g.Alike {
		r.Mean = x.at(s.Mean)
		if !math.IsNaN(s.MeanLow) {
			r.Low, r.High = max(x.at(s.MeanLow), dotsLeft), min(x.at(s.MeanHigh), dotsRight)
			r.Off = s.MeanLow < x.low || s.MeanHigh > x.high
		}
	}
	if k := g.CountOn; k != nil && !k.Nothing(f.opt.Units) {
		r.CountOn, r.CountOnY = x.at(float64(k.Mark(f.c.Options.Minimum, f.opt.Units))), r.MeanY
	}
	return r
}

// dotScale is the axis of strengths; false where there is none.
func (f *batchFacts) dotScale() (scale, bool) {
	low, high := math.Inf(1), math.Inf(-1)
	take := func(v float64) { low, high = min(low, v), max(high, v) }
	for i := range f.c.Groups {
		g := &f.c.Groups[i]
		for j := range g.Pulls {
			take(float64(g.Pulls[j].Strength))
		}
		for j := range g.Censored {
			take(float64(g.Censored[j].AtLeast))
		}
		if k := g.CountOn; k != nil && !k.Nothing(f.opt.Units) {
			take(float64(k.Mark(f.c.Options.Minimum, f.opt.Units)))
		}
	}
	if !(low <= high) {
		return scale{}, false
	}
	span, least, most := high-low, low, high
	for i := range f.c.Groups { // the interval of the mean, as far as it leaves the bars to be seen
		if s := &f.c.Groups[i].Strength; !math.IsNaN(s.MeanLow) && !math.IsNaN(s.MeanHigh) && len(f.c.Groups[i].Pulls) > 1 {
			take(max(s.MeanLow, least-span))
			take(min(s.MeanHigh, most+span))
		}
	}
	if m := float64(f.c.Options.Minimum); m > 0 && m > low-(high-low) && m < high+(high-low) {
		take(m)
	}
	room := 0.04 * (high - low)
	if room == 0 {
		room = 0.02*high + 1
	}
	return scale{low - room, high + room, dotsLeft, dotsRight}, true
}

// placed are the dots of a group around the height mid: those at one place above and
// below each other, nearer where there are many, and the row is never left.
func placed(g *compare.Group, x scale, mid float64) []dot {
	var out []dot
	for j := range g.Pulls {
		p := &g.Pulls[j]
		flagged := g.Outlier != nil && g.Outlier.Flagged && g.Outlier.Index == j
		out = append(out, dot{Flagged: flagged, Name: tidy(p.Bar), at: float64(p.Strength)})
	}
	for j := range g.Censored {
		p := &g.Censored[j]
		out = append(out, dot{Held: true, Name: tidy(p.Bar), at: float64(p.AtLeast)})
	}
	bin := func(d *dot) int { return int(math.Round(x.at(d.at) / (2 * dotSize))) }
	many := map[int]int{}
	for i := range out {
		many[bin(&out[i])]++
	}
	met := map[int]int{}
	for i := range out {
		d := &out[i]
		b := bin(d)
		apart := min(2*dotSize+0.6, (dotsRow-18-2*dotSize)/float64(max(1, many[b]-1)))
		d.X, d.Y = x.at(d.at), mid+apart*(float64(met[b])-float64(many[b]-1)/2)
		met[b]++
	}
	return out
}

// describedDots is the picture in words.
func (f *batchFacts) describedDots(groups []compare.Group) string {
	var b strings.Builder
	b.WriteString("Strength of every bar, a row a group on one scale.")
	for i := range groups {
		b.WriteString(" " + tidy(groups[i].Headline(f.opt.Units)))
	}
	return b.String()
}
