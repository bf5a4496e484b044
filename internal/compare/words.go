package compare

import (
	"fmt"
	"math"
	"strings"

	"draghand/internal/si"
)

// Lines is the whole answer in words, a paragraph each and an empty line between the
// groups; they are not wrapped. The dot plot is not among them: see Dots.
func (c *Comparison) Lines(sys si.System) []string {
	var out []string
	if t := c.Options.Chosen.Line(); t != "" {
		out = append(out, t)
	}
	for i := range c.Groups {
		if len(out) > 0 {
			out = append(out, "")
		}
		out = append(out, c.Groups[i].lines(c, sys)...)
	}
	if t := c.offer(sys); t != "" {
		out = append(out, "", t)
	}
	if t := c.differs(sys); len(t) > 0 {
		out = append(append(out, ""), t...)
	}
	if len(c.Notes) > 0 {
		out = append(out, "")
	}
	for _, n := range c.Notes {
		out = append(out, "CAUTION: "+n+".")
	}
	if len(c.Outside) > 0 {
		out = append(out, "", "In no group:")
		for i := range c.Outside {
			out = append(out, c.Outside[i].leftLine(sys))
		}
	}
	if len(c.Groups)+len(c.Outside) == 0 {
		out = append(out, "There is no pull to compare.")
	}
	return out
}

// lines are those of one group: what every shop asks first, first.
func (g *Group) lines(c *Comparison, sys si.System) []string {
	var out []string
	add := func(t string) {
		if t != "" {
			out = append(out, t)
		}
	}
	add(g.Headline(sys))
	if n := len(g.Pulls); n > 0 {
		add(g.barsLine(sys))
		if m := &g.Strength; n > 1 && !g.Alike && !math.IsNaN(m.MeanLow) {
			add(fmt.Sprintf("The mean lies between %s and %s (%s).", number(m.MeanLow, sys), text(m.MeanHigh, sys), whole(m.Level)))
		}
	}
	if k := g.CountOn; k != nil {
		add(k.Sentence(g, sys))
		add(k.coverageLine(g))
		if !k.Nothing(sys) {
			add(g.HoldsFor(sys))
		}
	} else if len(g.Pulls) > 0 {
		add(g.noBound(sys))
	}
	add(g.minimumLine(c.Options.Minimum, sys))
	for _, n := range g.Cautions() {
		add("CAUTION: " + n + ".")
	}
	add(g.outlierLine(sys))
	add(g.normalLine(c.Options.Level))
	add(g.longerLine())
	add(g.weibullLine(sys))
	if len(g.Censored) > 0 {
		add("Bore at least so much (not in mean and bound; Weibull takes them so):")
		for i := range g.Censored {
			add(g.Censored[i].leftLine(sys))
		}
	}
	if len(g.Left) > 0 {
		add("Left out:")
		for i := range g.Left {
			add(g.Left[i].leftLine(sys))
		}
	}
	return out
}

// Headline is the group in one sentence: how many count, mean, scatter and range.
func (g *Group) Headline(sys si.System) string {
	name := g.Name
	switch sim, all := g.Simulated(); {
	case sim == 0:
	case sim == all:
		name += " (simulated)"
	default:
		name += fmt.Sprintf(" (%d of %d simulated)", sim, all)
	}
	s := &g.Strength
	switch len(g.Pulls) {
	case 0:
		return name + ": no bar counts."
	case 1:
		return fmt.Sprintf("%s: 1 bar counts, %s.", name, text(s.Mean, sys))
	}
	scatter := fmt.Sprintf("scatter (SD) %s, %s", finer(s.SD, sys), percent(s.CV, 1))
	if g.Alike {
		scatter = "no scatter that can be seen"
	}
	return fmt.Sprintf("%s: %d bars count, mean %s, %s, lowest %s, highest %s, median %s.",
		name, len(g.Pulls), text(s.Mean, sys), scatter, number(s.Least, sys), number(s.Most, sys), text(s.Median, sys))
}

// barsLine names every bar that counts, the lowest first; of very many the ends.
func (g *Group) barsLine(sys si.System) string {
	const ends = 10
	n := len(g.Pulls)
	parts := []string{}
	for i := range g.Pulls {
		if n > 2*ends && i == ends {
			parts = append(parts, fmt.Sprintf("%d between", n-2*ends))
		}
		if n <= 2*ends || i < ends || i >= n-ends {
			parts = append(parts, g.Pulls[i].Bar+" "+number(float64(g.Pulls[i].Strength), sys))
		}
	}
	return "Bars, lowest first: " + strings.Join(parts, ", ") + " " + si.Stress(0).In(sys).Unit + "."
}

// noBound says why there is no strength to count on.
func (g *Group) noBound(sys si.System) string {
	switch {
	case g.Refused != "":
		return "There is no strength to count on: " + g.Refused + ". " + g.Bound.sentence(sys)
	case len(g.Pulls) == 1:
		return "There is no strength to count on yet: one bar says nothing of the scatter."
	case g.Alike:
		return "There is no strength to count on: all bars read alike, so their scatter is not known."
	}
	return "There is no strength to count on: no bound can be reckoned."
}

// longerLine is the elongation of those bars it is known of.
func (g *Group) longerLine() string {
	e := &g.Elongation
	switch {
	case e.N == 0:
		return ""
	case e.N == 1:
		return fmt.Sprintf("Elongation of 1 bar: %s.", percent(e.Mean, 1))
	}
	return fmt.Sprintf("Elongation of %d bars: mean %s, scatter (SD) %s, from %s to %s.",
		e.N, percent(e.Mean, 1), percent(e.SD, 1), percent(e.Least, 1), percent(e.Most, 1))
}

// leftLine is a pull that is left out, with its reason.
func (p *Pull) leftLine(sys si.System) string {
	name := p.Bar
	if p.Record != "" && p.Record != p.Bar {
		name += " (" + p.Record + ")"
	}
	if p.AtLeast > 0 {
		return fmt.Sprintf("  %s: at least %s: %s", name, p.AtLeast.Text(sys), strings.TrimPrefix(p.Out, boreAtLeast))
	}
	return fmt.Sprintf("  %s: %s", name, p.Out)
}

// differs is how groups compare with each other.
func (c *Comparison) differs(sys si.System) []string {
	if a := c.Analysis; a != nil {
		says := fmt.Sprintf("NOT SETTLED whether the %d groups differ", a.Groups)
		if a.P < c.Options.Level {
			says = fmt.Sprintf("THE %d GROUPS ARE NOT ALL ALIKE (which of them, the test does not tell)", a.Groups)
		}
		t := fmt.Sprintf("%s: were all of them alike, means so far apart would come up by chance %s (analysis of variance: F %s of %d and %d degrees of freedom, p %s).",
			says, chance(a.P), digits3(a.F), a.DoF1, a.DoF2, short(a.P))
		t += fmt.Sprintf(" The scatter within a group is %s", finer(a.WithinSD, sys))
		if a.AmongSD > 0 {
			t += fmt.Sprintf(", that among the groups themselves %s", finer(a.AmongSD, sys))
		}
		if t += "."; a.P >= c.Options.Level {
			t += " That does not show that they are alike."
		}
		return []string{t}
	}
	if c.Difference == nil {
		return nil
	}
	return c.Difference.lines(c.Options.Level, sys)
}

// lines are the difference of two groups in words.
func (d *Difference) lines(level float64, sys si.System) []string {
	size, way := math.Abs(d.Diff), "higher"
	low, high := d.Low, d.High
	if d.Diff < 0 {
		way, low, high = "lower", -d.High, -d.Low
	}
	test := fmt.Sprintf("(Welch: t %s of %s degrees of freedom, p %s)", si.Number(d.T, 2), digits3(d.DoF), short(d.P))
	var out []string
	if d.P < level {
		out = append(out, fmt.Sprintf("%s AND %s DIFFER%s: the mean of %s is %s %s, between %s and %s %s (%s). Were they alike, a difference so large or larger would come up by chance %s %s.",
			d.From, d.To, d.asRead(), d.To, spread(size, sys), way, bare(low, sys), spread(high, sys), way, whole(d.Level), chance(d.P), test))
	} else {
		says := "NOT SETTLED"
		if d.Few {
			says = "TOO FEW BARS TO TELL"
		}
		mean := spread(size, sys) + " " + way
		if strings.Trim(bare(size, sys), "0.") == "" {
			mean = "that of " + d.From
		}
		out = append(out, fmt.Sprintf("%s whether %s and %s differ: the mean of %s is %s, and anything from %s lower to %s higher fits (%s). Were they alike, a difference so large or larger would come up by chance %s %s. That does not show that they are alike.",
			says, d.From, d.To, d.To, mean, spread(math.Abs(min(d.Low, 0)), sys), spread(max(d.High, 0), sys), whole(d.Level), chance(d.P), test))
	}
	switch {
	case d.SameRig:
		on := "on the same rig, which has no calibration"
		if d.Calibrated {
			on = "on the same rig by the same calibration"
		}
		out = append(out, "Both were pulled "+on+": what the rig itself may be off is the same in both, and is not in the difference.")
	case d.Untold && d.Known:
		out = append(out, fmt.Sprintf("Nobody says that they are of one machine: what the machines may be off, ± %s of the difference, comes on top and is not in this interval%s.",
			toward(d.Expanded(), sys, 1, math.Ceil), d.by()))
	case d.Untold:
		out = append(out, "Nobody says that they are of one machine, and what the machines may be off is not known: it comes on top and is not in this interval.")
	case d.Known:
		out = append(out, fmt.Sprintf("They were not pulled on the same rig by the same calibration and read in the same way: what the rigs themselves may be off, ± %s of the difference, comes on top and is not in this interval%s.",
			toward(d.Expanded(), sys, 1, math.Ceil), d.by()))
	default:
		out = append(out, "They were not pulled on the same rig by the same calibration and read in the same way, and what the rigs themselves may be off is not known: it comes on top and is not in this interval.")
	}
	return out
}
