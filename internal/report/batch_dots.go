package report

import (
	"fmt"
	"math"
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
)

// dotFigure is every bar of every group on one scale.
type dotFigure struct {
	High, Bottom, Middle float64 // of the picture; of its frame; where the words of the axis stand
	X                    []label
	Rows                 []dotRow
	Minimum              *label
	Unit                 string
	More                 int // groups that are not drawn
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
}

// dot is a bar.
type dot struct {
	X, Y    float64
	Held    bool // it bore at least so much
	Flagged bool
	Name    string
	at      float64 // Pa
}

// dots works the dot plot out; nil where there is nothing to draw.
func (f *batchFacts) dots() *dotFigure {
	x, ok := f.dotScale()
	if !ok {
		return nil
	}
	sys := f.opt.Units
	d := &dotFigure{Unit: si.Stress(0).In(sys).Unit, More: max(0, len(f.c.Groups)-MostGroups)}
	groups := f.c.Groups[:min(len(f.c.Groups), MostGroups)]
	d.Bottom = dotsTop + dotsRow*float64(len(groups))
	d.High, d.Middle = d.Bottom+44, (dotsLeft+dotsRight)/2
	per := si.Stress(1).In(sys).Value
	for _, t := range ticks(x.low*per, x.high*per, 9) {
		d.X = append(d.X, label{x.at(t.Value / per), t.Text})
	}
	if m := float64(f.c.Options.Minimum); m > 0 {
		if m >= x.low && m <= x.high {
			d.Minimum = &label{x.at(m), "minimum " + compare.StatedText(si.Stress(m), sys)}
		} else {
			d.Far = append(d.Far, "the minimum of "+compare.StatedText(si.Stress(m), sys))
		}
	}
	for i := range groups {
		g := &groups[i]
		r := dotRow{Y: dotsTop + dotsRow*float64(i), Name: shortName(g.Name, dotsName)}
		r.TextY, r.SmallY, r.MeanY = r.Y+25, r.Y+40, r.Y+dotsRow-9
		r.Small = fmt.Sprintf("n = %d", len(g.Pulls))
		sim, all := g.Simulated()
		d.Simulated = d.Simulated || sim > 0
		if sim > 0 {
			r.Small += ", simulated"
			if sim < all {
				r.Small += " in part"
			}
		}
		r.Dots = placed(g, x, r.Y+(dotsRow-18)/2)
		if s := &g.Strength; len(g.Pulls) > 1 && !g.Alike {
			r.Mean = x.at(s.Mean)
			if !math.IsNaN(s.MeanLow) {
				r.Low, r.High = max(x.at(s.MeanLow), dotsLeft), min(x.at(s.MeanHigh), dotsRight)
			}
		}
		if k := g.CountOn; k != nil && !k.Nothing(sys) {
			r.CountOn, r.CountOnY = x.at(float64(k.Strength)), r.MeanY
		}
		d.Rows = append(d.Rows, r)
	}
	d.Described = f.describedDots()
	return d
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
			take(float64(k.Strength))
		}
	}
	if !(low <= high) {
		return scale{}, false
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
func (f *batchFacts) describedDots() string {
	var b strings.Builder
	b.WriteString("Strength of every bar, a row a group on one scale.")
	for i := range f.c.Groups[:min(len(f.c.Groups), MostGroups)] {
		b.WriteString(" " + tidy(f.c.Groups[i].Headline(f.opt.Units)))
	}
	return b.String()
}
