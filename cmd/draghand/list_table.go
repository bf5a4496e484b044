package main

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/pull"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// oneLine is a name from a record on one line of a table.
func oneLine(s string) string { return strings.Join(strings.Fields(clean(s)), " ") }

// inWords is an entry in words.
type inWords struct {
	start, bar, alloy, diameter, result, elongation, counts, outcome string

	record string
	why    string // it cannot be read; then start to counts are empty
}

// wordsOf gives an entry in words.
func wordsOf(e *shelf.Entry, c *common) (inWords, error) {
	w := inWords{outcome: oneLine(e.How()), record: oneLine(e.Name)}
	if !e.Readable() {
		w.why = oneLine(e.Reason)
		return w, nil
	}
	sys, err := c.system(e.Units)
	if err != nil {
		return w, err
	}
	w.start = e.Started.Local().Format("2006-01-02 15:04:05")
	w.bar = oneLine(strings.Trim(e.Specimen.Melt+"-"+e.Specimen.ID, "-"))
	w.alloy = oneLine(e.Specimen.Alloy)
	w.diameter = e.Specimen.SizeText(sys)
	if d := e.Specimen.Diameter(); d > 0 {
		w.diameter = d.Size(sys)
	}
	w.result = listed(e, sys)
	if e.Elongation != nil {
		w.elongation = si.Number(100**e.Elongation, 1) + " %"
	}
	w.counts = countsWord(e)
	return w, nil
}

// countsWord is whether a pull counts; empty where that means nothing.
func countsWord(e *shelf.Entry) string {
	switch {
	case e.Counts == strength.CountsWithRemarks:
		return "with remarks"
	case e.Counts != "":
		return e.Counts
	case e.Kind == pull.Tension && e.Condition == shelf.Whole:
		return "open" // nobody has finished it
	}
	return ""
}

// listed is what came out, with its expanded uncertainty where that is known.
func listed(e *shelf.Entry, sys si.System) string {
	v := max(e.Strength, e.AtLeast)
	if e.Condition != shelf.Whole || v == 0 || e.Expanded == 0 {
		return e.Result(sys)
	}
	number, doubt, unit := strength.Doubted(v, e.Expanded, sys)
	text := number + " ± " + doubt + " " + unit
	if e.Strength == 0 {
		return "at least " + text
	}
	return text
}

// cells are the columns of the table.
func (w inWords) cells() []string {
	record := w.record
	if w.why != "" {
		record += ": " + w.why
	}
	return []string{w.start, w.bar, w.alloy, w.diameter, w.result, w.elongation, w.counts, w.outcome, record}
}

// widest bounds a column, so that one long name does not push the rest away.
const widest = 28

// widestFigure bounds the result, which is the program's own words and is not cut: the
// longest has some 35 cells.
const widestFigure = 40

// printEntries writes a line a record where a terminal of so many columns has room for
// it, else two; 0 columns are no terminal, and the table is whole. The record is never
// cut: it is the name to type.
func printEntries(out io.Writer, c *common, all []shelf.Entry, columns int) error {
	head := inWords{"start", "bar", "alloy", "diameter", "result", "elongation", "counts", "outcome", "record", ""}
	rows := make([]inWords, 0, len(all)+1)
	rows = append(rows, head)
	for i := range all {
		w, err := wordsOf(&all[i], c)
		if err != nil {
			return err
		}
		rows = append(rows, w)
	}
	lines := tableOf(rows)
	if columns > 0 && widestOf(lines) > columns {
		lines = pairsOf(rows, columns)
	}
	for _, l := range lines {
		if _, err := fmt.Fprintln(out, l); err != nil {
			return err
		}
	}
	return nil
}

// tableOf is a line a record.
func tableOf(rows []inWords) []string {
	cells := make([][]string, 0, len(rows))
	for _, w := range rows {
		cells = append(cells, w.cells())
	}
	return aligned(cells, widest, widest, widest, widest, widestFigure, widest, widest, widest)
}

// aligned are rows of cells as lines, two blanks between the columns. most is what a
// column has at most; the last column is never cut.
func aligned(rows [][]string, most ...int) []string {
	wide := make([]int, len(rows[0]))
	for _, r := range rows {
		for i, s := range r[:len(r)-1] {
			wide[i] = max(wide[i], min(ansi.StringWidth(s), most[i]))
		}
	}
	out := make([]string, 0, len(rows))
	for _, r := range rows {
		var b strings.Builder
		for i, s := range r {
			if i == len(r)-1 {
				b.WriteString(s)
				break
			}
			s = ansi.Truncate(s, wide[i], "…")
			b.WriteString(s + strings.Repeat(" ", wide[i]-ansi.StringWidth(s)+2))
		}
		out = append(out, strings.TrimRight(b.String(), " "))
	}
	return out
}

// under is how far the second line of a record is moved in.
const under = "    "

// pairsOf are two lines a record: what came out, and under it what it was of, with the
// record last. Nothing is left out: what does not fit above stands below, with its
// word, and what does not fit there takes a line more.
func pairsOf(rows []inWords, columns int) []string {
	lines, below := firstLines(rows, columns)
	out := make([]string, 0, 2*len(rows))
	for i, w := range rows {
		if w.why != "" {
			out = append(out, w.outcome, under+w.record)
			out = append(out, movedIn(w.why, columns)...)
			continue
		}
		var about []string
		if below && i > 0 {
			about = []string{before("counts: ", w.counts), before("elongation ", w.elongation)}
		}
		about = append(about, w.outcome, w.alloy, w.diameter)
		about = slices.DeleteFunc(about, func(s string) bool { return s == "" })
		first := lines[i]
		if i > 0 {
			first, about = movedUp(first, about, len(under)+len(", ")+ansi.StringWidth(w.record), columns)
		}
		text := strings.Join(about, ", ")
		out = append(out, first)
		if whole := under + text + ", " + w.record; text != "" && ansi.StringWidth(whole) <= columns {
			out = append(out, whole)
			continue
		}
		out = append(out, movedIn(text, columns)...)
		out = append(out, under+w.record)
	}
	return out
}

// firstLines are the upper lines of the pairs; below says that only start, bar and
// result had room there.
func firstLines(rows []inWords, columns int) (lines []string, below bool) {
	const minutes = len("2006-01-02 15:04")
	full, short, few := make([][]string, len(rows)), make([][]string, len(rows)), make([][]string, len(rows))
	for i, w := range rows {
		start := w.start[:min(len(w.start), minutes)]
		full[i] = []string{w.start, w.bar, w.result, w.elongation, w.counts}
		short[i] = []string{start, w.bar, w.result, w.elongation, w.counts}
		few[i] = []string{start, w.bar, w.result}
	}
	for _, cells := range [][][]string{full, short} {
		if lines = aligned(cells, widest, widest, widestFigure, widest); widestOf(lines) <= columns {
			return lines, false
		}
	}
	for bar := widest; bar >= 4; bar-- {
		if lines = aligned(few, widest, bar); widestOf(lines) <= columns {
			break
		}
	}
	return lines, true
}

// movedUp puts what there is to tell of a record behind its first line, as long as the
// second, which takes so many cells besides, has no room for it and the first has.
func movedUp(first string, about []string, besides, columns int) (string, []string) {
	sign := "  "
	for i := 0; i < len(about) && len(about) > 1 && ansi.StringWidth(strings.Join(about, ", "))+besides > columns; {
		longer := first + sign + about[i]
		if ansi.StringWidth(longer) > columns {
			i++
			continue
		}
		first, about, sign = longer, slices.Delete(about, i, i+1), ", "
	}
	return first, about
}

// movedIn is a text on lines that are moved in.
func movedIn(text string, columns int) []string {
	if text == "" {
		return nil
	}
	var out []string
	for l := range strings.SplitSeq(ansi.Wordwrap(text, max(columns-len(under), 20), ""), "\n") {
		out = append(out, under+l)
	}
	return out
}

// before puts a word before what is known.
func before(word, s string) string {
	if s == "" {
		return ""
	}
	return word + s
}

func widestOf(lines []string) (n int) {
	for _, l := range lines {
		n = max(n, ansi.StringWidth(l))
	}
	return n
}

// columnsOf is how wide a terminal is; 0: it is none, or nobody knows.
func columnsOf(out io.Writer) int {
	f, tty := terminal(out)
	if !tty {
		return 0
	}
	return terminalWidth(f)
}
