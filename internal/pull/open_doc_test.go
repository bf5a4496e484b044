package pull

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// openDocFile is the table of all open traces.
var openDocFile = filepath.Join("..", "..", "docs", "open-traces.md")

// compareDoc holds the committed table to what this run gave.
func compareDoc(t *testing.T, doc string) {
	t.Helper()
	if os.Getenv("DRAGHAND_OPEN_WRITE") != "" {
		if err := os.WriteFile(openDocFile, []byte(doc), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	b, err := os.ReadFile(openDocFile)
	if err != nil {
		t.Fatal(err)
	}
	was, now := strings.Split(string(b), "\n"), strings.Split(doc, "\n")
	for i, line := range now {
		if i >= len(was) || was[i] != line {
			t.Errorf("docs/open-traces.md, line %d, says otherwise than this run; DRAGHAND_OPEN_WRITE=1 writes it anew:\n%s", i+1, line)
			return
		}
	}
	if len(was) != len(now) {
		t.Error("docs/open-traces.md is longer than what this run gives; DRAGHAND_OPEN_WRITE=1 writes it anew")
	}
}

const openDocHead = `# The engine on the open traces

What ` + "`internal/pull`" + ` makes of every openly licensed test of others at hand. The traces are not part of this repository; this page is
written and held to the truth by

    DRAGHAND_OPEN_DATA=FOLDER go test ./internal/pull -run TestOpenTraces

where FOLDER holds ` + "`traces/`" + `; ` + "`DRAGHAND_OPEN_WRITE=1`" + ` writes it anew. Facts about the traces are in ` + "`testdata/open`" + `, and in the two tables of
expected figures that an independent script made, beside the traces.

Each trace is fed as an import feeds it: times from the first row on in whole microseconds, forces in the table's unit, compression
turned to positive, on a rig that knows its range and no limits, of numbers that are zeroed already. Metals and film are pulled as ` + "`tension`" + `, concrete as ` + "`crush`" + ` and a second
time as ` + "`tension`" + `, for a person may choose wrongly.

In every run, without exception: the count of readings, the times and the row and value of the largest single reading are exactly those
of the table, and the drag hand is exactly the largest median of three neighbouring readings, by a second, slow calculation.

**Tuning and held.** While thresholds were fitted a third of the traces was held back: those for which the 64-bit FNV-1a hash of the file's
name is divisible by three, a rule that was fixed before. Four reservations: the rates and ratios in the plan that the first thresholds were
taken from are of these and some 150 further traces, and the first version of the engine had been tried on steel, bronze, load cycles,
film, small stainless bars and shear before there were groups; of those sets the held third was not unseen. The copper bar that fades is in the held third, and its course was looked at when the rule for a
fade was made. And when the held third was run first, all outcomes were right, but four remarks were wrong: two upper yields not told, one slip and one upper
yield told over a hole in the rows. Two rules were then made more general, for reasons that the tuning third gives as well
([engine.md](engine.md)); for these four the held third is no proof. The classes below are from
before the fitting too, but for the straight fall: shapes in the tuning group showed that it has to be told from the fade.

`

// openDoc writes the whole page.
func openDoc(t *testing.T, results []openResult) string {
	t.Helper()
	var b strings.Builder
	b.WriteString(openDocHead)
	docCounts(&b, results)
	docClasses(&b, results)
	docFigures(&b, results)
	sets := 0
	for _, s := range readTable(t, filepath.Join("..", "..", "testdata", "open", "sources.csv")) {
		rows := slices.DeleteFunc(slices.Clone(results), func(r openResult) bool { return r.o.set != s["set"] })
		if len(rows) == 0 {
			t.Errorf("no traces of %s", s["set"])
			continue
		}
		sets += len(rows)
		fmt.Fprintf(&b, "\n## %s\n\n%s. Source: %s, %s. Licence: %s. Pace: %s.\n\n", s["set"], s["title"], s["source"], s["version"], s["licence"], s["pace"])
		b.WriteString("| trace | group | rows | lasts | rows/s | largest reading | drag hand | source says | run as | draghand says | break row | remarks |\n")
		b.WriteString("|---|---|---:|---:|---:|---:|---:|---|---|---|---:|---|\n")
		for i := range rows {
			b.WriteString(docRow(&rows[i]))
		}
	}
	if sets != len(results) {
		t.Errorf("%d of %d runs are of a set that sources.csv does not name", len(results)-sets, len(results))
	}
	return b.String()
}

func docRow(r *openResult) string {
	o := r.o
	last := o.at[len(o.at)-1]
	peak := slices.Max(o.force)
	lasts, rate := docTime(last), fmt.Sprintf("%.3g", o.rate)
	if o.sec == nil {
		lasts, rate = "no times", "1, assumed"
	}
	outcome := string(r.st.Outcome)
	switch r.verdict() {
	case "allowed":
		outcome += " (allowed)"
	case "DIFFERS":
		outcome = "**" + outcome + "**"
	}
	var remarks []string
	for _, d := range r.differs {
		remarks = append(remarks, "**"+d+"**: "+r.reasons[d])
	}
	if r.st.Zero.Set {
		remarks = append(remarks, fmt.Sprintf("zero taken at %.2g %% of the peak", 100*r.st.Zero.Raw/peak))
	}
	if n := len(r.slips); n > 0 {
		remarks = append(remarks, fmt.Sprintf("slips told: %d", n))
	}
	for _, c := range r.figures {
		if r.kind == Tension || !o.concrete() || c.quantity != "machine peak" {
			remarks = append(remarks, c.String())
		}
	}
	return fmt.Sprintf("| %s | %s | %d | %s | %s | %s | %s | %s | %s | %s | %s | %s |\n",
		o.file, o.group(), len(o.force), lasts, rate, figureText(peak, o.columns["y_unit"]),
		docShare(r.st.Peak.Raw/peak-1), r.class.name, r.kind, outcome, r.off(), strings.Join(remarks, "; "))
}

// docShare is a small share in per cent.
func docShare(v float64) string {
	if math.Abs(v) < 5e-6 {
		return "0 %"
	}
	return fmt.Sprintf("%.2g %%", 100*v)
}

func docTime(d time.Duration) string {
	if d < time.Second {
		return fmt.Sprintf("%.3g ms", d.Seconds()*1e3)
	}
	return fmt.Sprintf("%.4g s", d.Seconds())
}

// docCounts is how many runs are right, by group.
func docCounts(b *strings.Builder, results []openResult) {
	b.WriteString("| group | traces | runs | right | allowed | differ |\n|---|---:|---:|---:|---:|---:|\n")
	for _, g := range []string{"tuning", "held"} {
		n, traces := map[string]int{}, map[string]bool{}
		for i := range results {
			if r := &results[i]; r.o.group() == g {
				n[r.verdict()]++
				traces[r.o.name()] = true
			}
		}
		fmt.Fprintf(b, "| %s | %d | %d | %d | %d | %d |\n", g, len(traces),
			n["right"]+n["allowed"]+n["DIFFERS"], n["right"], n["allowed"], n["DIFFERS"])
	}
	b.WriteString(`
*Right* is the outcome that the trace shows, *allowed* one that may honestly be said of it, mostly ` + "`unclear`" + `; what *differs* is in bold below
with its reason. "Break row" is how many rows after the one expected the break is told. "Drag hand" is how far it lies under the largest
single reading: the price of its filter.

`)
}

// docClasses says what may be said of which traces and why.
func docClasses(b *strings.Builder, results []openResult) {
	type key struct {
		name string
		kind Kind
	}
	classes, runs, said := map[key]openClass{}, map[key]int{}, map[key]map[Phase]int{}
	for i := range results {
		r := &results[i]
		k := key{r.class.name, r.kind}
		classes[k] = r.class
		runs[k]++
		if said[k] == nil {
			said[k] = map[Phase]int{}
		}
		said[k][r.st.Outcome]++
	}
	b.WriteString("| source says | run as | right | allowed | runs | draghand says | why |\n|---|---|---|---|---:|---|---|\n")
	keys := make([]key, 0, len(classes))
	for k := range classes {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b key) int {
		if c := strings.Compare(a.name, b.name); c != 0 {
			return c
		}
		return strings.Compare(string(a.kind), string(b.kind))
	})
	for _, k := range keys {
		c := classes[k]
		var allow, got []string
		for _, p := range c.allow {
			allow = append(allow, string(p))
		}
		for _, p := range []Phase{Broken, Faded, LetOff, Ended, Unclear} {
			if n := said[k][p]; n > 0 {
				got = append(got, fmt.Sprintf("%s %d", p, n))
			}
		}
		right := string(c.want)
		if right == "" {
			right, allow = strings.Join(allow, ", "), nil
		}
		fmt.Fprintf(b, "| %s | %s | %s | %s | %d | %s | %s |\n", c.name, k.kind, right, strings.Join(allow, ", "), runs[k], strings.Join(got, ", "), c.why)
	}
}

// docFigures sums up how far our figures lie from what the sources report.
func docFigures(b *strings.Builder, results []openResult) {
	type key struct{ set, quantity string }
	var keys []key
	low, high, n := map[key]float64{}, map[key]float64{}, map[key]int{}
	for i := range results {
		r := &results[i]
		if r.kind == Crush {
			continue // the same figures as the run as tension
		}
		for _, c := range r.figures {
			k := key{r.o.set, c.quantity}
			d := 100 * (c.got/c.value - 1)
			if n[k] == 0 {
				keys = append(keys, k)
				low[k], high[k] = d, d
			}
			low[k], high[k] = min(low[k], d), max(high[k], d)
			n[k]++
		}
	}
	b.WriteString("\nAgainst the figures that the sources report (`testdata/open/published.csv`, each with its tolerance and why):\n\n")
	b.WriteString("| traces | figure | compared | least difference | largest difference |\n|---|---|---:|---:|---:|\n")
	for _, k := range keys {
		fmt.Fprintf(b, "| %s | %s | %d | %+.3f %% | %+.3f %% |\n", k.set, k.quantity, n[k], low[k], high[k])
	}
	b.WriteString("\nA machine that keeps its own peak keeps it faster than its rows: what a slow record costs. Forces count from the source's own zero.\n")
}
