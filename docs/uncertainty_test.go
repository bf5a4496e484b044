package docs_test

import (
	"math"
	"strconv"
	"testing"

	"draghand/internal/budget"
	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// The worked budget, with the program's own code. The table was worked by hand
// from its own column; half of its last figure is allowed.
func TestWorkedBudget(t *testing.T) {
	r, err := rig.Parse("the example rig", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	c := r.Chain()
	loaded, _ := c.Pressure(1668)
	zero, _ := c.Pressure(820)
	bar := specimen.Specimen{Diameters: []si.Length{12.51 * si.Millimetre}, SizeU: 0.01 * si.Millimetre}
	b := budget.For(r, bar, budget.Peak{
		Gauge: loaded - zero, ZeroU: budget.ZeroU(0.25*si.Bar, c.Step(), 400, 0.1*si.Bar),
		Noise: 0.25 * si.Bar, Median: 3, Bias: 0.30 * si.Bar,
	}, 0, 0)
	if b == nil {
		t.Fatal("no budget")
	}
	rows := table(t, "uncertainty.md", "budget")
	if len(rows) != len(b.Lines) {
		t.Fatalf("%d rows, the program has %d lines", len(rows), len(b.Lines))
	}
	number := func(text string) float64 {
		v, err := strconv.ParseFloat(text, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for i, row := range rows {
		l := b.Lines[i]
		if l.Of != row[0] {
			t.Errorf("row %d is %q, the program has %q", i+1, row[0], l.Of)
		}
		for _, f := range []struct {
			what      string
			got, half float64
			want      string
		}{
			{"% of S", 100 * l.UPa / b.ValuePa, 0.5e-5, row[2]},
			{"MPa", l.UPa / si.Megapascal, 0.5e-4, row[3]},
			{"% of u²", 100 * l.Fraction, 0.5e-2, row[4]},
		} {
			if math.Abs(f.got-number(f.want)) > 1.01*f.half {
				t.Errorf("%s, %s: %s, the program has %.6f", l.Of, f.what, f.want, f.got)
			}
		}
	}
	for _, f := range []struct{ got, want, tol float64 }{
		{b.ValuePa, 309.4986e6, 100}, {b.UPa, 5.1498e6, 100}, {b.ExpandedPa, 10.093e6, 1000}, {b.CommonPa, 5.1143e6, 100}, {b.RandomPa, 0.6035e6, 100},
	} {
		if math.Abs(f.got-f.want) > f.tol {
			t.Errorf("%.6g Pa, the page has %.6g", f.got, f.want)
		}
	}
}
