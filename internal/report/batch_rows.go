package report

import (
	"math"
	"slices"
	"strings"

	"draghand/internal/compare"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// groupRow is a group in the table; its stresses are without their unit.
type groupRow struct {
	Name                                                string
	N                                                   int
	Mean, SD, CV, Median, Least, Most, Interval, Longer string
}

func (f *batchFacts) groupRow(g *compare.Group) groupRow {
	s, sys := &g.Strength, f.opt.Units
	r := groupRow{Name: tidy(g.Name), N: len(g.Pulls)}
	if r.N == 0 {
		return r
	}
	number := func(v float64) string {
		if math.IsNaN(v) {
			return "–"
		}
		return si.Stress(v).In(sys).Number()
	}
	r.Mean, r.Median, r.Least, r.Most = number(s.Mean), number(s.Median), number(s.Least), number(s.Most)
	r.SD, r.CV, r.Interval = "–", "–", "–"
	switch {
	case g.Alike:
		r.SD, r.CV, r.Interval = "not seen", "–", "–"
	case r.N > 1:
		r.SD = finer(s.SD, sys).Number()
		r.CV = percent(s.CV)
		r.Interval = number(s.MeanLow) + " to " + number(s.MeanHigh)
	}
	if e := &g.Elongation; e.N > 0 {
		r.Longer = percent(e.Mean)
		if e.N > 1 {
			r.Longer += " (SD " + percent(e.SD) + ")"
		}
		if e.N < r.N {
			r.Longer += ", of " + si.Number(float64(e.N), 0)
		}
	}
	return r
}

// finer is a scatter or a difference, Pa, with a decimal more than a strength.
func finer(v float64, sys si.System) si.Shown {
	s := si.Stress(v).In(sys)
	s.Decimals++
	return s
}

// percent is a fraction in percent to one decimal; a dash where it is none.
func percent(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return "–"
	}
	return si.Number(100*v, 1) + " %"
}

// pullRows are those of a group.
type pullRows struct {
	Name string
	Rows []pullRow
}

// pullRow is a pull that says something of the strength.
type pullRow struct {
	Bar, Record, When, Size, Strength, U, Longer, Counts string
	Flagged                                              bool
	How                                                  string // simulated, imported, read off a dial
}

// pulls are all that count or bore at least so much, group by group, the lowest first.
func (f *batchFacts) pulls() (out []pullRows) {
	for i := range f.c.Groups {
		g := &f.c.Groups[i]
		of := pullRows{Name: tidy(g.Name)}
		for j := range g.Pulls {
			r := f.pullRow(&g.Pulls[j])
			r.Flagged = g.Outlier != nil && g.Outlier.Flagged && g.Outlier.Index == j
			of.Rows = append(of.Rows, r)
		}
		for j := range g.Censored {
			of.Rows = append(of.Rows, f.pullRow(&g.Censored[j]))
		}
		if len(of.Rows) > 0 {
			out = append(out, of)
		}
	}
	return out
}

func (f *batchFacts) pullRow(p *compare.Pull) pullRow {
	sys := f.opt.Units
	r := pullRow{Bar: tidy(p.Bar), Record: tidy(p.Record), U: "not known", Counts: countsWords(p)}
	if !p.Started.IsZero() {
		r.When = p.Started.UTC().Format("2006-01-02 15:04")
	}
	if p.Diameter > 0 {
		r.Size = p.Diameter.Size(sys)
	} else if p.Area > 0 {
		r.Size = p.Area.In(sys).String()
	}
	r.Strength = p.Strength.In(sys).Number()
	if p.AtLeast > 0 {
		r.Strength = "≥ " + p.AtLeast.In(sys).Number()
	}
	if p.Expanded > 0 && !math.IsInf(float64(p.Expanded), 0) {
		_, r.U, _ = strength.Doubted(p.Strength, p.Expanded, sys)
		r.U = twoDigits(r.U)
	}
	if p.Elongation != nil {
		r.Longer = percent(*p.Elongation)
	}
	var how []string
	for _, h := range []struct {
		is   bool
		what string
	}{{p.Simulated, "SIMULATED"}, {p.Imported, "imported table"}, {p.ByEye, "read off a dial by eye"}, {p.Stock != "", "check bar of " + tidy(p.Stock)}} {
		if h.is {
			how = append(how, h.what)
		}
	}
	r.How = strings.Join(how, ", ")
	return r
}

// twoDigits is a figure that was rounded up to two digits without the third that it
// gets where it goes up to the next power of ten: 9.96 is 10, as 10.2 is 11.
func twoDigits(s string) string {
	if digits := strings.TrimLeft(strings.ReplaceAll(s, ".", ""), "0"); len(digits) == 3 && strings.Contains(s, ".") && strings.HasSuffix(s, "0") {
		return strings.TrimSuffix(s[:len(s)-1], ".")
	}
	return s
}

func countsWords(p *compare.Pull) string {
	switch {
	case p.AtLeast > 0:
		return tidy(compare.OnPage(p.Out))
	case p.Counts == strength.CountsWithRemarks && len(p.Because) > 0:
		return "with remarks: " + strings.Join(tidied(p.Because), "; ")
	case p.Counts == strength.CountsWithRemarks:
		return "with remarks"
	case p.Counts == "":
		return "nobody looked at the break yet"
	}
	return tidy(p.Counts)
}

// leftRow is a pull that is left out.
type leftRow struct{ Group, Bar, Record, Why string }

func (f *batchFacts) left() (out []leftRow) {
	add := func(group string, all []compare.Pull) {
		for i := range all {
			out = append(out, leftRow{group, tidy(all[i].Bar), tidy(all[i].Record), tidy(compare.OnPage(all[i].Out))})
		}
	}
	for i := range f.c.Groups {
		add(tidy(f.c.Groups[i].Name), f.c.Groups[i].Left)
	}
	add("in no group", f.c.Outside)
	return out
}

// rigRow is what the common part of the doubt hangs on, and which bars do.
type rigRow struct {
	By, Groups string
	Bars       int
	Common     string
}

func (f *batchFacts) rigs() []rigRow {
	type on struct {
		row     rigRow
		groups  []string
		common  si.Stress
		unknown bool
	}
	all := map[string]*on{}
	for i := range f.c.Groups {
		g := &f.c.Groups[i]
		for _, some := range [][]compare.Pull{g.Pulls, g.Censored} {
			for j := range some {
				p := &some[j]
				o := all[p.CommonBy]
				if o == nil {
					o = &on{row: rigRow{By: tidy(p.CommonBy)}}
					if o.row.By == "" {
						o.row.By = "not known"
					}
					all[p.CommonBy] = o
				}
				o.row.Bars++
				o.common, o.unknown = max(o.common, p.Common), o.unknown || !(p.U > 0)
				if !slices.Contains(o.groups, tidy(g.Name)) {
					o.groups = append(o.groups, tidy(g.Name))
				}
			}
		}
	}
	var out []rigRow
	for _, o := range all {
		o.row.Groups = groupNames(o.groups, mostRows)
		if o.row.Common = compare.SpreadText(o.common, f.opt.Units); o.unknown {
			o.row.Common = "not known of all of them"
		}
		out = append(out, o.row)
	}
	slices.SortFunc(out, func(a, b rigRow) int { return strings.Compare(a.By, b.By) })
	return out
}

// differsRows are the figures of the difference, or of the analysis of variance.
func (f *batchFacts) differsRows() []pair {
	var r rows
	sys := f.opt.Units
	if a := f.c.Analysis; a != nil {
		per := si.Stress(1).In(sys)
		square := func(v float64) string { return si.Number(v*per.Value*per.Value, 2) + " " + per.Unit + "²" }
		r.add("between the groups", "sum of squares %s, %d degrees of freedom", square(a.Between), a.DoF1)
		r.add("within the groups", "sum of squares %s, %d degrees of freedom", square(a.Within), a.DoF2)
		r.add("F", "%s", si.Number(a.F, 3))
		r.add("p", "%s", probability(a.P))
		r.add("scatter within a group", "%s", finer(a.WithinSD, sys).String())
		r.add("scatter of the groups' own means", "%s", finer(a.AmongSD, sys).String())
		return r
	}
	d := f.c.Difference
	if d == nil {
		return nil
	}
	unit := func(v float64) string { return finer(v, sys).String() }
	r.add("mean of "+tidy(d.To)+" less mean of "+tidy(d.From), "%s, between %s and %s (%s)", unit(d.Diff), unit(d.Low), unit(d.High), share(d.Level))
	r.add("standard error", "%s", unit(d.SE))
	r.add("t", "%s of %s degrees of freedom", si.Number(d.T, 3), si.Number(d.DoF, 1))
	r.add("p", "%s", probability(d.P))
	switch {
	case d.SameRig:
		r.add("what the rig may be off", "the same in both: it is not in the difference")
	case d.Untold && d.Known:
		r.add("what the machines may be off", "± %s on top (%s): nobody says that they are of one machine", unit(float64(d.Expanded())), d.CoverageText())
	case d.Known:
		r.add("what the rigs may be off", "± %s on top (%s)", unit(float64(d.Expanded())), d.CoverageText())
	default:
		r.add("what the rigs may be off", "not known: on top")
	}
	return r
}

// probability is one with two digits that say something.
func probability(p float64) string {
	return compare.ProbabilityText(p)
}
