package rig

import (
	"math"
	"testing"

	"draghand/internal/si"
)

// bounded is the load of the limit of a place at a pressure, N.
func bounded(t *testing.T, r *Rig, at Place, p si.Pressure) float64 {
	t.Helper()
	for _, b := range r.Bounds() {
		if b.Limit.At == at {
			return b.Load(p, p)
		}
	}
	t.Fatalf("no limit at %s", at)
	return 0
}

// sided is a rig of 10 cm², arms of 100 ± 5 and 120 ± 5 mm, moving parts of 200 N
// that the ram lifts, with a limit in each place. The share of the specimen's side
// is 120/220, at most 125/220 (the longest far arm, the shortest near one).
func sided(t *testing.T) *Rig {
	t.Helper()
	limits := ""
	for _, at := range []string{"ram", "specimen", "far", "sides"} {
		limits += "[[limit]]\nname = \"" + at + "\"\nkind = \"rated\"\nat = \"" + at + "\"\nforce = \"100 kN\"\n"
	}
	return mustParse(t, file(tables{
		"path":   "kind = \"two-sided\"\nspecimen_arm = \"100 mm ± 5 mm\"\nfar_arm = \"120 mm ± 5 mm\"\nbearing = \"ball\"\nweight = \"200 N\"\nram_pushes = \"up\"",
		"limits": limits,
	}))
}

// TestCellSpeaksOfTheRam: a cell that reads far more than the share's ± can explain
// tells of the ram and of the other side too. The truth here is a ram force that is
// 1.3 times what the file makes of it.
func TestCellSpeaksOfTheRam(t *testing.T) {
	r := sided(t)
	const p = si.Pressure(2e7)
	for _, far := range []bool{false, true} {
		share, most := 120.0/220, 125.0/220
		if far {
			share, most = 100.0/220, 105.0/220
		}
		force := share * (1.3*20000 - 200) // N at 20 MPa
		c := calibrationOf(r, AtSpecimen, force/float64(p), 0)
		c.Line.SD, c.Far = 0, far
		k := calibrated(t, r, c)
		ram := force/most + 200
		other := (1 - most) / most * force
		if got := bounded(t, k, AtRam, p); !near(got, ram, 1e-9) || got < 1.2*20000 {
			t.Errorf("made far %v: ram %v N, want %v", far, got, ram)
		}
		own, across := AtSpecimen, AtFar
		if far {
			own, across = AtFar, AtSpecimen
		}
		if got := bounded(t, k, own, p); !near(got, max(force, bounded(t, r, own, p)), 1e-9) {
			t.Errorf("made far %v: its own side %v N, want %v", far, got, force)
		}
		if got := bounded(t, k, across, p); !near(got, max(other, bounded(t, r, across, p)), 1e-9) {
			t.Errorf("made far %v: the other side %v N, want %v", far, got, other)
		}
		if got := bounded(t, k, AtSides, p); got < max(force, other)*(1-1e-9) {
			t.Errorf("made far %v: a part on each side %v N, want %v at least", far, got, max(force, other))
		}
		// What the file has said all along moves nothing.
		c.Line.Slope = share * (20000 - 200) / float64(p)
		same := calibrated(t, r, c)
		for _, at := range []Place{AtRam, AtSpecimen, AtFar, AtSides} {
			if got, want := bounded(t, same, at, p), bounded(t, r, at, p); got != want {
				t.Errorf("made far %v, as the file has it: at %s %v N, without %v", far, at, got, want)
			}
		}
	}
}

// TestEdgeGrowsAboveThePoints: of a line through 60 to 120 bar the doubt at 600 bar
// is many times that at its points; the edge holds it, and at no pressure is less.
func TestEdgeGrowsAboveThePoints(t *testing.T) {
	r := mustParse(t, file(tables{"limits": "[[limit]]\nname = \"ram\"\nkind = \"rated\"\nat = \"ram\"\nforce = \"100 kN\"\n"}))
	c := calibrationOf(r, AtRam, 0.0011, -500)
	c.Line = CalibrationLine{Slope: 0.0011, Offset: -500, Low: 6e6, High: 12e6, Points: 7, SD: 40, Mean: 9e6, SumSquares: 28e12}
	c.ReferenceU = 0.002
	k := calibrated(t, r, c)
	const t5 = 2.5705818366147 // Student's t, 95 % two-sided, 5 degrees of freedom: any table of it
	last := 0.0
	for p := si.Pressure(6e6); p <= 7e7; p += 1e6 {
		v := c.Line.Value(p)
		want := v + math.Hypot(t5*c.Line.LineU(p), 2*0.002*v)
		got := bounded(t, k, AtRam, p)
		if got < want*(1-1e-9) || got <= last {
			t.Errorf("at %v the edge is %v N, want %v or more, before it %v", p, got, want, last)
		}
		if p > c.Line.High && got > 1.02*want {
			t.Errorf("at %v the edge is %v N, over %v by more than 2 %%", p, got, want)
		}
		last = got
		if v, b := k.Bounds()[0].PressureAt(got/1e5), p; !near(float64(v), float64(b), 1e-9) {
			t.Errorf("PressureAt of %v N is %v, want %v", got, v, b)
		}
	}
	// The lower edge opens the other way.
	for p := si.Pressure(13e6); p <= 7e7; p += 1e6 {
		v := c.Line.Value(p)
		want := v - math.Hypot(t5*c.Line.LineU(p), 2*0.002*v)
		if got := c.edge(lower).at(p); got > want*(1+1e-9) || got < 0.95*want {
			t.Errorf("at %v the lower edge is %v N, want %v or little less", p, got, want)
		}
	}
}

// TestEdgeOfFewPoints: three points about a line with an offset leave one degree of
// freedom, for which Student's t is 12.706 (any table of it).
func TestEdgeOfFewPoints(t *testing.T) {
	r := mustParse(t, file(tables{"limits": "[[limit]]\nname = \"ram\"\nkind = \"rated\"\nat = \"ram\"\nforce = \"100 kN\"\n"}))
	c := calibrationOf(r, AtRam, 0.0011, 200)
	c.Line.Points, c.Line.SD = 3, 30
	k := calibrated(t, r, c)
	v := c.Line.Value(c.Line.Low)
	if got, want := bounded(t, k, AtRam, c.Line.Low), v+12.706204736*c.Line.LineU(c.Line.Low); !near(got, want, 1e-8) {
		t.Errorf("with one degree of freedom %v N, want %v", got, want)
	}
}

// TestEdgeAtTheWorstPoint: the doubt as a fraction is largest at the lowest point,
// and the whole range takes that one.
func TestEdgeAtTheWorstPoint(t *testing.T) {
	r := mustParse(t, file(tables{"limits": "[[limit]]\nname = \"ram\"\nkind = \"rated\"\nat = \"ram\"\nforce = \"100 kN\"\n"}))
	c := calibrationOf(r, AtRam, 0.0011, 200)
	c.Line.Points = 6
	c.Line.SD = 50
	k := calibrated(t, r, c)
	const t4 = 2.7764451051978
	at := func(p si.Pressure) float64 { return 1 + t4*c.Line.LineU(p)/c.Line.Value(p) }
	if !(at(c.Line.Low) > 1.5*at(c.Line.High)-0.5) {
		t.Fatal("the lowest point is not the worst")
	}
	for _, p := range []si.Pressure{5e6, 1e7, 3e7, 5e7} {
		if got, want := bounded(t, k, AtRam, p), c.Line.Value(p)*at(c.Line.Low); !near(got, want, 1e-9) {
			t.Errorf("at %v %v N, want %v", p, got, want)
		}
	}
}

// TestZeroInTheLine: an error δ of the zero that all points share moves a line with an
// offset by slope·δ, and one through zero by slope·δ·p·Σp/Σp² (both by putting p + δ
// for p into the least squares line).
func TestZeroInTheLine(t *testing.T) {
	free := CalibrationLine{Slope: 0.002, Offset: 300, Low: 1e7, High: 5e7, Points: 5, Mean: 3e7, SumSquares: 1e15, ZeroU: 2000}
	zero := CalibrationLine{Slope: 0.002, ThroughZero: true, Low: 1e7, High: 5e7, Points: 5, Mean: 3e7, SumSquares: 5.5e15, ZeroU: 2000}
	for _, p := range []si.Pressure{0, 1e7, 5e7, 9e7} {
		if got := free.LineU(p); !near(got, 4, 1e-12) {
			t.Errorf("with an offset, at %v: %v N, want 4", p, got)
		}
		if got, want := zero.LineU(p), 4*float64(p)*1.5e8/5.5e15; math.Abs(got-want) > 1e-9 {
			t.Errorf("through zero, at %v: %v N, want %v", p, got, want)
		}
	}
	zero.SD = 30
	if got, want := zero.LineU(4e7), math.Hypot(30*4e7/math.Sqrt(5.5e15), 4*4e7*1.5e8/5.5e15); !near(got, want, 1e-12) {
		t.Errorf("with scatter %v N, want %v", got, want)
	}
}

// TestValueBelowThePoints: a line with an offset runs from nothing to its lowest point.
func TestValueBelowThePoints(t *testing.T) {
	l := CalibrationLine{Slope: 0.001, Offset: 200, Low: 1e7, High: 5e7}
	for p, want := range map[si.Pressure]float64{0: 0, 2.5e6: 2550, 5e6: 5100, 1e7: 10200, 2e7: 20200, -5e6: -5100} {
		if got := l.Value(p); !near(got, want, 1e-12) {
			t.Errorf("at %v: %v, want %v", p, got, want)
		}
	}
}

// TestLineDoF: a line through zero takes one degree of freedom, a free one two.
func TestLineDoF(t *testing.T) {
	if got := (CalibrationLine{Points: 6, ThroughZero: true}).DoF(); got != 5 {
		t.Errorf("through zero: %v", got)
	}
	if got := (CalibrationLine{Points: 6}).DoF(); got != 4 {
		t.Errorf("with an offset: %v", got)
	}
}

// TestBoundAllocatesNothing: the engine asks every bound at every reading.
func TestBoundAllocatesNothing(t *testing.T) {
	r := sided(t)
	bounds := calibrated(t, r, calibrationOf(r, AtSpecimen, 0.0007, 100)).Bounds()
	var sum float64
	n := testing.AllocsPerRun(1000, func() {
		for i := range bounds {
			sum += bounds[i].Load(2e7, 2e7) + bounds[i].Ratio(7e7, 7e7) + float64(bounds[i].PressureAt(1))
		}
	})
	if n != 0 || !(sum > 0) {
		t.Errorf("%v allocations, want 0", n)
	}
}
