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

// TestOpenTraces holds the engine against every openly licensed test of others
// that lies in the folder named by DRAGHAND_OPEN_DATA, in its folder traces.
// The traces stay outside this repository; figures about them are in
// testdata/open. DRAGHAND_OPEN_SPLIT takes one group of them, "tuning" or
// "held"; DRAGHAND_OPEN_WRITE=1 writes docs/open-traces.md anew, which is
// otherwise compared with what this run gives.
func TestOpenTraces(t *testing.T) {
	split := os.Getenv("DRAGHAND_OPEN_SPLIT")
	if split == "" {
		split = "all"
	}
	known := readDifferences(t)
	figures := readFigures(t)
	var results []openResult
	for _, o := range openTraces(t) {
		if split != "all" && split != o.group() {
			continue
		}
		kinds := []Kind{Tension}
		if o.concrete() {
			kinds = []Kind{Crush, Tension} // a person may choose wrongly
		}
		for _, kind := range kinds {
			r := runOpen(t, o, kind, figures[o.name()])
			for _, d := range r.differs {
				d := openKey{o.name(), string(kind), d}
				if _, ok := known[d]; !ok {
					t.Errorf("%s as %s: %s, and testdata/open/differences.csv does not know it", d.name, d.kind, d.what)
				}
			}
			for d, why := range known {
				if d.name != o.name() || d.kind != string(kind) {
					continue
				}
				delete(known, d)
				if r.reasons[d.what] = why; !slices.Contains(r.differs, d.what) {
					t.Errorf("%s as %s: %q stands in testdata/open/differences.csv but differs no longer", d.name, d.kind, d.what)
				}
			}
			results = append(results, r)
		}
		delete(figures, o.name())
	}
	if len(results) == 0 {
		t.Fatalf("no traces in the group %q: tuning, held or all", split)
	}
	for _, r := range results {
		t.Log(r.line())
	}
	for _, g := range []string{"tuning", "held"} {
		if s := summary(results, g); s != "" {
			t.Log(s)
		}
	}
	if split == "all" {
		for d := range known {
			t.Errorf("testdata/open/differences.csv knows %s as %s, which was not run", d.name, d.kind)
		}
		for name := range figures {
			t.Errorf("testdata/open/published.csv knows %s, which was not run", name)
		}
		compareDoc(t, openDoc(t, results))
	}
}

// openKey names one difference of one run.
type openKey struct{ name, kind, what string }

func readDifferences(t *testing.T) map[openKey]string {
	t.Helper()
	out := map[openKey]string{}
	for _, row := range readTable(t, filepath.Join("..", "..", "testdata", "open", "differences.csv")) {
		if row["reason"] == "" {
			t.Errorf("a difference of %s without a reason", row["trace"])
		}
		out[openKey{row["trace"], row["kind"], row["what"]}] = row["reason"]
	}
	return out
}

// openResult is what the engine made of one trace.
type openResult struct {
	o       *openTrace
	kind    Kind
	class   openClass
	st      State
	broke   int // row that the break is told at, −1
	told    int // breaks told, withdrawn ones too
	slips   []Event
	figures []comparison
	differs []string          // what is not as it should be, in the words of differences.csv
	reasons map[string]string // of what differs
}

// runOpen feeds a trace to an engine as an import does.
func runOpen(t *testing.T, o *openTrace, kind Kind, figures []figure) openResult {
	t.Helper()
	r := openResult{o: o, kind: kind, class: openClassOf(o, kind), broke: -1, reasons: map[string]string{}}
	e := New(Config{Kind: kind, Rig: o.openRig(), Area: areaOf(figures)})
	tell := func(evs []Event) {
		for _, ev := range evs {
			switch ev.Kind {
			case EvBreak:
				r.told++
			case EvSlip:
				r.slips = append(r.slips, ev)
			}
		}
	}
	for i, v := range o.force {
		tell(e.Step(Reading{T: o.at[i], Raw: v}))
	}
	tell(e.Step(Reading{T: o.at[len(o.at)-1], Mark: End}))
	r.st = e.State().Clone()
	r.checkExact(t)
	if !r.class.fits(r.st.Outcome) {
		r.differ("outcome: %s", r.st.Outcome)
	}
	r.checkBreak()
	r.checkSlips()
	if r.st.Yield != nil && o.set != "s355-steel" {
		r.differ("told a yield drop") // of all of these metals only the steel has one
	}
	r.compareFigures(figures)
	return r
}

func (r *openResult) differ(format string, args ...any) {
	r.differs = append(r.differs, fmt.Sprintf(format, args...))
}

// checkExact holds the engine to what leaves no room: counts, times and peaks.
func (r *openResult) checkExact(t *testing.T) {
	t.Helper()
	o, st := r.o, &r.st
	if want := int(o.either("samples", "n")); st.Readings != want || len(o.force) != want || st.Faults != 0 {
		t.Errorf("%s: %d readings, %d faulty, of %d rows", o.name(), st.Readings, st.Faults, want)
	}
	if o.sec != nil {
		r.checkTimes(t)
	}

	// The single reading: the very number of the table.
	peak := slices.Max(o.force)
	at := slices.Index(o.force, peak)
	if st.PeakRaw.Raw != peak || st.PeakRaw.T != o.at[at] {
		t.Errorf("%s: largest reading %v at %v, want %v at %v", o.name(), st.PeakRaw.Raw, st.PeakRaw.T, peak, o.at[at])
	}
	if want := int(o.num("peak_index")); at != want {
		t.Errorf("%s: peak in row %d, want %d", o.name(), at, want)
	}
	if want := o.num("peak"); !printedAs(peak, want, o.columns["peak"]) {
		t.Errorf("%s: peak %v, want %v", o.name(), peak, want)
	}
	// As a force it went through the sensor's line and back: a handful of
	// roundings of 1e-16 on a range of 1.4 times the peak.
	zero := 0.0
	if st.Zero.Set {
		zero = st.Zero.Raw
	}
	const rounding = 1e-12
	if got, want := float64(st.PeakRaw.Specimen), (peak-zero)*o.unit; math.Abs(got-want) > rounding*peak*o.unit {
		t.Errorf("%s: largest force %v N, want %v N", o.name(), got, want)
	}

	// The drag hand: the largest median of three, by sorting.
	if want := slowHand(o.force); st.Peak.Raw != want || st.Peak.Raw > st.PeakRaw.Raw {
		t.Errorf("%s: drag hand %v, want %v", o.name(), st.Peak.Raw, want)
	}
}

func (r *openResult) checkTimes(t *testing.T) {
	t.Helper()
	o, st := r.o, &r.st
	last := o.sec[len(o.sec)-1]
	if st.T != micros(last-o.sec[0]) {
		t.Errorf("%s: ends at %v, want %v s", o.name(), st.T, last-o.sec[0])
	}
	same := func(column string, got float64) {
		if want := o.num(column); want == want && !printedAs(got, want, o.columns[column]) {
			t.Errorf("%s: %s %v, want %v", o.name(), column, got, want)
		}
	}
	if o.more {
		same("x_first", o.sec[0])
		same("x_last", last)
		same("duration", last-o.sec[0])
		same("dt_median", medianStep(o.sec))
		same("peak_x", o.sec[slices.Index(o.force, slices.Max(o.force))])
	} else {
		same("duration_s", last-o.sec[0])
		same("dt_median_s", medianStep(o.sec))
		same("peak_t", o.sec[slices.Index(o.force, slices.Max(o.force))])
	}
}

// medianStep is the median of the steps between neighbours.
func medianStep(sec []float64) float64 {
	var steps []float64
	for i := 1; i < len(sec); i++ {
		steps = append(steps, sec[i]-sec[i-1])
	}
	slices.Sort(steps)
	n := len(steps)
	return (steps[(n-1)/2] + steps[n/2]) / 2
}

// printedAs says whether v is the figure that a file printed with so many
// digits: within one of the last digit, for the file rounded it once and its
// own arithmetic may tip a five.
func printedAs(v, want float64, text string) bool {
	digits := strings.TrimLeft(strings.NewReplacer("-", "", ".", "").Replace(strings.SplitN(text, "e", 2)[0]), "0")
	n := max(len(digits), 6) // trailing zeros are not printed: %g with six
	unit := math.Pow(10, math.Floor(math.Log10(math.Abs(want)))-float64(n)+1)
	return math.Abs(v-want) <= unit
}

// slowHand is the largest median of three neighbouring readings; of the first
// two, the lower.
func slowHand(force []float64) float64 {
	top := min(force[0], force[1])
	for i := 2; i < len(force); i++ {
		three := slices.Clone(force[i-2 : i+1])
		slices.Sort(three)
		top = max(top, three[1])
	}
	return top
}

// checkBreak holds the row of the break against the independent script's, and
// lets no break be told where there is none, nor twice.
func (r *openResult) checkBreak() {
	if mayBreak := r.class.fits(Broken); r.told > 1 || (r.told > 0 && !mayBreak) {
		r.differ("told %d breaks", r.told)
	}
	if r.st.Break == nil {
		return
	}
	r.broke = r.o.rowAt(r.st.Break.T)
	row, from, to := r.o.expectedBreak()
	if r.broke < 0 {
		r.differ("break at no row")
	} else if row >= 0 && (r.broke < from || r.broke > to) {
		r.differ("break row: %+d", r.broke-row)
	}
}

// checkSlips lets no slip be told where the rows have a hole: a force that fell
// while the machine stood still, or nothing was stored, did so nobody knows how
// fast. Steel has one such pause for taking the extensometer off.
func (r *openResult) checkSlips() {
	const hole = time.Second
	for _, ev := range r.slips {
		low := r.o.rowAt(ev.Point.T)
		// Up the fall, over what little it rises on its way.
		for i := low; i > 0 && r.o.force[i-1] > r.o.force[i]*(1-1e-3); i-- {
			if d := r.o.at[i] - r.o.at[i-1]; d > hole {
				r.differ("slip told over a hole")
				break
			}
			if r.o.force[i-1] > r.o.force[low]*1.1 {
				break
			}
		}
	}
}

// off is by how many rows the break is told after the row expected, or "".
func (r *openResult) off() string {
	row, _, _ := r.o.expectedBreak()
	if r.broke < 0 || row < 0 {
		return ""
	}
	return fmt.Sprintf("%+d", r.broke-row)
}

// verdict: right, allowed, or differs.
func (r *openResult) verdict() string {
	switch {
	case len(r.differs) > 0:
		return "DIFFERS"
	case r.class.want == "" || r.st.Outcome == r.class.want:
		return "right"
	}
	return "allowed"
}

// line is one run in one line.
func (r *openResult) line() string {
	row, _, _ := r.o.expectedBreak()
	want := string(r.class.want)
	for _, p := range r.class.allow {
		want += "|" + string(p)
	}
	rows := ""
	if r.broke >= 0 || row >= 0 {
		rows = fmt.Sprintf("row %d/%d", r.broke, row)
		if r.st.Break != nil {
			rows += fmt.Sprintf(" fall %v", r.st.Break.Fall.Round(1000))
		}
	}
	zero := ""
	if r.st.Zero.Set {
		zero = fmt.Sprintf(" zero %.3g %%", 100*r.st.Zero.Raw/slices.Max(r.o.force))
	}
	return fmt.Sprintf("%-7s %-6s %-7s %-42s n %5d %7.4g Hz %-14s got %-8s want %s %s%s slips %d gaps %d; %s",
		r.verdict(), r.o.group(), r.kind, shortName(r.o.name()), len(r.o.force), r.o.rate, r.class.name,
		r.st.Outcome, strings.TrimPrefix(want, "|"), rows, zero, len(r.slips), r.st.Gaps, strings.Join(r.differs, "; "))
}

// shortName keeps a line short.
func shortName(name string) string {
	return strings.NewReplacer("cleaned_", "", "concrete-", "", "_Pull", "").Replace(name)
}

func summary(results []openResult, group string) string {
	n := map[string]int{}
	for _, r := range results {
		if r.o.group() == group {
			n[r.verdict()]++
			n["all"]++
		}
	}
	if n["all"] == 0 {
		return ""
	}
	return fmt.Sprintf("%s: %d runs, %d right, %d allowed, %d differ", group, n["all"], n["right"], n["allowed"], n["DIFFERS"])
}
