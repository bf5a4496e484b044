package report

import (
	"bytes"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"

	"draghand/internal/compare"
	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/strength"
	force "draghand/internal/trace"
)

// barsOf are bars of a melt, of one rig and calibration, that count; strengths in ksi.
func barsOf(melt string, ksi ...float64) (out []compare.Pull) {
	for i, v := range ksi {
		id := fmt.Sprintf("%s-%d", melt, i+1)
		out = append(out, compare.Pull{
			Record: "rec-" + id, Dir: "shelf/rec-" + id, Bar: id, Melt: melt, Alloy: "C90500", Kind: pull.Tension,
			Started:  time.Date(2026, 11, 25, 14, i, 0, 0, time.UTC),
			Diameter: 12.5 * si.Millimetre, Area: 122.718e-6, Strength: si.Stress(v * si.KSI), U: 0.5 * si.KSI, Expanded: 1 * si.KSI, Common: 0.34 * si.KSI,
			CommonBy: "rig one, calibration a, 0123", RigName: "one", Counts: strength.Counts,
		})
	}
	return out
}

// traceOf is a made-up trace: up within 8 s and down at once.
func traceOf(p compare.Pull) *force.Trace {
	t := &force.Trace{
		Dir: p.Dir, Record: p.Record, Bar: p.Bar, Kind: p.Kind, Outcome: pull.Broken, Width: 100 * time.Millisecond, Loaded: 2 * time.Second,
		Peak: 10 * time.Second, PeakForce: si.Force(float64(p.Strength) * float64(p.Area)), Break: 10 * time.Second, End: 14 * time.Second,
		Area: p.Area, Simulated: p.Simulated,
	}
	for i := range 140 {
		at := time.Duration(i) * t.Width
		f := si.Force(0)
		if at >= t.Loaded && at <= t.Peak {
			f = si.Force(float64(t.PeakForce) * (at - t.Loaded).Seconds() / 8)
		}
		t.Columns = append(t.Columns, force.Column{At: at, Low: f, High: f + 20, Gap: i == 50})
	}
	return t
}

func batchOf(t testing.TB, c *compare.Comparison, traces []*force.Trace, o Options) string {
	t.Helper()
	var b bytes.Buffer
	if err := Batch(&b, c, traces, o); err != nil {
		t.Fatal(err)
	}
	page := b.Bytes()
	outline(t, page)
	alone(t, page)
	if m := regexp.MustCompile(`(NaN|[+-]Inf|%!)`).Find(page); m != nil {
		t.Errorf("%q is on the page", m)
	}
	return b.String()
}

var inUS = Options{Units: si.US, Program: "draghand test", Made: options.Made}

// worked is checks.md 7.2 (constructed: 44.1 45.3 43.8 46.0 44.9 ksi) beside another
// melt, and what bore at least so much, and what is left out.
func worked(o compare.Options) (compare.Comparison, []*force.Trace) {
	pulls := barsOf("M1", 44.1, 45.3, 43.8, 46.0, 44.9)
	more := barsOf("M2", 40.2, 40.9, 41.5, 39.7, 40.1, 40.6)
	more[5].AtLeast, more[5].Strength, more[5].Out = more[5].Strength, 0, "it bore at least so much: it was let off"
	more[4].Strength, more[4].Out = 0, "does not count: it broke in the grip"
	longer := 0.174
	pulls[0].Elongation = &longer
	all := append(pulls, more...)
	var traces []*force.Trace
	for _, p := range all {
		traces = append(traces, traceOf(p))
	}
	return compare.Of(all, compare.By{Field: compare.ByMelt}, o), append(traces, nil)
}

// The figures on the page are those of the comparison: of M1 by hand (mean 44.82, SD
// 0.8927, n = 5, k 3.4066, bound 41.779, less 2 · 0.34 makes 41.09, rounded down to
// 0.1 ksi), of the rest from it.
func TestBatchFigures(t *testing.T) {
	o := compare.NewOptions()
	o.Minimum = 40 * si.KSI
	c, traces := worked(o)
	page := batchOf(t, &c, traces, inUS)
	for _, want := range []string{
		`<p class="big">41.0 ksi</p>`, "Count on 41.0 ksi: as this rig reads, at least 90\u00a0% of such bars stand 41.77 ksi or more, with 95\u00a0% confidence if their scatter is normal (90/95 bound of 5 bars, k\u00a03.41)",
		`<th scope="row">factor k</th><td>3.407</td>`, `<th scope="row">bound</th><td>41.77 ksi: mean less k times SD</td>`,
		`<th scope="row">M1</th><td class="n">5</td><td class="n">44.8</td><td class="n">0.89</td><td class="n">2.0 %</td><td class="n">44.9</td><td class="n">43.8</td><td class="n">46.0</td><td class="n">43.7 to 45.9</td><td class="n">17.4 %, of 1</td>`,
		`<p class="verdict pass">Minimum 40.0 ksi: the strength to count on holds it; none of the 5 bars is under it.</p>`,
		"M1 AND M2 DIFFER", "it broke in the grip", "it was let off", "≥ 40.6", "rig one, calibration a, 0123",
		"it replaces no code", "not for a casting of another thickness", "draghand test, 2026-11-26 09:00 UTC", "docs/statistics.md",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	w := c.Groups[0].Weibull
	for _, want := range []string{"Line: normal, mean 44.8 ksi, SD 0.89 ksi.", "Line: Weibull, m " + si.Number(w.Shape, 1) + ", scale", si.Number(w.Shape, 1) + ", between " + si.Number(w.ShapeLow, 1) + " and " + compare.DigitsText(w.ShapeHigh) + " (about 95 %, of five bars some 90 %)", si.Number(w.Unbiased, 1) + ": times 0.6934 for 5 bars"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	for i := range c.Groups {
		for _, p := range c.Groups[i].Pulls {
			if cell := p.Record + `</span></th><td class="w">` + p.Started.Format("2006-01-02 15:04") + `</td><td class="n">0.4921 in</td><td class="n">` + p.Strength.In(si.US).Number() + `</td><td class="n">1.0</td>`; !strings.Contains(page, cell) {
				t.Errorf("%s is not in its row", p.Bar)
			}
		}
	}
	metric := batchOf(t, &c, traces, options)
	if !strings.Contains(metric, `<td class="n">309</td>`) || !strings.Contains(metric, "stresses in MPa") { // 44.82 ksi
		t.Error("the mean is not in MPa")
	}
}

// part is what stands between two marks of a page.
func part(t testing.TB, page, from, to string) string {
	t.Helper()
	_, rest, ok := strings.Cut(page, from)
	out, _, end := strings.Cut(rest, to)
	if !ok || !end {
		t.Fatalf("no %q … %q", from, to)
	}
	return out
}

func numbers(t testing.TB, text, pattern string) (out [][]float64) {
	t.Helper()
	for _, m := range regexp.MustCompile(pattern).FindAllStringSubmatch(text, -1) {
		var row []float64
		for _, s := range m[1:] {
			v, err := strconv.ParseFloat(s, 64)
			if err != nil {
				t.Fatal(err)
			}
			row = append(row, v)
		}
		out = append(out, row)
	}
	return out
}

// byTicks reads a place on an axis by two of its labels, as a person with a ruler does.
func byTicks(ticks [][]float64, at float64) float64 {
	a, b := ticks[0], ticks[len(ticks)-1]
	return a[1] + (at-a[0])/(b[0]-a[0])*(b[1]-a[1])
}

// Read off the drawings with a ruler, the bars stand where they belong.
func TestBatchDrawings(t *testing.T) {
	c, traces := worked(compare.NewOptions())
	page := batchOf(t, &c, traces, inUS)
	dots := part(t, page, `<title id="t-dots-1">`, "</svg>")
	axis := numbers(t, dots, `V[0-9.]+"/><text x="([0-9.]+)" y="[0-9.]+" dy="17" text-anchor="middle">([0-9.]+)<`)
	var want []float64
	for i := range c.Groups {
		for _, p := range c.Groups[i].Pulls {
			want = append(want, float64(p.Strength)/si.KSI)
		}
	}
	got := numbers(t, dots, `<circle class="dot" cx="([0-9.]+)"`)
	if len(got) != len(want) || len(axis) < 3 {
		t.Fatalf("%d dots, want %d; %d labels", len(got), len(want), len(axis))
	}
	unit := (axis[len(axis)-1][1] - axis[0][1]) / (axis[len(axis)-1][0] - axis[0][0]) // ksi a unit of the drawing
	for i := range got {
		if v := byTicks(axis, got[i][0]); math.Abs(v-want[i]) > 0.2*unit {
			t.Errorf("dot %d stands at %v, want %v", i, v, want[i])
		}
	}
	for i, g := range numbers(t, dots, `<path class="count" d="M([0-9.]+)`) {
		if v, want := byTicks(axis, g[0]), strength.Down(c.Groups[i].CountOn.Strength, si.US).Value; math.Abs(v-want) > 0.2*unit {
			t.Errorf("the strength to count on stands at %v, want %v", v, want)
		}
	}
	held := numbers(t, dots, `<path class="held" d="M([0-9.]+)`)
	if len(held) != 1 || math.Abs(byTicks(axis, held[0][0])-40.6) > 0.2*unit {
		t.Errorf("held: %v", held)
	}
	// The normal plot of M1: values along x; the third of five at 50 %; the line
	// through the mean there.
	normal := part(t, page, "<title>Normal probability plot</title>", "</svg>")
	axis = numbers(t, normal, `V318"/><text x="([0-9.]+)" y="335" text-anchor="middle">([0-9.]+)<`)
	spots := numbers(t, normal, `<circle class="dot" cx="([0-9.]+)" cy="([0-9.]+)"`)
	half := numbers(t, normal, `y="([0-9.]+)" dy="4" text-anchor="end">(50)<`)
	line := numbers(t, normal, `<path class="force" d="M([0-9.]+) ([0-9.]+) L([0-9.]+) ([0-9.]+)"`)
	if len(spots) != 5 || len(half) != 1 || len(line) != 1 {
		t.Fatalf("%d spots, %d labels of a half, %d lines", len(spots), len(half), len(line))
	}
	for i, v := range []float64{43.8, 44.1, 44.9, 45.3, 46.0} {
		if got := byTicks(axis, spots[i][0]); math.Abs(got-v) > 0.01 {
			t.Errorf("spot %d stands at %v, want %v", i, got, v)
		}
	}
	if math.Abs(spots[2][1]-half[0][0]) > 0.2 {
		t.Errorf("the middle bar stands at %v, a half at %v", spots[2][1], half[0][0])
	}
	l := line[0]
	at := l[0] + (half[0][0]-l[1])/(l[3]-l[1])*(l[2]-l[0])
	if got := byTicks(axis, at); math.Abs(got-44.82) > 0.02 {
		t.Errorf("the line is at %v at a half, want the mean 44.82", got)
	}
	// The Weibull plot: both axes are logarithms, and the line is the fit.
	w := c.Groups[0].Weibull
	weibull := part(t, page, "<title>Weibull probability plot</title>", "</svg>")
	axis = numbers(t, weibull, `V318"/><text x="([0-9.]+)" y="335" text-anchor="middle">([0-9.]+)<`)
	side := numbers(t, weibull, `y="([0-9.]+)" dy="4" text-anchor="end">([0-9.]+)<`)
	l = numbers(t, weibull, `<path class="force" d="M([0-9.]+) ([0-9.]+) L([0-9.]+) ([0-9.]+)"`)[0]
	for i := range axis {
		axis[i][1] = math.Log(axis[i][1])
	}
	for i := range side {
		side[i][1] = math.Log(-math.Log1p(-side[i][1] / 100))
	}
	for _, end := range [][2]float64{{l[0], l[1]}, {l[2], l[3]}} {
		want := w.Shape * (byTicks(axis, end[0]) - math.Log(w.Scale/si.KSI))
		if got := byTicks(side, end[1]); math.Abs(got-want) > 0.02 {
			t.Errorf("the line is at %v, want %v", got, want)
		}
	}
}

// Each drawing can be told without colour and without eyes, and what is not drawn is
// counted.
func TestBatchTraces(t *testing.T) {
	pulls := barsOf("M1", 44.1, 45.3, 43.8, 46.0, 44.9, 44.2, 44.3, 44.4, 44.5, 44.6, 44.7)
	var traces []*force.Trace
	for i, p := range pulls {
		if i != 2 { // the lowest has none
			traces = append(traces, traceOf(p))
		}
	}
	c := compare.Of(pulls, compare.By{}, compare.NewOptions())
	page := batchOf(t, &c, traces, inUS)
	over := part(t, page, "<title>The pulls over each other</title>", "</section>")
	for i := range MostTraces {
		letter := string(rune('a' + i)) // as on the screen: the capitals are groups
		if !strings.Contains(over, `<text class="letter"`) || !strings.Contains(over, ">"+letter+"</text>") || strings.Count(over, fmt.Sprintf(`class="over d%d"`, i)) != 3 {
			t.Errorf("%s has no letter, no pattern in the picture (two parts about the gap) or none in the key", letter)
		}
	}
	for _, want := range []string{"The lowest are drawn, 2 more are not.", "Of 1 there is no trace with a load.", "a: M1-11, peak", "h: M1-1, peak"} {
		if !strings.Contains(over, want) {
			t.Errorf("the picture does not say %q", want)
		}
	}
	for _, svg := range regexp.MustCompile(`(?s)<svg class="(trace|prob)".*?</svg>`).FindAllString(page, -1) {
		if !strings.Contains(svg, "<title") || !strings.Contains(svg, "<desc") || !strings.Contains(svg, `role="img"`) {
			t.Errorf("a drawing without words: %.80s", svg)
		}
	}
	for _, m := range regexp.MustCompile(`<th[ >][^>]*`).FindAllString(page, -1) {
		if !strings.Contains(m, `scope="`) {
			t.Errorf("a head of a table without a scope: %s", m)
		}
	}
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(` id="([^"]+)"`).FindAllStringSubmatch(page, -1) {
		if ids[m[1]] {
			t.Errorf("the id %s is there twice", m[1])
		}
		ids[m[1]] = true
	}
	// Letters keep apart, whatever the peaks.
	var xs []float64
	for _, n := range numbers(t, over, `<text class="letter" x="([0-9.]+)"`) {
		xs = append(xs, n[0])
	}
	for i := range xs {
		for j := range i {
			if math.Abs(xs[i]-xs[j]) < letterApart-0.2 {
				t.Errorf("letters at %v and %v", xs[i], xs[j])
			}
		}
	}
}

// What a reader must know stands before any number, and nothing that was simulated or
// is doubtful is green.
func TestBatchWarns(t *testing.T) {
	o := compare.NewOptions()
	o.Minimum = 10 * si.KSI
	pulls := barsOf("M1", 44.1, 45.3, 43.8, 46.0, 44.9)
	for i := range pulls {
		pulls[i].Simulated = true
	}
	c := compare.Of(pulls, compare.By{Field: compare.ByMelt}, o)
	page := batchOf(t, &c, nil, inUS)
	if at := strings.Index(page, "SIMULATED: no metal was broken for this"); at < 0 || at > strings.Index(page, `class="big"`) {
		t.Error("SIMULATED does not stand first")
	}
	if strings.Contains(page, "verdict pass") || !strings.Contains(page, "verdict open") {
		t.Error("a simulated group has a green verdict")
	}
	if strings.Count(page, ">SIMULATED</text>") != 2 {
		t.Error("the plots do not say SIMULATED")
	}
	pulls[0].Simulated = false
	c = compare.Of(pulls, compare.By{Field: compare.ByMelt}, o)
	page = batchOf(t, &c, nil, inUS)
	for _, want := range []string{"PARTLY SIMULATED: for 4 of 5 pulls", "There is no strength to count on: 4 of 5 bars are simulated, and say nothing of a metal", `<p class="big">none</p>`, "cannot be told"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	alloys := barsOf("M1", 44.1, 45.3, 43.8, 46.0, 44.9)
	alloys[0].Alloy = "C95400"
	c = compare.Of(alloys, compare.By{Field: compare.ByMelt}, o)
	page = batchOf(t, &c, nil, inUS)
	for _, want := range []string{"SHOULD NOT BE TRUSTED, the strength to count on of M1: the alloys differ", "Should not be trusted", "answer void"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	o.Minimum = 45 * si.KSI
	c = compare.Of(barsOf("M1", 44.1, 45.3, 43.8, 46.0, 44.9), compare.By{}, o)
	if page = batchOf(t, &c, nil, inUS); !strings.Contains(page, "verdict fail") || !strings.Contains(page, "DOES NOT HOLD") {
		t.Error("a minimum that is not held is not told")
	}
}

// A bar that lies apart is ringed in each drawing, named in its row, and told once in
// words; nothing of it is left out.
func TestBatchApart(t *testing.T) {
	c := compare.Of(barsOf("M1", 44.1, 45.3, 43.8, 46.0, 44.9, 44.4, 45.0, 44.7, 33.0), compare.By{}, compare.NewOptions())
	if o := c.Groups[0].Outlier; o == nil || !o.Flagged {
		t.Fatal("the bar is not flagged: the test says nothing")
	}
	page := batchOf(t, &c, nil, inUS)
	for what, n := range map[string]int{`class="apart"`: 3, `<span class="stop">lies apart</span>`: 1, "ONE BAR APART: M1-9, 33.0 ksi": 1, "lies apart from the others": 0} {
		if got := strings.Count(page, what); got != n {
			t.Errorf("%q is there %d times, want %d", what, got, n)
		}
	}
	if !strings.Contains(page, `<td class="n">33.0</td>`) {
		t.Error("the bar has no row")
	}
}

// What speaks against a figure stands right under it, before what it rests on; how the
// bars were picked stands on top.
func TestBatchCautionsUnderTheFigure(t *testing.T) {
	o := compare.NewOptions()
	o.Chosen = compare.Chosen{How: "of the shelf, by the filter strength>43ksi", ByResult: "strength>43ksi", Behind: []compare.Behind{{Record: "r", Bar: "M1-9", Melt: "M1"}}}
	c := compare.Of(barsOf("M1", 44.1, 45.3, 43.8, 46.0, 44.9), compare.By{Field: compare.ByMelt}, o)
	page, at := batchOf(t, &c, nil, inUS), 0
	for _, want := range []string{
		"<dt>chosen</dt><dd>of the shelf, by the filter strength&gt;43ksi</dd>", `<p class="big">41.0 ksi</p>`, "Should not be trusted: bars were chosen by what came out.",
		"<li>Caution: bars were chosen by what came out (strength&gt;43ksi): the bound holds for no melt.</li>", "was not taken: M1-9;", "<p>41.0 ksi comes out and should not be trusted, since bars were chosen by what came out: ",
	} {
		n := strings.Index(page[at:], want)
		if n < 0 {
			t.Fatalf("no %q behind what should stand before it", want)
		}
		at += n
	}
}

// A page is for who has no program: nothing on it is to be typed, the remarks that a bar
// counts with stand with it, and where there is no strength nothing is said of trust.
func TestBatchIsForOthers(t *testing.T) {
	pulls := barsOf("M1", 44.1, 45.3, 43.8, 46.0, 44.9)
	pulls[0].Counts, pulls[0].Because = strength.CountsWithRemarks, []string{"no zero was taken", "the pace is over the window"}
	pulls[1].Counts = ""
	wide := barsOf("m1", 1, 5, 60, 30, 90, 20)
	wide[1].Counts = ""
	wide[0].Out, wide[0].Strength = "its peak is neither a strength nor a bar that held: where the bar broke tells it: draghand finish r --where middle", 0
	c := compare.Of(append(pulls, wide...), compare.By{Field: compare.ByMelt}, compare.NewOptions())
	page := batchOf(t, &c, nil, inUS)
	for _, m := range regexp.MustCompile(`.{0,40}draghand [a-z]+ .{0,20}|.{0,30} --[a-z]+.{0,20}`).FindAllString(part(t, page, "<body>", "<footer"), -1) {
		t.Errorf("to be typed: %s", m)
	}
	for _, want := range []string{
		"counts with remarks: no zero was taken (1), the pace is over the window (1); they stand with each bar.", "<td>with remarks: no zero was taken; the pace is over the window</td>",
		"yet: where it broke and how it looks may rule a bar out.", "a bar that held</td>", "label them alike: ",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("no %q", want)
		}
	}
	none := part(t, page, `<p class="what">m1</p>`, "</div>")
	if !strings.Contains(none, `<p class="big">none</p>`) || strings.Contains(none, "<strong>") || strings.Contains(none, "▲") {
		t.Errorf("of a group without a strength to count on:\n%s", none)
	}
}
