package finish

import (
	"math"
	"testing"
	"time"

	"draghand/internal/pull"
	"draghand/internal/record"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// A dial tells a pressure that no calibration of the transducer mends; a line to
// the force stands for ram and arms, for a dial as for the transducer. The
// example rig: 42.0 cm², a half on the specimen, no friction: 100 bar make 21 kN.
func TestDialBesideCalibration(t *testing.T) {
	bare := head(t, pull.Tension).Rig
	for _, c := range []struct {
		name  string
		at    rig.Place
		slope float64
		want  float64 // N on the specimen, by hand, for 100 bar
	}{
		{"none", "", 0, 21000},
		{"at the gauge", rig.AtGauge, 1.02, 21000},
		{"at the ram", rig.AtRam, 0.004, 20000},
		{"at the specimen", rig.AtSpecimen, 0.0019, 19000},
	} {
		r := bare
		if c.at != "" {
			cal := &rig.Calibration{
				ID: "2026-11-20-test", Made: time.Date(2026, 11, 20, 9, 0, 0, 0, time.UTC), Due: time.Date(2027, 11, 20, 9, 0, 0, 0, time.UTC),
				Rig: r.Name, Sensor: r.Sensor, Role: r.Ram.Role, Path: r.Path, At: c.at, Reference: "made up", Claims: []string{},
				Line: rig.CalibrationLine{Slope: c.slope, ThroughZero: true, Low: 1e6, High: 5e7, Points: 5, SD: 1e-4 * c.slope * 5e7, Mean: 3e7, SumSquares: 5.5e15},
			}
			var err error
			if r, err = bare.Calibrated(cal); err != nil {
				t.Fatal(err)
			}
		}
		p, e := si.Pressure(100*si.Bar), si.Pressure(2*si.Bar)
		got, limit := onSpecimen(&record.Dial{Pressure: &p, PressureError: &e}, r)
		if math.Abs(float64(*got)-c.want) > 1e-6*c.want {
			t.Errorf("%s: %v, want %v N", c.name, *got, c.want)
		}
		if want := 0.02 * c.want; math.Abs(float64(*limit)-want) > 1e-6*want {
			t.Errorf("%s: ± %v, want %v N", c.name, *limit, want)
		}
		if r.Calibration != nil && r.Calibration.At != c.at {
			t.Error("the rig was changed")
		}
	}
}
