package pull

import (
	"fmt"
	"math"
	"path/filepath"
	"strconv"
	"testing"

	"draghand/internal/si"
)

// figure is a published figure of one trace's test, as its source reports it.
type figure struct {
	quantity string // "area", "peak", "machine peak" (kept faster than the rows), "strength", "upper yield"
	value    float64
	unit     string
	tol      float64 // allowed difference, in the same unit
	why      string  // of the tolerance
}

// comparison is a figure beside ours.
type comparison struct {
	figure
	got float64
}

func readFigures(t *testing.T) map[string][]figure {
	t.Helper()
	out := map[string][]figure{}
	for _, row := range readTable(t, filepath.Join("..", "..", "testdata", "open", "published.csv")) {
		v, err1 := strconv.ParseFloat(row["value"], 64)
		tol, err2 := strconv.ParseFloat(row["tolerance"], 64)
		if err1 != nil || (err2 != nil && row["quantity"] != "area") || row["source"] == "" {
			t.Fatalf("published.csv: %v", row)
		}
		out[row["trace"]] = append(out[row["trace"]], figure{row["quantity"], v, row["unit"], tol, row["why"]})
	}
	return out
}

// compareFigures sets the source's figures beside ours. Its forces are counted
// from the source's own zero, so ours are too: the reading, not what is above
// the zero that the engine may have taken.
func (r *openResult) compareFigures(figures []figure) {
	area := float64(areaOf(figures))
	force := func(p Point) float64 { return p.Raw * r.o.unit }
	for _, f := range figures {
		scale := map[string]float64{"kN": si.Kilonewton, "MPa": si.Megapascal, "ksi": si.KSI}[f.unit]
		var got float64
		switch f.quantity {
		case "machine peak":
			got = force(r.st.PeakRaw) / scale
			if got > f.value*(1+1e-6) { // the digits of the two differ
				r.differ("over the machine's own peak: %.6g %s", got, f.unit)
			}
		case "peak":
			got = force(r.st.PeakRaw) / scale
		case "strength":
			got = force(r.st.PeakRaw) / area / scale
		case "upper yield":
			if r.st.Yield == nil {
				r.differ("upper yield: not told")
				continue
			}
			got = force(r.st.Yield.Upper) / area / scale
		default:
			continue
		}
		r.figures = append(r.figures, comparison{f, got})
		if !(math.Abs(got-f.value) <= f.tol) {
			r.differ("%s: %.4g %s", f.quantity, got, f.unit)
		}
	}
}

// areaOf is the section among the figures, 0 without one.
func areaOf(figures []figure) si.Area {
	for _, f := range figures {
		if f.quantity == "area" {
			return si.Area(f.value * map[string]float64{"mm2": si.SquareMM, "in2": si.SquareInch}[f.unit])
		}
	}
	return 0
}

func (c comparison) String() string {
	return fmt.Sprintf("%s %s (source %s)", c.quantity, figureText(c.got, c.unit), figureText(c.value, c.unit))
}

func figureText(v float64, unit string) string {
	return strconv.FormatFloat(v, 'g', 5, 64) + " " + unit
}
