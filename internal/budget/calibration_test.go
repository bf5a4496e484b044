package budget

import (
	"math"
	"slices"
	"strings"
	"testing"

	"draghand/internal/gum"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// calibrated is the rig by hand, two-sided on a flat bearing, with a line of 12
// points from 20 to 180 bar: mean 100 bar, Σ(p − mean)² 30,000 bar².
func calibrated(at rig.Place, offset, slope, sd float64) *rig.Rig {
	r := hand()
	r.Path = rig.Path{Kind: rig.TwoSided, Share: 0.5, ShareTol: 0.0125, SpecimenArm: 0.1, FarArm: 0.1, ArmTol: 0.5e-3, Bearing: "flat", BearingWide: 4e-3, Weight: 200, RamPushes: "up"}
	r.Calibration = &rig.Calibration{
		ID: "2026-11-02 ring", At: at, Reference: "proving ring", ReferenceU: 0.001,
		Line: rig.CalibrationLine{Offset: offset, Slope: slope, Low: 20 * si.Bar, High: 180 * si.Bar, Points: 12, SD: sd, Mean: 100 * si.Bar, SumSquares: 30_000 * si.Bar * si.Bar},
	}
	return r
}

var ofTheLine = []string{"calibration line", "diameter", "reference", "scatter about the line"}

// A calibration takes the place of what lies before it, and of nothing else; none
// of it is counted twice.
func TestCalibrationTakesThePlace(t *testing.T) {
	for _, c := range []struct {
		at    rig.Place
		slope float64
		also  []string
		want  float64 // strength at 100 bar, by hand
	}{
		// 101 bar · 10 cm² less 200 N, half of it: 4950 N on 78.539816 mm².
		{rig.AtGauge, 1, []string{"ram area", "seal friction", "share", "flat bearing"}, 4950 / 78.539816e-6},
		// 10,000 N and 100 N, less 200 N, half of it.
		{rig.AtRam, 1e-3, []string{"share", "flat bearing"}, 4950 / 78.539816e-6},
		// 5,000 N and 100 N on the bar itself.
		{rig.AtSpecimen, 0.5e-3, nil, 5100 / 78.539816e-6},
	} {
		offset := 100.0 // N
		if c.at == rig.AtGauge {
			offset = 1 * si.Bar
		}
		b := For(calibrated(c.at, offset, c.slope, 10), round(10, 0.02), Peak{Gauge: 100 * si.Bar}, 0, 0)
		want := append(slices.Clone(ofTheLine), c.also...)
		slices.Sort(want)
		if got := of(b); !slices.Equal(got, want) {
			t.Errorf("at %s: %q, want %q", c.at, got, want)
		}
		near(t, string(c.at)+" strength", b.ValuePa, c.want, 1e-8)
		for name, common := range map[string]bool{"calibration line": true, "reference": true, "scatter about the line": false} {
			if line(t, b, name).Common != common {
				t.Errorf("at %s: %s common %v", c.at, name, !common)
			}
		}
		if noted(b, "outside the points") {
			t.Errorf("at %s: %q", c.at, b.Notes)
		}
	}
}

// The figures of the line by hand. At the specimen with an SD of 30 N: at 100 bar,
// the mean, the line has 30/√12 = 8.660254 N, one more reading 30 N, the reference
// 0.1 % of 5,100 N; the diameter 0.2309401 % of it. At 250 bar, outside, the line has
// 30 √(1/12 + 150²/30000) = 27.386128 N. All with 10 degrees of freedom, once.
func TestLineByHand(t *testing.T) {
	r := calibrated(rig.AtSpecimen, 100, 0.5e-3, 30)
	s0 := 78.539816e-6
	for _, c := range []struct{ bar, line, value float64 }{{100, 8.660254, 5100}, {250, 27.386128, 12600}} {
		b := For(r, round(10, 0.02), Peak{Gauge: si.Pressure(c.bar * si.Bar)}, 0, 0)
		near(t, "value", line(t, b, "reference").Value, c.value, 1e-12)
		near(t, "line", line(t, b, "calibration line").UPa*s0, c.line, 1e-6)
		near(t, "scatter", line(t, b, "scatter about the line").UPa*s0, 30, 1e-6)
		near(t, "reference", line(t, b, "reference").UPa*s0, c.value/1000, 1e-6)
		l := line(t, b, "calibration line")
		if l.Unit != "N" || l.Dist != gum.Student || l.DoF == nil || *l.DoF != 10 {
			t.Errorf("%+v", l)
		}
		dia := 0.00230940 * c.value
		u := math.Sqrt(c.line*c.line + 900 + c.value*c.value*1e-6 + dia*dia)
		near(t, "u", b.UPa*s0, u, 1e-5)
		v := (c.line*c.line + 900) / (u * u)
		near(t, "degrees of freedom", *b.DoF, 10/(v*v), 1e-4)
		if noted(b, "outside the points") != (c.bar > 180) {
			t.Errorf("%g bar: %q", c.bar, b.Notes)
		}
	}
}

// A cell in the far side's place says nothing of a bar in the specimen's own: the
// rig file counts again.
func TestCellOnTheOtherSide(t *testing.T) {
	r := calibrated(rig.AtSpecimen, 0, 0.3e-3, 10)
	r.Calibration.Far = true
	b := For(r, round(10, 0.02), Peak{Gauge: 100 * si.Bar}, 0, 0)
	bare := *r
	bare.Calibration = nil
	want := For(&bare, round(10, 0.02), Peak{Gauge: 100 * si.Bar}, 0, 0)
	if b.ValuePa != want.ValuePa || b.UPa != want.UPa || !slices.Equal(of(b), of(want)) || !noted(b, "is not used for this bar") {
		t.Errorf("%q, %q", of(b), b.Notes)
	}
	b = For(r.BarOn(true), round(10, 0.02), Peak{Gauge: 100 * si.Bar}, 0, 0)
	near(t, "strength where the cell stood", b.ValuePa*78.539816e-6, 3000, 1e-7)
	if got := of(b); !slices.Equal(got, ofTheLine) {
		t.Errorf("%q", got)
	}
}

// The strength is the chain's with a calibration too: below, within and above its
// points, with the bar on either side.
func TestValueIsTheCalibratedChains(t *testing.T) {
	for _, at := range []rig.Place{rig.AtGauge, rig.AtRam, rig.AtSpecimen} {
		slope := map[rig.Place]float64{rig.AtGauge: 1.02, rig.AtRam: 1.1e-3, rig.AtSpecimen: 0.5e-3}[at]
		for _, offset := range []float64{0, 150} {
			for _, role := range []rig.Role{rig.SensorRam, rig.ActuatorRam} {
				r := calibrated(at, offset, slope, 10)
				r.Ram.Role, r.Ram.Friction = role, 0.03
				for _, far := range []bool{false, true} {
					for _, bar := range []float64{12, 100, 250} {
						p := si.Pressure(bar * si.Bar)
						r := r.BarOn(far)
						b := For(r, round(10, 0.02), Peak{Gauge: p}, 0, 0)
						near(t, "at "+string(at), b.ValuePa, float64(si.StressOn(r.Chain().Specimen(p), round(10, 0).Area())), 1e-12)
					}
				}
			}
		}
	}
}

func TestCalibrationNotes(t *testing.T) {
	r := calibrated(rig.AtRam, 0, 1e-3, 10)
	r.Calibration.ReferenceU = 0
	b := For(r, round(10, 0.02), Peak{Gauge: 100 * si.Bar}, 0, 0)
	if slices.Contains(of(b), "reference") || !noted(b, "its own doubt is not in it") {
		t.Errorf("%q, %q", of(b), b.Notes)
	}
	if l := line(t, b, "calibration line"); !strings.Contains(l.Source, "12 points about the line of the calibration 2026-11-02 ring") {
		t.Errorf("%q", l.Source)
	}
	// Two points lie on their line: they say nothing of how sure it is.
	r.Calibration.Line.Points = 2
	if b = For(r, round(10, 0.02), Peak{Gauge: 100 * si.Bar}, 0, 0); b != nil {
		t.Errorf("%+v", b)
	}
}
