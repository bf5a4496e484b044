package compare

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"draghand/internal/batch"
	"draghand/internal/strength"
)

// likeSections is how far the largest section of a group may be over the smallest:
// a thicker bar cools slower, and is another metal. Our own rule.
const likeSections = 1.10

// doubts are why a strength to count on is given with caution, short, in words; grave are
// those of them for which it should not be trusted: the law or the sample that the bound
// rests on is another, or too little is taken off it.
func (g *Group) doubts(o Options, unknown int) (all, grave string) {
	var out, worst []string
	add := func(is bool, format string, a ...any) {
		if is {
			out = append(out, fmt.Sprintf(format, a...))
		}
	}
	void := func(is bool, format string, a ...any) {
		if add(is, format, a...); is {
			worst = append(worst, out[len(out)-1])
		}
	}
	chosen := o.Chosen.doubt(g)
	void(chosen == picked, "%s", chosen)
	add(chosen != "" && chosen != picked, "%s", chosen)
	void(len(alloys(g.Pulls)) > 1, "the alloys differ")
	void(g.meltsDiffer(o), "its melts differ")
	void(!likeSize(g.Pulls), "the sections differ")
	add(len(g.Pulls) < fewBars, "only %d bars", len(g.Pulls))
	add(g.coarse(), "%s", hardlyRead)
	add(g.missing() > 0, "%s", strongMissing)
	void(g.Normality != nil && g.Normality.P < o.Level, "the scatter is not normal")
	add(g.apartNote() != "" && len(g.Pulls) <= hardlyApart, "%s", oneApart) // two of three that are alike do that
	void(g.apartNote() != "" && len(g.Pulls) > hardlyApart, "%s", oneApart)
	// A bar that counts more than once makes the scatter and k smaller than they are; one
	// that was let off before it broke is in them once.
	again, doubled := twice(g.Pulls, g.Censored), twice(g.Pulls)
	void(len(doubled) > 0, "more than one record is of the bar %s", list(doubled))
	again = slices.DeleteFunc(again, func(bar string) bool { return slices.Contains(doubled, bar) })
	add(len(again) > 0, "more than one record is of the bar %s, one of them of it unbroken", list(again))
	for _, t := range g.twins() {
		void(true, "the tables of %s hold the same rows", t)
	}
	add(len(commons(g.Pulls)) > 1, "not all of one rig and calibration")
	void(unknown > 0, "what the rig may be off is not known of %d of them", unknown)
	add(counted(g.Pulls, assumed) > 0, "how far the machine is off is assumed")
	open := counted(g.Pulls, notLookedAt)
	add(open > 0, "nobody looked at the break of %d of them", open)
	return strings.Join(out, "; "), strings.Join(worst, "; ")
}

// cautions are what speaks against trusting the figures of a group, the gravest
// first, a sentence each without strengths in it.
func (g *Group) cautions(o Options) []string {
	var out []string
	add := func(is bool, format string, a ...any) {
		if is {
			out = append(out, fmt.Sprintf(format, a...))
		}
	}
	n := len(g.Pulls)
	if n == 0 {
		return nil
	}
	sim := counted(g.Pulls, simulated)
	add(sim > 0 && sim < n, "simulated and real bars are mixed: %d of %d are simulated, and say nothing of a metal", sim, n)
	for _, t := range o.Chosen.notes(g) {
		add(true, "%s", t)
	}
	add(len(alloys(g.Pulls)) > 1, "different alloys in one group: %s", list(alloys(g.Pulls)))
	nameless := counted(g.Pulls, func(p *Pull) bool { return p.Alloy == "" })
	add(nameless > 0 && nameless < n, "no alloy is stated of %s", of(nameless, n))
	add(g.meltsDiffer(o), "the melts in this group differ (%s; analysis of variance): a bound over all of them is that of none, compare by melt", list(melts(g.Pulls)))
	add(!likeSize(g.Pulls), "the sections differ by more than 10 %%: a thicker bar cools slower and is another metal")
	add(len(rigs(g.Pulls)) > 1, "pulled on different rigs: %s; what each may be off differs", list(rigs(g.Pulls)))
	add(len(rigs(g.Pulls)) == 1 && len(commons(g.Pulls)) > 1,
		"the rig was not the same for all bars (its file, the calibration, the side, the micrometer or how the peak was read differ): what it may be off differs")
	add(n == 1, "one bar is no batch: it has no scatter and no bound; pull at least %d", fewBars)
	add(n > 1 && n < fewBars, "fewer than %d bars: the bound is mostly the factor for so few, and hardly the metal", fewBars)
	add(g.Alike, "%s read alike: their scatter is finer than the readings, so no bound can be stated", of(n, n))
	add(g.coarse(), "%s: the bound takes a step of the readings into the scatter, and the other tests hang on how they were rounded", hardlyRead)
	add(g.missing() > 0, "%s", g.missingNote())
	add(g.Normality != nil && g.Normality.P < o.Level, notNormal)
	add(g.apartNote() != "", "%s", g.apartNote())
	_, unknown := largestCommon(g.Pulls)
	add(unknown > 0, "what %s may be off is not known of %s: state the accuracy in the rig file, or calibrate", g.itself(), of(unknown, n))
	if n, a := counted(g.Pulls, assumed), largestAssumed(g.Pulls); n > 0 {
		one := ""
		if n > 1 {
			one = ", nor says that they are of one machine"
		}
		add(true, "the accuracy of the machine is assumed of %s (%s of the reading): nobody knows how far that machine is off%s", of(n, len(g.Pulls)), whole(a), one)
	}
	open := counted(g.Pulls, notLookedAt)
	add(open > 0, "nobody looked at the break of %s yet"+finishTakes, of(open, n))
	told := counted(g.Pulls, func(p *Pull) bool { return p.Counts == strength.CountsWithRemarks })
	verb := "count"
	if told == 1 {
		verb = "counts"
	}
	add(told > 0, "%s %s with remarks%s"+resultsHave, of(told, n), verb, g.remarks())
	eye := counted(g.Pulls, func(p *Pull) bool { return p.ByEye })
	add(eye > 0 && n == 1, "the peak of the bar was read off a dial by eye")
	add(eye > 0 && n > 1, "%s: the peak was read off a dial by eye", of(eye, n))
	in := counted(g.Pulls, func(p *Pull) bool { return p.Imported })
	add(in > 0 && n == 1, "the readings of the bar are an imported table")
	add(in > 0 && n > 1, "%s: the readings are an imported table", of(in, n))
	stock := counted(g.Pulls, func(p *Pull) bool { return p.Stock != "" })
	add(stock > 0 && stock < n, "check bars of bought stock are among them: %s", of(stock, n))
	for _, t := range g.twins() {
		add(true, "the tables of %s hold the same rows: bars may give them on a coarse gauge, but one bar counts once; look at the files", t)
	}
	if twice := twice(g.Pulls, g.Censored); len(twice) > 0 {
		add(true, "more than one record is of the bar %s: a bar breaks once, look at the labels", list(twice))
	}
	return out
}

// remarks are the commonest that bars count with, and of how many bars.
func (g *Group) remarks() string {
	const most = 2
	times, all := map[string]int{}, []string{}
	for i := range g.Pulls {
		for _, t := range g.Pulls[i].Because {
			if times[t]++; times[t] == 1 {
				all = append(all, t)
			}
		}
	}
	slices.SortFunc(all, func(a, b string) int { return cmp.Or(times[b]-times[a], strings.Compare(a, b)) })
	var out []string
	for _, t := range all[:min(most, len(all))] {
		out = append(out, fmt.Sprintf("%s (%d)", t, times[t]))
	}
	if len(out) == 0 {
		return ""
	}
	if n := len(all) - most; n > 0 {
		out = append(out, fmt.Sprintf("and %d more", n))
	}
	return ": " + strings.Join(out, ", ")
}

// hardlyRead is why a bound of coarse readings is one of the readings too.
const hardlyRead = "the scatter is hardly larger than what can be read"

// coarse says that a step of the readings is larger than the scatter.
func (g *Group) coarse() bool { return g.Bound != nil && g.Bound.Step > 0 }

// notNormal is the caution where Anderson and Darling's test speaks.
const notNormal = "the scatter does not look normal (Anderson–Darling): the bound rests on it and should not be trusted"

// oneApart is why a bound is given with caution, or not to be trusted.
const oneApart = "one bar lies apart"

// apartNote is the caution of an outlier that is flagged; empty where none is.
func (g *Group) apartNote() string {
	if g.Outlier == nil || !g.Outlier.Flagged {
		return ""
	}
	p := &g.Pulls[g.Outlier.Index]
	return p.Bar + " lies apart from the others: " + p.look() + "; nothing was dropped"
}

// look is what to do about a bar that lies apart, with what its record says already.
func (p *Pull) look() string {
	if len(p.Seen) == 0 {
		return "look at the bar and its break"
	}
	return "its record says of the break " + list(p.Seen) + ", look at the bar"
}

func simulated(p *Pull) bool   { return p.Simulated }
func unread(p *Pull) bool      { return p.Unread() }
func assumed(p *Pull) bool     { return p.Assumed > 0 }
func notLookedAt(p *Pull) bool { return p.Counts == "" }
func calibrated(p *Pull) bool  { return p.Calibration != "" }

// largestAssumed is the largest accuracy that was assumed.
func largestAssumed(all []Pull) (most float64) {
	for i := range all {
		most = max(most, all[i].Assumed)
	}
	return most
}

// of is "3 of 5 bars", "the bar" of the only one.
func of(n, all int) string {
	switch {
	case all == 1:
		return "the bar"
	case n == all && n == 2:
		return "both bars"
	case n == all:
		return fmt.Sprintf("all %d bars", all)
	}
	return fmt.Sprintf("%d of %d bars", n, all)
}

func alloys(all []Pull) []string {
	return each(func(p *Pull) string { return p.Alloy }, slices.DeleteFunc(slices.Clone(all), func(p Pull) bool { return p.Alloy == "" }))
}

func melts(all []Pull) []string {
	return each(func(p *Pull) string { return orElse(p.Melt, "(no melt)") }, all)
}

func rigs(all []Pull) []string {
	return each(func(p *Pull) string { return orElse(p.RigName, "(no rig)") }, all)
}

// likeSize says that sections differ by no more than a tenth.
func likeSize(groups ...[]Pull) bool {
	least, most := math.Inf(1), 0.0
	for _, all := range groups {
		for i := range all {
			if a := float64(all[i].Area); a > 0 {
				least, most = min(least, a), max(most, a)
			}
		}
	}
	return !(most > likeSections*least)
}

// meltsDiffer says that the means of the melts within a group differ by more than
// their scatter explains.
func (g *Group) meltsDiffer(o Options) bool {
	by := map[string][]float64{}
	for i := range g.Pulls {
		by[g.Pulls[i].Melt] = append(by[g.Pulls[i].Melt], float64(g.Pulls[i].Strength))
	}
	var values [][]float64
	several := false
	for _, name := range each(func(p *Pull) string { return p.Melt }, g.Pulls) {
		values, several = append(values, by[name]), several || len(by[name]) > 1
	}
	if len(values) < 2 || !several || g.Alike {
		return false
	}
	a, err := batch.Variance(values)
	return err == nil && a.P < o.Level
}

// unlike adds what differs between groups beside what they are grouped by.
func (c *Comparison) unlike(of []*Group) {
	var all [][]Pull
	sim, n := 0, 0
	for _, g := range of {
		all = append(all, g.Pulls)
		sim += counted(g.Pulls, simulated)
		n += len(g.Pulls)
	}
	if sim > 0 && sim < n {
		c.note("simulated and real bars are compared: simulated ones say nothing of a metal")
	}
	// Within groups it is said there.
	if a := each(func(p *Pull) string { return p.Alloy }, all...); c.By.Field != ByAlloy && len(a) > 1 && !slices.Contains(a, "") {
		c.note("the groups are not all of one alloy: %s", list(a))
	}
	if !likeSize(all...) {
		c.note("the sections of the groups differ by more than 10 %%: a thicker bar cools slower and is another metal, and an error of the micrometer does not cancel")
	}
	switch {
	case c.Difference != nil:
	case slices.ContainsFunc(all, func(p []Pull) bool { return counted(p, assumed) > 0 }):
		c.note("nobody says that all groups are of one machine: what the machines may be off is in their differences too")
	case len(commons(all...)) > 1:
		c.note("not all groups are of one rig and calibration: what the rigs may be off is in their differences too")
	}
}

// list is names in a sentence, so many of them.
func list(names []string) string {
	const most = 8
	if n := len(names) - most; n > 0 {
		return strings.Join(names[:most], ", ") + fmt.Sprintf(" and %d more", n)
	}
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}
