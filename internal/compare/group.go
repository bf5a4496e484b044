package compare

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"draghand/internal/batch"
	"draghand/internal/si"
)

// fewBars is under how many a bound is mostly the factor, and hardly the metal: for
// 90/95 it is 3.4 of 5 bars, 6.2 of 3.
const fewBars = 5

// leastBars is under how many nothing may be counted on, and leastShare under what
// content or confidence a bound is none to count on. Our own rules.
const (
	leastBars  = 3
	leastShare = 0.90
)

// alikeSD is what share of the mean a scatter has to be above to be more than dust of
// the arithmetic between units, and alikeRange what the weakest and the strongest bar
// have to differ by: no reading of a rig is finer than a millionth. Our own rules.
const (
	alikeSD    = 1e-9
	alikeRange = 1e-6
)

func stress(v float64) si.Stress { return si.Stress(v) }

// strengths are those of pulls, Pa.
func strengths(all []Pull) []float64 {
	out := make([]float64, len(all))
	for i := range all {
		out[i] = float64(all[i].Strength)
	}
	return out
}

// reckon fills in all that a group's pulls give.
func (g *Group) reckon(o Options) {
	slices.SortStableFunc(g.Pulls, func(a, b Pull) int { return cmp.Compare(a.Strength, b.Strength) })
	slices.SortStableFunc(g.Censored, func(a, b Pull) int { return cmp.Compare(a.AtLeast, b.AtLeast) })
	x, level := strengths(g.Pulls), 1-o.Level
	g.Strength = batch.Summarize(x, level)
	var longer []float64
	for i := range g.Pulls {
		if e := g.Pulls[i].Elongation; e != nil && !math.IsNaN(*e) && !math.IsInf(*e, 0) {
			longer = append(longer, *e)
		}
	}
	g.Elongation = batch.Summarize(longer, level)
	g.Alike = g.readAlike()
	if !g.Alike {
		if out, err := batch.Grubbs(x, o.Side, o.Level); err == nil {
			g.Outlier = &out
		}
		if n, err := batch.Normal(x); err == nil {
			g.Normality = &n
		}
		g.fit(x, level)
		g.bound(o)
	}
	if g.Alike { // what is not seen has no interval
		g.Strength.MeanLow, g.Strength.MeanHigh = math.NaN(), math.NaN()
	}
	g.Notes = g.cautions(o)
	if g.Bound != nil {
		g.countOn(o)
	}
}

// readAlike says that there are several bars, and that their readings cannot tell them
// apart: all are the same, or lie within one count of the coarsest trace. A dial that
// somebody read hides no more than its division does of the scatter: see bound.
func (g *Group) readAlike() bool {
	s := &g.Strength
	if len(g.Pulls) < 2 || !(s.SD > alikeSD*s.Mean) {
		return len(g.Pulls) > 1
	}
	step := alikeRange * s.Mean
	for i := range g.Pulls {
		if p := &g.Pulls[i]; !p.ByEye {
			step = max(step, trimmed(float64(p.Step)))
		}
	}
	return trimmed(s.Most-s.Least) <= step
}

// fit is of Weibull, with what bore at least so much.
func (g *Group) fit(x []float64, level float64) {
	var least []float64
	for i := range g.Censored {
		least = append(least, float64(g.Censored[i].AtLeast))
	}
	if w, err := batch.FitWeibull(x, least, level); err == nil {
		g.Weibull = &w
	}
	g.Plot = batch.WeibullPlot(x, least)
	g.NormalPlot = batch.NormalPlot(x)
}

// step is the largest step of the readings; 0: none is known.
func (g *Group) step() (most si.Stress) {
	for i := range g.Pulls {
		if s := g.Pulls[i].Step; s > most && !math.IsInf(float64(s), 0) {
			most = s
		}
	}
	return most
}

// bound is the one-sided tolerance bound. Where a step of the readings is larger than
// the scatter, that is partly not seen: what a reading may be off within the step is
// taken into it, as evenly spread (variance step²/12, JCGM 100, 4.3.7). Our own rule.
func (g *Group) bound(o Options) {
	k, err := batch.ToleranceK(len(g.Pulls), o.Content, o.Confidence)
	if err != nil || math.IsNaN(k) || math.IsInf(k, 0) {
		return
	}
	b := Bound{N: len(g.Pulls), K: k, Content: o.Content, Confidence: o.Confidence, SD: stress(g.Strength.SD)}
	if step := g.step(); step > b.SD {
		b.Step, b.SD = step, stress(math.Hypot(g.Strength.SD, float64(step)/math.Sqrt(12)))
	}
	if b.At = stress(g.Strength.Mean - k*float64(b.SD)); !math.IsInf(float64(b.At), 0) {
		g.Bound = &b
	}
}

// refusal says why nothing may be counted on though there is a bound; empty where it
// may.
func (g *Group) refusal(o Options) string {
	sim, n := counted(g.Pulls, simulated), len(g.Pulls)
	switch {
	case sim == 1 && n > 1:
		return fmt.Sprintf("1 of %d bars is simulated, and says nothing of a metal: leave it out", n)
	case sim > 0 && sim < n:
		return fmt.Sprintf("%d of %d bars are simulated, and say nothing of a metal: leave them out", sim, n)
	case n < leastBars:
		return fmt.Sprintf("two bars tell next to nothing of the scatter: pull at least %d, better %d or more", leastBars, fewBars)
	case o.Content < leastShare || o.Confidence < leastShare:
		return fmt.Sprintf("a bound under %s content or %s confidence is a bound, not a strength to count on", whole(leastShare), whole(leastShare))
	}
	return ""
}

// countOn takes what the rig itself may be off from the bound.
func (g *Group) countOn(o Options) {
	if g.Refused = g.refusal(o); g.Refused != "" {
		return
	}
	most, unknown := largestCommon(g.Pulls)
	c := CountOn{Bound: *g.Bound, Common: most.expanded(), Coverage: most.k, DoF: most.dof, Unknown: unknown}
	c.Strength = c.Bound.At - c.Common
	c.Picked = o.Chosen.ByResult != ""
	c.Doubtful, c.Grave = g.doubts(o, unknown)
	c.Promised = promisedFor(c.Strength, o.Minimum)
	if holds := reaches(c.Promised, o.Minimum); o.Minimum > 0 && c.Promised > 0 && (unknown == 0 || !holds) {
		c.Holds = &holds
	}
	g.CountOn = &c
}

// commons are what the common parts of pulls hang on, each once.
func commons(groups ...[]Pull) []string {
	return each(func(p *Pull) string { return p.CommonBy }, groups...)
}

// each is what is said of pulls, each once, in order.
func each(of func(*Pull) string, groups ...[]Pull) []string {
	var out []string
	for _, all := range groups {
		for i := range all {
			out = append(out, of(&all[i]))
		}
	}
	slices.SortFunc(out, inOrder)
	return slices.Compact(out)
}

// counted is of how many pulls something holds.
func counted(all []Pull, is func(*Pull) bool) int {
	n := 0
	for i := range all {
		if is(&all[i]) {
			n++
		}
	}
	return n
}

// Simulated says of how many pulls of the group, left out or not, no metal was broken
// for, and how many there are. What could not be read is none of them: nobody knows
// whether it is a pull at all.
func (g *Group) Simulated() (simulated, of int) {
	for _, all := range [][]Pull{g.Pulls, g.Censored, g.Left} {
		simulated += counted(all, func(p *Pull) bool { return p.Simulated })
		of += len(all) - counted(all, unread)
	}
	return simulated, of
}
