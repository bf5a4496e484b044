package specimen

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"draghand/internal/si"
)

// Standard is a bar as a standard draws it: what is to be turned, in metres. A
// size of 0 is not stated by the table.
type Standard struct {
	Name       string    `json:"name"`       // "E8 0.250 in"
	Source     string    `json:"source"`     // the standard and its specimen
	Provenance string    `json:"provenance"` // how its figures came into this table
	Units      si.System `json:"units"`      // the standard's own
	Diameter   si.Length `json:"diameter_m"`
	Tol        si.Length `json:"diameter_tol_m,omitempty"` // ±
	// GaugeLength is the distance of the marks, GaugeTol its ±.
	GaugeLength si.Length `json:"gauge_length_m,omitempty"`
	GaugeTol    si.Length `json:"gauge_tol_m,omitempty"`
	FilletMin   si.Length `json:"fillet_min_m,omitempty"`
	ReducedMin  si.Length `json:"reduced_min_m,omitempty"` // length of the reduced section
	// AsCast is the bar as cast that it is turned of, and Casting from what to
	// what controlling section of the casting it stands for: A48 alone.
	AsCast  AsCast       `json:"as_cast_m,omitzero"`
	Casting [2]si.Length `json:"casting_m,omitzero"`
}

// AsCast is the diameter of a bar as cast.
type AsCast struct {
	Nominal si.Length `json:"nominal"`
	Low     si.Length `json:"low"`
	High    si.Length `json:"high"`
}

// Area is π d²/4 of the nominal diameter, m².
func (s Standard) Area() si.Area { return round(s.Diameter) }

// Proportions of gauge length to the root of the section, ISO 6892-1.
const (
	ShortK = 5.65 // 5.007 d of a round bar
	LongK  = 11.3 // 10.014 d
)

// Proportional is the gauge length k √S of a section, ISO 6892-1 (from memory).
func Proportional(k float64, section si.Area) si.Length {
	return si.Length(k * math.Sqrt(float64(section)))
}

// RoundGauge is a computed gauge length to the nearest 5 mm, which ISO 6892-1
// allows where the change is within 10 % (from memory); else it is as it was.
func RoundGauge(l si.Length) (rounded si.Length, ok bool) {
	const step = 5 * si.Millimetre
	r := si.Length(math.RoundToEven(float64(l)/step) * step)
	if !(r > 0) || math.Abs(float64(r-l)) > 0.1*float64(l) {
		return l, false
	}
	return r, true
}

// Own is a bar of any diameter in proportions of the largest of ASTM E8/E8M: a
// gauge length of 4 D, a reduced section of 4.5 D, a fillet of 0.75 D.
func Own(d si.Length, sys si.System) Standard {
	return Standard{
		Name: "own " + d.Text(sys), Source: "no standard's size; proportions of ASTM E8/E8M specimen 1 (4 D)", Provenance: "computed", Units: sys,
		Diameter: d, GaugeLength: 4 * d, FilletMin: 0.75 * d, ReducedMin: 4.5 * d,
	}
}

// Standards are the standard bars, a standard after the other, largest first.
// Most of the dimensions are from memory of the standards; Provenance says which
// were seen in print. Have the standard at hand before a bar must satisfy it.
func Standards() []Standard {
	var out []Standard
	out = append(out, e8(si.US, 4)...)
	out = append(out, e8(si.Metric, 4)...)
	out = append(out, e8(si.Metric, 5)...)
	for _, s := range e8(si.US, 4) {
		s.Name, s.Source = "B557"+s.Name[len("E8"):], "ASTM B557 (aluminium, magnesium), round, the sizes of E8 (4 D)"
		out = append(out, s)
	}
	for _, s := range e8(si.Metric, 5) {
		s.Name, s.Source = "B557M"+s.Name[len("E8M"):], "ASTM B557M (aluminium, magnesium), round, the sizes of E8M (5 D)"
		out = append(out, s)
	}
	out = append(out, a48()...)
	for _, k := range []float64{ShortK, LongK} {
		for _, d := range []float64{12.5, 10, 8, 6, 5, 4} {
			out = append(out, proportional(k, d))
		}
	}
	return out
}

// e8 are the round bars of ASTM E8/E8M.
func e8(sys si.System, gauge int) []Standard {
	type row struct{ d, tol, g, gTol, fillet, reduced float64 }
	unit, name := si.Length(si.Inch), "E8"
	rows := []row{
		{0.5, 0.010, 2.0, 0.005, 0.375, 2.25},
		{0.35, 0.007, 1.4, 0.005, 0.25, 1.75},
		{0.25, 0.005, 1.0, 0.005, 0.188, 1.25},
		{0.16, 0.003, 0.64, 0.005, 0.156, 0.75},
		{0.113, 0.002, 0.45, 0.005, 0.094, 0.625},
	}
	switch {
	case sys == si.Metric && gauge == 4:
		unit = si.Millimetre
		rows = []row{
			{12.5, 0.2, 50, 0.1, 10, 56},
			{9, 0.1, 36, 0.1, 8, 45},
			{6, 0.1, 24, 0.1, 6, 30},
			{4, 0.1, 16, 0.1, 4, 20},
			{2.5, 0.1, 10, 0.1, 2, 16},
		}
	case sys == si.Metric:
		unit, name = si.Millimetre, "E8M"
		rows = []row{
			{12.5, 0.2, 62.5, 0.1, 10, 75},
			{9, 0.1, 45, 0.1, 8, 54},
			{6, 0.1, 30, 0.1, 6, 36},
			{4, 0.1, 20, 0.1, 4, 24},
			{2.5, 0.1, 12.5, 0.1, 2, 20},
		}
	}
	var out []Standard
	for i, r := range rows {
		out = append(out, Standard{
			Name:   name + " " + sizeName(r.d, sys),
			Source: fmt.Sprintf("ASTM E8/E8M, round, specimen %d (%d D)", i+1, gauge), Provenance: "memory; that E8 takes 4 D and E8M 5 D is found", Units: sys,
			Diameter: si.Length(r.d) * unit, Tol: si.Length(r.tol) * unit, GaugeLength: si.Length(r.g) * unit, GaugeTol: si.Length(r.gTol) * unit,
			FilletMin: si.Length(r.fillet) * unit, ReducedMin: si.Length(r.reduced) * unit,
		})
	}
	return out
}

// sizeName is a diameter as the standard names its bar.
func sizeName(d float64, sys si.System) string {
	if sys == si.US {
		return strconv.FormatFloat(d, 'f', 3, 64) + " in"
	}
	return strconv.FormatFloat(d, 'g', -1, 64) + " mm"
}

// a48 are the bars of ASTM A48 for grey iron, turned of a bar cast apart.
func a48() []Standard {
	var out []Standard
	for _, r := range []struct {
		bar                string
		d, nominal, lo, hi float64
		from, to           float64
	}{
		{"C", 1.25, 2.00, 1.90, 2.10, 1.01, 2.00},
		{"B", 0.75, 1.20, 1.14, 1.32, 0.51, 1.00},
		{"A", 0.5, 0.88, 0.85, 0.96, 0.25, 0.50},
	} {
		in := func(v float64) si.Length { return si.Length(v * si.Inch) }
		out = append(out, Standard{
			Name: "A48 bar " + r.bar, Source: "ASTM A48 (grey iron), bar " + r.bar, Provenance: "memory; the nominal diameter as cast is found", Units: si.US,
			Diameter: in(r.d), AsCast: AsCast{in(r.nominal), in(r.lo), in(r.hi)}, Casting: [2]si.Length{in(r.from), in(r.to)},
		})
	}
	return out
}

// proportional is a round bar of ISO 6892-1, its diameter in millimetres.
func proportional(k, mm float64) Standard {
	d := si.Length(mm * si.Millimetre)
	l := Proportional(k, round(d))
	return Standard{
		Name:   "ISO 6892-1 " + sizeName(mm, si.Metric) + " k " + strconv.FormatFloat(k, 'g', -1, 64),
		Source: "ISO 6892-1, proportional, k = " + strconv.FormatFloat(k, 'g', -1, 64), Provenance: "memory; computed", Units: si.Metric,
		Diameter: d, GaugeLength: l, FilletMin: 0.75 * d, ReducedMin: l + d/2,
	}
}

// FindStandards gives the bars a person may mean: all whose name begins so, or
// the one that has exactly this name; case and blanks count for nothing.
func FindStandards(name string) []Standard {
	bare := func(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), "")) }
	asked := bare(name)
	if asked == "" {
		return nil
	}
	var out []Standard
	for _, s := range Standards() {
		switch n := bare(s.Name); {
		case n == asked:
			return []Standard{s}
		case strings.HasPrefix(n, asked):
			out = append(out, s)
		}
	}
	return out
}
