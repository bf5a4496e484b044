package report

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"draghand/internal/compare"
	"draghand/internal/record"
	"draghand/internal/si"
	force "draghand/internal/trace"
)

// Measures of the picture of traces, in its own units.
const (
	overLeft, overRight = 70.0, 936.0
	overTop, overBottom = 58.0, 350.0
	overColumns         = 433 // one every two units
	overSlack           = time.Second
)

// MostTraces is how many traces of a group Batch draws, those of the lowest strengths:
// as many patterns as can be told apart.
const MostTraces = 8

// overFigure is the traces of a group over each other, from the start of the load.
type overFigure struct {
	X, Y      []label
	Lines     []overLine
	Cut       bool // a pull that did not break goes on behind what is drawn of it
	Stress    bool // y is the stress; else the force, since a section is not known
	Unit      string
	Rest      int // traces of the group that are not drawn
	Missing   int // pulls of it without a trace that has a load
	Simulated bool
	Described string
}

// overLine is one trace: a letter, a pattern, and whose it is.
type overLine struct {
	Letter, Bar, Record, Peak, When string
	Dash                            int // 0 to MostTraces−1
	Paths                           []string
	X, Y, LetterX                   float64 // of the peak; of the letter
	t                               *force.Trace
	pull                            *compare.Pull
}

// overlay works the picture of a group's traces out, those of the lowest strengths, the
// newest first; nil where there is none.
func (f *batchFacts) overlay(g *compare.Group) *overFigure {
	o := &overFigure{Stress: true}
	for _, some := range [][]compare.Pull{g.Pulls, g.Censored} {
		for i := range some {
			if len(o.Lines) == MostTraces {
				o.Rest++
				continue
			}
			p := &some[i]
			t := f.traces[p.Dir]
			if !drawable(t) {
				o.Missing++
				continue
			}
			o.Lines = append(o.Lines, overLine{t: t, pull: p, Bar: tidy(p.Bar), Record: tidy(p.Record)})
			o.Stress = o.Stress && t.Area > 0
			o.Simulated = o.Simulated || p.Simulated || t.Simulated
		}
	}
	if len(o.Lines) == 0 {
		return nil
	}
	// In the order of the screen, so that a pull has one letter on both.
	slices.SortStableFunc(o.Lines, func(a, b overLine) int {
		return record.Later(a.pull.Started, a.pull.Record, b.pull.Started, b.pull.Record)
	})
	for i := range o.Lines {
		o.Lines[i].Dash, o.Lines[i].Letter = i, string(force.Letter(i))
	}
	f.draw(o)
	return o
}

// drawable says that a trace has a load, and forces that are some.
func drawable(t *force.Trace) bool {
	if t == nil || t.Loaded == 0 || len(t.Columns) == 0 || !finiteForce(t.PeakForce) {
		return false
	}
	return !slices.ContainsFunc(t.Columns, func(c force.Column) bool { return !finiteForce(c.Low) || !finiteForce(c.High) })
}

func finiteForce(f si.Force) bool { return f-f == 0 }

// ending is until when a trace is drawn: a little behind its break, or behind its peak
// by half of the time the load took. One that was let off may go on for hours.
func ending(t *force.Trace) time.Duration {
	if t.Break > 0 {
		return min(t.End, t.Break+overSlack)
	}
	return min(t.End, t.Peak+max((t.Peak-t.Loaded)/2, 2*overSlack))
}

// value is a force as it is drawn, in the unit of the axis.
func (f *batchFacts) value(o *overFigure, t *force.Trace, v si.Force) float64 {
	if o.Stress {
		return si.Stress(float64(v) / float64(t.Area)).In(f.opt.Units).Value
	}
	return v.In(f.opt.Units).Value
}

// draw makes the lines: each up and down through both extremes of each column.
func (f *batchFacts) draw(o *overFigure) {
	o.Unit = si.Force(0).In(f.opt.Units).Unit
	if o.Stress {
		o.Unit = si.Stress(0).In(f.opt.Units).Unit
	}
	long, low, high := time.Duration(0), 0.0, 0.0
	columns := make([][]force.Column, len(o.Lines))
	for i := range o.Lines {
		t := o.Lines[i].t
		end := ending(t)
		o.Cut = o.Cut || end < t.End && t.Break == 0
		columns[i] = t.Between(max(0, t.Loaded-overSlack), end+1, overColumns)
		long = max(long, end-t.Loaded)
		for _, c := range columns[i] {
			low, high = min(low, f.value(o, t, c.Low)), max(high, f.value(o, t, c.High))
		}
	}
	if !(high > low) {
		high = low + 1
	}
	room := 0.05 * (high - low)
	if low < 0 {
		low -= room
	}
	x := scale{-overSlack.Seconds(), max(long.Seconds(), 0.001), overLeft, overRight}
	y := scale{low, high + room, overBottom, overTop}
	for _, t := range ticks(x.low, x.high, 9) {
		o.X = append(o.X, label{x.at(t.Value), t.Text})
	}
	for _, t := range ticks(y.low, y.high, 6) {
		o.Y = append(o.Y, label{y.at(t.Value), t.Text})
	}
	for i := range o.Lines {
		l := &o.Lines[i]
		l.Paths = f.paths(o, l.t, columns[i], x, y)
		l.X = min(max(x.at((l.t.Peak-l.t.Loaded).Seconds()), overLeft), overRight)
		l.Y = y.at(f.value(o, l.t, l.t.PeakForce))
		l.Peak = l.t.PeakForce.Text(f.opt.Units)
		l.When = seconds(l.t.Peak - l.t.Loaded)
	}
	letters(o.Lines)
	var b strings.Builder
	fmt.Fprintf(&b, "%s against time from the start of the load, %d pulls.", map[bool]string{true: "Stress", false: "Force"}[o.Stress], len(o.Lines))
	for _, l := range o.Lines {
		fmt.Fprintf(&b, " %s: %s, peak %s after %s.", l.Letter, l.Bar, l.Peak, l.When)
	}
	o.Described = b.String()
}

// paths are the lines of one trace; where the force was out of sight one ends.
func (f *batchFacts) paths(o *overFigure, t *force.Trace, all []force.Column, x, y scale) (out []string) {
	var b strings.Builder
	last := math.NaN()
	for _, c := range all {
		if c.Gap && b.Len() > 0 {
			out = append(out, b.String())
			b.Reset()
		}
		at := x.at((c.At - t.Loaded).Seconds())
		if at < overLeft-1 || at > overRight+1 {
			continue
		}
		first, second := y.at(f.value(o, t, c.Low)), y.at(f.value(o, t, c.High))
		if math.Abs(second-last) < math.Abs(first-last) {
			first, second = second, first
		}
		fmt.Fprintf(&b, "%c%.1f %.1f", "ML"[min(1, b.Len())], at, first)
		if math.Abs(second-first) >= 0.05 {
			fmt.Fprintf(&b, "L%.1f %.1f", at, second)
		}
		last = second
	}
	if b.Len() > 0 {
		out = append(out, b.String())
	}
	return out
}

// letters puts the letters into their lane above the picture, from left to right in
// the order of the peaks, so that none lies on another.
func letters(all []overLine) {
	order := make([]*overLine, len(all))
	for i := range all {
		order[i] = &all[i]
		for j := i; j > 0 && order[j].X < order[j-1].X; j-- {
			order[j], order[j-1] = order[j-1], order[j]
		}
	}
	for i, l := range order {
		l.LetterX = l.X
		if i > 0 {
			l.LetterX = max(l.LetterX, order[i-1].LetterX+letterApart)
		}
	}
	limit := overRight
	for i := len(order) - 1; i >= 0; i-- {
		order[i].LetterX = min(order[i].LetterX, limit)
		limit = order[i].LetterX - letterApart
	}
}
