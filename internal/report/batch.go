package report

import (
	_ "embed"
	"fmt"
	"io"
	"strings"

	"draghand/internal/compare"
	"draghand/internal/si"
	force "draghand/internal/trace"
)

// batchText is the template of the report of a comparison.
//
//go:embed batch.html
var batchText string

// MostGroups is how many groups have drawings of their own; the tables have all.
const MostGroups = 40

// Batch writes a comparison as one page that needs nothing else, as HTML does of one
// pull. traces are those of its pulls as far as there are any, in any order; one that
// is nil is passed over. Text from outside is text in it.
func Batch(out io.Writer, c *compare.Comparison, traces []*force.Trace, o Options) error {
	return fill(out, batchText, newBatch(c, traces, o).page())
}

// batchFacts are all that the report of a comparison tells.
type batchFacts struct {
	c      *compare.Comparison
	opt    Options
	traces map[string]*force.Trace // by the folder of the record
}

func newBatch(c *compare.Comparison, traces []*force.Trace, o Options) *batchFacts {
	f := &batchFacts{c: c, opt: o, traces: map[string]*force.Trace{}}
	for _, t := range traces {
		if t != nil {
			f.traces[t.Dir] = t
		}
	}
	return f
}

// batchPage is the report in words, in the order it is read.
type batchPage struct {
	Kind, Title, Units, Unit, Program, Made string
	Simulated                               bool
	Warnings                                []string
	Identity                                []pair
	Groups                                  []groupPage
	More                                    int // groups without drawings of their own
	Level                                   string
	Dots                                    []*dotFigure
	Differs                                 []string
	DiffersRows                             []pair
	TracesFault                             string
	Pulls                                   []pullRows
	Left                                    []leftRow
	Rigs                                    []rigRow
	How                                     []pair
}

// groupPage is one group.
type groupPage struct {
	Name                      string // with how many are simulated
	Value, Sentence, HoldsFor string
	Doubtful                  string // with its grade
	Grave                     bool
	Minimum, MinimumKind      string // as the verdict of one pull
	Bound                     []pair
	Row                       groupRow
	Says                      []string
	Notes                     []string
	Weibull                   []pair
	NormalPlot, WeibullPlot   *probFigure
	NoPlot                    string
	Traces                    *overFigure
	Drawn                     bool
}

func (f *batchFacts) page() *batchPage {
	c, sys := f.c, f.opt.Units
	p := &batchPage{
		Kind: "Pulls compared", Program: tidy(f.opt.Program), Units: map[si.System]string{si.US: "US customary", si.Metric: "SI"}[sys],
		Unit: si.Stress(0).In(sys).Unit, Level: share(1 - c.Options.Level),
	}
	if !f.opt.Made.IsZero() {
		p.Made = f.opt.Made.UTC().Format("2006-01-02 15:04 UTC")
	}
	p.Title = f.title()
	p.Warnings, p.Simulated = f.warnings()
	p.Identity = f.identity()
	for i := range c.Groups {
		p.Groups = append(p.Groups, f.group(&c.Groups[i], i < MostGroups))
	}
	p.More = max(0, len(c.Groups)-MostGroups)
	p.Dots = f.dots()
	p.Differs, p.DiffersRows = tidied(c.Differs(sys)), f.differsRows()
	p.TracesFault = f.noTraces(p.Groups)
	p.Pulls, p.Left, p.Rigs = f.pulls(), f.left(), f.rigs()
	p.How = f.how()
	p.bind()
	return p
}

// share is a fraction in percent as it was asked for.
func share(v float64) string {
	return strings.TrimSuffix(strings.TrimRight(fmt.Sprintf("%.4f", 100*v), "0"), ".") + "\u00a0%" // never at the begin of a line alone
}

// title names what is compared.
func (f *batchFacts) title() string {
	const most = 6
	var names []string
	for i := range f.c.Groups {
		if i == most {
			names = append(names, fmt.Sprintf("%d more", len(f.c.Groups)-most))
			break
		}
		names = append(names, shortName(f.c.Groups[i].Name, 40))
	}
	if len(names) == 0 {
		return "No pull to compare"
	}
	return strings.Join(names, ", ")
}

// identity says what was compared and how.
func (f *batchFacts) identity() []pair {
	c := f.c
	all, _ := f.counts()
	n := 0
	first, last := "", ""
	for i := range c.Groups {
		n += len(c.Groups[i].Pulls)
		for j := range c.Groups[i].Pulls {
			d := c.Groups[i].Pulls[j].Started.UTC().Format("2006-01-02")
			if c.Groups[i].Pulls[j].Started.IsZero() {
				continue
			}
			if first == "" || d < first {
				first = d
			}
			last = max(last, d)
		}
	}
	var r rows
	r.add("grouped by", "%s", byWords(c.By))
	if how := tidy(c.Options.Chosen.Words()); how != "" {
		r.add("chosen", "%s", how)
	}
	unread := ""
	if k := c.UnreadCount(); k > 0 {
		unread = fmt.Sprintf("; beside them %s that could not be read", map[bool]string{true: "1 record", false: si.Number(float64(k), 0) + " records"}[k == 1])
	}
	r.add("pulls", "%s, of which %s count%s", si.Number(float64(all), 0), si.Number(float64(n), 0), unread)
	if first != "" && first == last {
		r.add("pulled", "%s", first)
	} else if first != "" {
		r.add("pulled", "%s to %s", first, last)
	}
	r.add("bound", "%s of such bars, with %s confidence", share(c.Options.Content), share(c.Options.Confidence))
	r.add("tests at", "%s", share(c.Options.Level))
	if c.Options.Minimum > 0 {
		r.add("minimum", "%s", compare.StatedText(c.Options.Minimum))
	}
	return r
}

func byWords(b compare.By) string {
	switch b.Field {
	case compare.ByAll:
		return "nothing: all in one group"
	case compare.ByMarked:
		return "hand: the groups a person put them in"
	case compare.ByTag:
		if len(b.Tags) > 0 {
			return "the tags " + strings.Join(b.Tags, ", ")
		}
		return "tags"
	}
	return string(b.Field)
}

// group puts one group together.
func (f *batchFacts) group(g *compare.Group, drawn bool) groupPage {
	sys := f.opt.Units
	p := groupPage{Name: tidy(g.Name), Drawn: drawn, Row: f.groupRow(g), Notes: onPage(g.Cautions())}
	switch sim, all := g.Simulated(); {
	case sim > 0 && sim == all:
		p.Name += " (SIMULATED)"
	case sim > 0:
		p.Name += fmt.Sprintf(" (%d of %d SIMULATED)", sim, all)
	}
	p.Row.Name = p.Name
	switch k := g.CountOn; {
	case len(g.Pulls) == 0:
		p.Value, p.Sentence = "none", "No bar of this group counts."
	case k == nil:
		p.Value, p.Sentence = "none", tidy(g.NoBound(sys))
	default:
		p.Value, p.Sentence, p.HoldsFor = tidy(k.Text(sys)), tidy(k.Sentence(g, sys)), ""
		if !k.Nothing(sys) {
			p.HoldsFor = tidy(g.HoldsFor(sys))
		}
		if k.Doubtful != "" && !k.Nothing(sys) { // else there is nothing to trust or not
			p.Grave, p.Doubtful = k.Grade() == compare.NotTrusted, graded(k.Grade())+": "+tidy(k.Doubtful)
		}
		p.Bound = f.boundRows(k)
	}
	p.Minimum, p.MinimumKind = f.minimum(g)
	p.Says = tidied([]string{g.Apart(sys), g.Scatter(f.c.Options.Level)})
	p.Weibull = f.weibullRows(g)
	if drawn {
		p.NormalPlot, p.WeibullPlot = f.normalPlot(g), f.weibullPlot(g)
		if p.NormalPlot == nil && p.WeibullPlot == nil && len(g.Pulls) > 0 {
			p.NoPlot = "No probability plot: it takes three bars that do not all read alike."
		}
		p.Traces = f.overlay(g)
	}
	return p
}

// shortName is a name from outside, cut to n letters.
func shortName(s string, n int) string {
	s = tidy(s)
	if r := []rune(s); len(r) > n {
		return string(r[:n-1]) + "…"
	}
	return s
}

// bind keeps figures with their units, and letters with what they are, in one line
// wherever the page is broken.
func (p *batchPage) bind() {
	bind := func(s *string) { *s = bound(*s) }
	all := func(texts []string) {
		for i := range texts {
			bind(&texts[i])
		}
	}
	all(p.Warnings)
	all(p.Differs)
	for i := range p.Groups {
		g := &p.Groups[i]
		bind(&g.Sentence)
		bind(&g.HoldsFor)
		bind(&g.Minimum)
		all(g.Says)
		all(g.Notes)
	}
}

// bound has a blank that no line breaks at before %, and behind the letter of a factor
// or a test.
func bound(s string) string {
	pairs := []string{" %", "\u00a0%", "p < ", "p\u00a0<\u00a0", ", p < ", ", p\u00a0<\u00a0"}
	for _, t := range []string{", k ", "(k ", ", p ", ": t ", ": G ", ": F "} {
		pairs = append(pairs, t, strings.TrimSuffix(t, " ")+"\u00a0")
	}
	return strings.NewReplacer(pairs...).Replace(s)
}
