package compare

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"draghand/internal/batch"
)

// Of compares pulls. The order of them does not matter. Each is in just one place:
// in a group among those that count, those that bore at least so much or those left
// out; or outside all groups.
func Of(pulls []Pull, by By, o Options) Comparison {
	c := Comparison{By: by, Options: o.filled(pulls)}
	if c.By.Field == "" {
		c.By.Field = ByAll
	}
	groups := map[string]*Group{}
	group := func(name string) *Group {
		if groups[name] == nil {
			groups[name] = &Group{Name: name}
		}
		return groups[name]
	}
	for _, name := range c.By.wanted() {
		group(name)
	}
	all := slices.Clone(pulls)
	slices.SortFunc(all, before)
	seen := sameRecords(all, func(p *Pull) bool {
		name, _ := c.By.place(p)
		return name != ""
	})
	sameRows(all, &seen)
	for i := range all {
		p := all[i]
		name, why := c.By.place(&p)
		if c.By.Field == ByMarked && seen.apart(i) {
			p.Strength, p.AtLeast, p.Out, name, why = 0, 0, seen.inSeveral(i), "", ""
		} else if twice := seen.again(i); twice != "" {
			p.Strength, p.AtLeast, p.Out = 0, 0, twice
		}
		if name == "" {
			if p.Out == "" || why != "" && p.Kind != "" {
				p.Out = why
			}
			c.Outside = append(c.Outside, p)
			continue
		}
		group(name).put(p)
	}
	for _, g := range groups {
		if one := g.OneMelt(); c.By.Field == ByAll && one != "" { // as it would be called by melt
			g.Name = one
		}
		c.Groups = append(c.Groups, *g)
	}
	slices.SortFunc(c.Groups, func(a, b Group) int { return inOrder(a.Name, b.Name) })
	for i := range c.Groups {
		c.Groups[i].reckon(c.Options)
	}
	c.spelled(all)
	c.between()
	return c
}

// filled has the usual options in the place of those that are not given or cannot
// be.
func (o Options) filled(pulls []Pull) Options {
	n := NewOptions()
	inside := func(v, otherwise float64) float64 {
		if v > 0 && v < 1 {
			return v
		}
		return otherwise
	}
	o.Content, o.Confidence, o.Level = inside(o.Content, n.Content), inside(o.Confidence, n.Confidence), inside(o.Level, n.Level)
	if o.Side != batch.Low && o.Side != batch.High {
		o.Side = n.Side
	}
	if !(o.Minimum > 0) || math.IsInf(float64(o.Minimum), 0) {
		o.Minimum = 0
	}
	o.Chosen = o.Chosen.ordered(pulls)
	return o
}

// before orders pulls so that no result hangs on how they were given.
func before(a, b Pull) int {
	return cmp.Or(
		a.Started.Compare(b.Started), inOrder(a.Bar, b.Bar), strings.Compare(a.Record, b.Record), strings.Compare(a.Dir, b.Dir), strings.Compare(a.Place, b.Place),
		strings.Compare(a.Marked, b.Marked), cmp.Compare(a.Strength, b.Strength), cmp.Compare(a.AtLeast, b.AtLeast), strings.Compare(a.Out, b.Out),
	)
}

// put takes a pull into a group.
func (g *Group) put(p Pull) {
	switch {
	case finite(float64(p.AtLeast)):
		g.Censored = append(g.Censored, p)
	case finite(float64(p.Strength)) && p.Out == "":
		g.Pulls = append(g.Pulls, p)
	default:
		if p.Out == "" {
			p.Out = "no strength is known of it"
		}
		g.Left = append(g.Left, p)
	}
}

// finite says that a strength is one: above nothing, and a number.
func finite(v float64) bool { return v > 0 && !math.IsInf(v, 0) }

// between compares the groups with each other.
func (c *Comparison) between() {
	if t := c.Unread(); t != "" {
		c.note("%s", t)
	}
	var values [][]float64
	var of []*Group
	var few, alike []string
	for i := range c.Groups {
		g := &c.Groups[i]
		if len(g.Pulls) < 2 {
			few = append(few, g.Name)
			continue
		}
		if g.Alike {
			alike = append(alike, g.Name)
			continue
		}
		of, values = append(of, g), append(values, strengths(g.Pulls))
	}
	if len(c.Groups) > 1 && len(few) > 0 {
		c.note("fewer than two bars count in %s: not in the comparison of the groups", list(few))
	}
	if len(c.Groups) > 1 && len(alike) > 0 {
		c.note("all bars of %s read alike, so their scatter is not known: not in the comparison of the groups", list(alike))
	}
	switch {
	case len(of) == 2:
		c.Difference = difference(of[0], of[1], values, c.Options.Level)
		if c.Difference == nil {
			c.note("all bars of each group read alike: nothing can be said of how sure the difference is")
		}
	case len(of) > 2:
		a, err := batch.Variance(values)
		if err == nil && !math.IsNaN(a.P) {
			c.Analysis = &a
			if p, err := batch.AlikeScatter(values); err == nil && p < c.Options.Level {
				c.note("the groups do not scatter alike (Bartlett, p %s): the analysis of variance takes them to, and may call too many groups different or too few: look at two of them at a time", short(p))
			}
		} else {
			c.note("all bars of each group read alike: nothing can be said of how sure their differences are")
		}
	}
	if len(of) > 1 {
		c.unlike(of)
	}
}

func (c *Comparison) note(format string, a ...any) {
	c.Notes = append(c.Notes, fmt.Sprintf(format, a...))
}

// difference is of two groups; nil where none can be told.
func difference(from, to *Group, values [][]float64, level float64) *Difference {
	w, err := batch.Welch(values[0], values[1], 1-level)
	if err != nil || math.IsNaN(w.P) {
		return nil
	}
	none := commonOf(0, 0)
	d := Difference{Difference: w, From: from.Name, To: to.Name, Coverage: none.k, CommonDoF: none.dof}
	d.Few = w.High-w.Low > (from.Strength.Mean+to.Strength.Mean)/2
	d.Untold = counted(from.Pulls, assumed)+counted(to.Pulls, assumed) > 0
	d.SameRig = !d.Untold && len(commons(from.Pulls, to.Pulls)) == 1
	d.Calibrated = counted(from.Pulls, calibrated) == len(from.Pulls) && counted(to.Pulls, calibrated) == len(to.Pulls)
	a, one := largestCommon(from.Pulls)
	b, two := largestCommon(to.Pulls)
	d.Known = one == 0 && two == 0
	if d.Known && !d.SameRig {
		// What they are off by is taken as of no relation: two rigs, two references.
		off := a.with(b)
		d.Common, d.Coverage, d.CommonDoF = off.u, off.k, off.dof
	}
	return &d
}
