package rig

import (
	"errors"
	"math"
	"strings"
	"testing"

	"draghand/internal/si"
)

// plainRig has 10 cm² ± 1 %, friction 0 ± 0.01, arms of 100 mm ± 0 mm, and a sensor
// of ± 0.5 % of the reading: by the file 10 MPa make 10 kN at the ram and 5 kN on
// the bar.
func plainRig(t *testing.T) *Rig {
	t.Helper()
	r := *mustParse(t, file(nil))
	r.Ram.AreaTol, r.Ram.Friction, r.Ram.FrictionBand = r.Ram.Area/100, 0, 0.01
	r.Sensor.Accuracy, r.Sensor.AccuracyOfReading = 0.005, true
	r.Path.ShareTol, r.Path.Weight = 0, 0
	return &r
}

// TestDisagrees: by hand. The file allows 0.5 % at the gauge, 2.5 % at the ram and
// the bar (0.5 + 1 + 1), the line itself its own doubt, here nothing.
func TestDisagrees(t *testing.T) {
	for _, c := range []struct {
		name  string
		at    Place
		slope float64
		want  float64 // 0: they agree
	}{
		{"the gauge agrees", AtGauge, 1.0049, 0},
		{"the gauge does not", AtGauge, 1.0051, 0.0051},
		{"the gauge, less", AtGauge, 0.98, -0.02},
		{"the ram agrees", AtRam, 0.0010249, 0},
		{"the ram does not", AtRam, 0.0010251, 0.0251},
		{"the bar agrees", AtSpecimen, 0.00048751, 0},
		{"the bar does not", AtSpecimen, 0.000487, -0.026},
		{"another ram by far", AtSpecimen, 0.0007, 0.4},
	} {
		r := plainRig(t)
		k := calibrationOf(r, c.at, c.slope, 0)
		k.Line.SD = 0
		d, bad := calibrated(t, r, k).Disagrees()
		if bad != (c.want != 0) || bad && !near(d.Off, c.want, 1e-9) {
			t.Errorf("%s: %+v %v, want %v", c.name, d, bad, c.want)
		}
		if bad && (!strings.Contains(d.Words(), "than the rig file") || (strings.Contains(d.Words(), "less") != (c.want < 0))) {
			t.Errorf("%s: %q", c.name, d.Words())
		}
		told := strings.Contains(strings.Join(calibrated(t, r, k).Cautions(si.US), "\n"), "and the rig file do not agree")
		if told != bad {
			t.Errorf("%s: caution %v", c.name, told)
		}
	}
	r := plainRig(t)
	k := calibrationOf(r, AtRam, 0.00103, 0)
	k.Line.SD, k.ReferenceU = 0, 0.01 // ± 2 % of the reference come on top
	if d, bad := calibrated(t, r, k).Disagrees(); bad {
		t.Errorf("the reference's own doubt does not count: %+v", d)
	}
	if _, bad := r.Disagrees(); bad {
		t.Error("no calibration, and it disagrees")
	}
}

// A sensor of ± 0.5 % of 700 bar allows 3.5 bar, 3.5 % at 100 bar.
func TestDisagreesFullScale(t *testing.T) {
	r := plainRig(t)
	r.Sensor.AccuracyOfReading = false
	span := float64(r.Sensor.High - r.Sensor.Low)
	k := calibrationOf(r, AtGauge, 1+0.9*0.005*span/1e7, 0)
	k.Line.SD, k.Line.Low, k.Line.High, k.Line.Mean, k.Line.SumSquares = 0, 5e6, 1e7, 8e6, 3e14
	if d, bad := calibrated(t, r, k).Disagrees(); bad {
		t.Errorf("%+v", d)
	}
	k.Line.High, k.Line.SumSquares = 2e7, 1e15 // there it allows half as much
	if d, bad := calibrated(t, r, k).Disagrees(); !bad || d.At != 2e7 || math.Abs(d.Allowed-0.005*span/2e7) > 1e-12 {
		t.Errorf("%+v %v", d, bad)
	}
}

// TestOtherRam: 42 cm² at the calibration, 30 cm² now.
func TestOtherRam(t *testing.T) {
	for _, at := range []Place{AtGauge, AtRam, AtSpecimen} {
		r := plainRig(t)
		k := calibrationOf(r, at, map[Place]float64{AtGauge: 1, AtRam: 0.001, AtSpecimen: 0.0005}[at], 0)
		k.RamArea, k.RamAreaTol = r.Ram.Area, r.Ram.AreaTol
		for _, c := range []struct {
			factor float64
			fits   bool
		}{{1, true}, {1.0199, true}, {1.021, false}, {30.0 / 42, false}} {
			now := *r
			now.Ram.Area *= si.Area(c.factor)
			_, err := now.Calibrated(k)
			fit, is := errors.AsType[*MisfitError](err)
			if fits := c.fits || at == AtGauge; (err == nil) != fits || err != nil && (!is || !strings.Contains(fit.What, "another ram, or a corrected area") || !strings.Contains(fit.Next(), "--calibration none")) {
				t.Errorf("%s, %v times the area: %v", at, c.factor, err)
			}
			if _, err := now.SameRam(k); err != nil {
				t.Errorf("%s, the same ram: %v", at, err)
			}
		}
		k.RamAreaTol = k.RamArea
		if err := k.Validate(); err == nil {
			t.Errorf("%s: an area known to ± 100 %% is taken", at)
		}
	}
}
