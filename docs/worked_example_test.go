package docs_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html"
	"math"
	"regexp"
	"strings"
	"testing"
	"time"

	"draghand/internal/calib"
	"draghand/internal/finish"
	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/report"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/strength"
)

// worked is the pull of docs/worked-example.md, made with the program's own parts
// from the counts that the page gives.
type worked struct {
	rig     *rig.Rig
	answer  calib.Answer
	state   pull.State
	results strength.Results
	kept    strength.Results // as they stand in pull.json
	page    string           // words of the report
}

// workedPull calibrates, pulls, finishes and reports.
func workedPull(t *testing.T) worked {
	t.Helper()
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	out := worked{rig: example(t)}
	points := "reference [kN],reading\n0,820\n"
	for _, row := range table(t, "worked-example.md", "points") {
		points += row[0] + "," + row[1] + "\n"
	}
	tab, err := calib.ReadTable([]byte(points), out.rig, calib.TableOptions{At: rig.AtSpecimen})
	must(err)
	out.answer, err = calib.Reckon(calib.Run{
		Rig: out.rig, At: rig.AtSpecimen, Zero: tab.Zero, Points: tab.Points, Made: time.Date(2026, 11, 20, 10, 0, 0, 0, time.UTC),
		Reference: calib.Reference{Text: "50 kN cell no. 7", Certificate: "K-113, 2026-03-02", U: 0.001},
	}, calib.Options{Simulated: true})
	must(err)
	calibrated := *out.rig
	calibrated.Calibration = &out.answer.Calibration
	w, err := record.Create(t.TempDir(), record.Head{
		Program: "draghand test", Started: time.Date(2026, 11, 25, 14, 3, 22, 0, time.UTC), Kind: pull.Tension, Rig: &calibrated, Source: "typed in",
		Specimen: specimen.Specimen{
			ID: "7", Melt: "M1", Alloy: "C90500", Simulated: true, GaugeLength: 50 * si.Millimetre, SizeU: 0.01 * si.Millimetre,
			Diameters: []si.Length{12.51 * si.Millimetre, 12.52 * si.Millimetre, 12.53 * si.Millimetre},
		},
	})
	must(err)
	for i, raw := range workedCounts() {
		at := time.Duration(i) * 10 * time.Millisecond
		w.Append(at, fmt.Appendf(nil, "%d", at.Microseconds()), fmt.Appendf(nil, "%d", raw), "")
	}
	w.Mark(70*time.Second, pull.End, 0, "end")
	must(w.Close(record.Closing{Reason: record.ByPerson, Ended: time.Date(2026, 11, 25, 14, 4, 32, 0, time.UTC)}))
	rec, err := record.Open(w.Dir())
	must(err)
	form := finish.NewForm(rec.Head, si.Metric, specimen.Alloys())
	for _, f := range []struct {
		id   finish.FieldID
		text string
	}{
		{finish.FieldDiameters, "9.81 mm, 9.79 mm"},
		{finish.FieldGauge, "58.7 mm"},
		{finish.FieldWhere, "middle"},
		{finish.FieldLooks, "cup-and-cone"},
		{finish.FieldMinimum, "45 ksi from the drawing"},
	} {
		must(form.Set(f.id, f.text))
	}
	f, err := form.Finished()
	must(err)
	_, err = finish.Save(w.Dir(), f)
	must(err)
	rec, err = record.Open(w.Dir())
	must(err)
	out.results, out.state, err = finish.Recompute(rec)
	must(err)
	must(json.Unmarshal(rec.Head.Results, &out.kept))
	var b bytes.Buffer
	must(report.HTML(&b, rec, report.Options{Units: si.Metric, Program: "draghand test"}))
	text := regexp.MustCompile(`(?s)<style.*?</style>|<svg.*?</svg>|<[^>]+>`).ReplaceAllString(b.String(), " ")
	out.page = strings.Join(strings.Fields(html.UnescapeString(text)), " ")
	return out
}

// workedCounts are the readings under "What was read".
func workedCounts() (out []int) {
	put := func(n int, level func(i int) int, noise [4]int) {
		for i := range n {
			out = append(out, level(i)+noise[len(out)%4])
		}
	}
	flat := func(v int) func(int) int { return func(int) int { return v } }
	around := [4]int{0, 1, 0, -1}
	put(400, flat(820), around)
	put(6000, func(i int) int { return 820 + i*848/6000 }, around)
	put(40, flat(1668), around)
	put(1, flat(1100), [4]int{})
	put(400, flat(820), [4]int{0, 1, 1, 0})
	return out
}

// rowsAre holds the rows of a table of the page to figures by their names: column
// at is the value.
func rowsAre(t *testing.T, name string, at int, values map[string]float64) {
	t.Helper()
	rows := table(t, "worked-example.md", name)
	for _, row := range rows {
		got, known := values[row[0]]
		if !known {
			t.Errorf("%s: the page works out %q, this test does not", name, row[0])
			continue
		}
		text, _, _ := strings.Cut(row[at], " ")
		same(t, name+", "+row[0], text, got)
	}
	if len(rows) != len(values) {
		t.Errorf("%s: the page has %d rows, this test %d", name, len(rows), len(values))
	}
}

// The page against the program, row by row; what pull.json and the report say of
// the same pull.
func TestWorkedExampleWhole(t *testing.T) {
	w := workedPull(t)
	a, line, free := w.answer, w.answer.Used(), w.answer.Line
	chain := w.rig.Chain()
	zeroRaw := w.results.Zero.Raw
	if zeroRaw == nil || w.results.StrengthPa == nil || w.results.Budget == nil || w.results.Verdict == nil || w.results.Counts == nil {
		t.Fatalf("no zero, strength, budget, verdict or word on whether it counts: %+v", w.results)
	}
	for i, row := range table(t, "worked-example.md", "points") {
		p, _ := chain.Pressure(number(t, row[1]))
		z, _ := chain.Pressure(820)
		same(t, row[0]+" kN, p", row[2], float64(p-z)/si.Bar)
		same(t, row[0]+" kN, line", row[3], line.At(float64(p-z))/si.Kilonewton)
		same(t, row[0]+" kN, residual", row[4], a.Residuals[i].Residual)
		same(t, row[0]+" kN, leverage", row[5], a.Residuals[i].Leverage)
	}
	var sumPF, off float64
	for i, row := range table(t, "worked-example.md", "points") {
		sumPF += number(t, row[0]) * number(t, row[2])
		if e := a.Levels[i].Error; math.Abs(e) > math.Abs(off) {
			off = e
		}
	}
	if !strings.Contains(read(t, "worked-example.md"), "Student's 2.7764 (95 %, 4)") { // tables of Student's t: 2.776 for 4
		t.Error("the page has another factor for the offset")
	}
	if math.Abs(sumPF-20936.1053) > 0.001 {
		t.Errorf("the points' columns give Σp·F = %.4f", sumPF)
	}
	rowsAre(t, "fit", 2, map[string]float64{
		"sum of p²": line.SumSquares / si.Bar / si.Bar, "sum of p·F": line.Slope * line.SumSquares / si.Bar / si.Kilonewton,
		"line through zero": line.Slope * si.Bar / si.Kilonewton, "scatter about it": line.SD,
		"free line, slope": free.Slope * si.Bar / si.Kilonewton, "free line, offset": free.Offset, "u of the offset": free.OffsetU,
		"edge of the offset": 2.776445 * free.OffsetU, // tables of Student's t
		"by the rig file":    chain.SpecimenPer() * si.Bar / si.Kilonewton, "most it was off as found": 100 * off,
	})
	if a.Taken != calib.ThroughZero || a.Suspect != -1 || len(a.Claims) != 1 || !strings.HasPrefix(a.Claims[0], "compared with 50 kN cell no. 7") {
		t.Errorf("taken %s, suspect %d, claims %q", a.Taken, a.Suspect, a.Claims)
	}

	zero, _ := chain.Pressure(*zeroRaw)
	peak, _ := chain.Pressure(1668)
	volts := func(raw float64) float64 { return raw / 4096 * 5 }
	rowsAre(t, "chain", 2, map[string]float64{
		"zero": *zeroRaw, "zero in volts": volts(*zeroRaw), "zero in amperes": volts(*zeroRaw) / 250 * 1e3, "zero as pressure": float64(zero) / si.Bar,
		"peak in volts": volts(1668), "peak in amperes": volts(1668) / 250 * 1e3, "peak as pressure": float64(peak) / si.Bar,
		"above the zero": w.results.Peak.GaugePa / si.Bar, "by the rig file alone": float64(chain.Specimen(peak-zero)) / si.Kilonewton,
		"by the calibration": w.results.Peak.SpecimenN / si.Kilonewton, "section": float64(specimen.Specimen{Diameters: []si.Length{12.51e-3, 12.52e-3, 12.53e-3}}.Area()) / si.SquareMM,
		"stress": *w.results.StrengthPa / si.Megapascal, "in psi": *w.results.StrengthPa / si.PSI,
	})

	budgetRows(t, w)
	after(t, w)
	for _, row := range table(t, "worked-example.md", "report") {
		if !strings.Contains(w.page, row[1]) {
			t.Errorf("the report, %s: no %q", row[0], row[1])
		}
	}
	if got, want := asText(t, w.kept), asText(t, w.results); got != want {
		t.Errorf("pull.json keeps other results than come of the readings:\n%s\n%s", got, want)
	}
}

// budgetRows holds the tables about the uncertainty to the program.
func budgetRows(t *testing.T, w worked) {
	t.Helper()
	b, z := w.results.Budget, w.state.Zero
	u := map[string]float64{}
	unit := map[string]float64{"N": 1, "bar": si.Bar, "mm": si.Millimetre}
	rows := table(t, "worked-example.md", "lines")
	if len(rows) != len(b.Lines) {
		t.Fatalf("%d lines on the page, the program has %d", len(rows), len(b.Lines))
	}
	for i, row := range rows {
		l := b.Lines[i]
		if l.Of != row[0] {
			t.Errorf("line %d is %q, the program has %q", i+1, row[0], l.Of)
		}
		u[l.Of] = l.U
		same(t, row[0]+", u", row[1], l.U/unit[row[2]])
		same(t, row[0]+", slope", row[3], l.UPa/l.U*unit[row[2]]/si.Megapascal)
		same(t, row[0]+", MPa", row[4], l.UPa/si.Megapascal)
		same(t, row[0]+", share", row[5], 100*l.Fraction)
	}
	rowsAre(t, "trace", 2, map[string]float64{
		"scatter of a reading": float64(z.SD) / si.Bar, "of a median of three": u["noise at the peak"] / si.Bar, "the zero moved": float64(z.Return) / si.Bar,
		"u of the zero": u["zero"] / si.Bar, "half a count, u": u["one count"] / si.Bar, "drag hand too high by": u["bias of the drag hand"] / si.Bar,
	})
	if b.DoF == nil || b.MonteCarlo == nil {
		t.Fatal("no degrees of freedom, or no Monte Carlo")
	}
	section := math.Pi * 12.51e-3 * 12.51e-3 / 4
	rowsAre(t, "together", 2, map[string]float64{
		"u": b.UPa / si.Megapascal, "common to every pull of this rig": b.CommonPa / si.Megapascal, "this pull's own": b.RandomPa / si.Megapascal,
		"scatter and line together": math.Hypot(u["scatter about the line"], u["calibration line"]) / section / si.Megapascal,
		"degrees of freedom":        *b.DoF, "k": b.CoverageK, "U": b.ExpandedPa / si.Megapascal, "U of the strength": 100 * b.ExpandedPa / b.ValuePa,
	})
	said := fmt.Sprintf("from %.1f to %.1f MPa, which is a little wider", b.MonteCarlo.LowPa/si.Megapascal, b.MonteCarlo.HighPa/si.Megapascal)
	if text := strings.Join(strings.Fields(read(t, "worked-example.md")), " "); !strings.Contains(text, said) {
		t.Errorf("the Monte Carlo says %q, the page something else", said)
	}
	if notes := strings.Join(b.Notes, "\n"); !strings.Contains(notes, "the two ways part") {
		t.Errorf("notes %q", notes)
	}
}

// after holds what was measured after the break, its rounding and the verdict to
// the program.
func after(t *testing.T, w worked) {
	t.Helper()
	r := w.results
	if r.Rounded == nil || r.Elongation == nil || r.ReductionOfArea == nil || *r.Counts != strength.Counts || r.Verdict.Says != strength.Passes {
		t.Fatalf("rounded %+v, counts %v because %q, verdict %+v", r.Rounded, *r.Counts, r.CountsBecause, r.Verdict)
	}
	for _, row := range table(t, "worked-example.md", "after") {
		text, _, _ := strings.Cut(row[2], " ")
		var got float64
		var e8, iso string
		switch row[0] {
		case "strength":
			got, e8, iso = *r.StrengthPa/si.Megapascal, r.Rounded.StrengthE8, r.Rounded.StrengthISO
		case "±":
			got, e8 = *r.StrengthExpandedPa/si.Megapascal, r.Rounded.ExpandedE8
		case "elongation":
			got, e8, iso = 100**r.Elongation, r.Rounded.ElongationE8, r.Rounded.ElongationISO
		case "reduction of area":
			got, e8, iso = 100**r.ReductionOfArea, r.Rounded.ReductionE8, r.Rounded.ReductionISO
		default:
			t.Fatalf("no row %q", row[0])
		}
		same(t, row[0], text, got)
		if row[3] != e8 || row[4] != iso {
			t.Errorf("%s: the page rounds to %q and %q, the program to %q and %q", row[0], row[3], row[4], e8, iso)
		}
	}
	s, g, m := *r.StrengthPa, r.Verdict.GuardPa, r.Verdict.MinimumPa
	rowsAre(t, "verdict", 2, map[string]float64{
		"minimum": m / si.Megapascal, "guard": g / si.Megapascal, "strength less guard": (s - g) / si.Megapascal, "cannot tell from": (m + g) / si.Megapascal,
	})
	moved := 100 * *r.Zero.Return / r.Peak.GaugePa
	if pace := *r.PacePaPerS / 1e6; math.Abs(pace-5.3) > 0.05 || math.Abs(moved-0.06) > 0.005 {
		t.Errorf("the page's pace of 5.3 MPa/s and zero of 0.06 %% are %.3f and %.4f", pace, moved)
	}
}

func asText(t *testing.T, r strength.Results) string {
	t.Helper()
	b, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
