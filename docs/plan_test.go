package docs_test

import (
	"strings"
	"testing"

	"draghand/internal/plan"
	"draghand/internal/si"
)

// The worked example of plan.md, row by row, by the program's own code.
func TestPlanExample(t *testing.T) {
	r := example(t)
	p := plan.For(plan.Ask{Rig: r, Strength: plan.OfRange(250*si.Megapascal, 340*si.Megapascal, 0), Units: si.Metric, Diameters: []si.Length{12.5 * si.Millimetre}})
	s := p.Asked[0]
	got := []float64{
		float64(s.Area) / si.SquareMM, float64(s.Low.Specimen) / si.Kilonewton, float64(s.High.Specimen) / si.Kilonewton, float64(s.High.Ram) / si.Kilonewton,
		float64(s.High.Gauge) / si.Bar, float64(p.Part.Stop.Gauge) / si.Bar, float64(p.Part.Stop.Specimen) / si.Kilonewton, float64(p.Part.StopLeast) / si.Kilonewton, s.Margin, s.UseLow, float64(s.Pace.Low),
	}
	rows := table(t, "plan.md", "plan")
	if len(rows) != len(got) {
		t.Fatalf("%d rows, %d figures", len(rows), len(got))
	}
	for i, row := range rows {
		number, _, _ := strings.Cut(row[2], " ")
		same(t, row[0], number, got[i])
	}
}
