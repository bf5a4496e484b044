package budget

import (
	"math"
	"slices"
	"testing"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// A board that sends force has reckoned with an area of its own: the rig file's is no
// source. With a calibration of the gauge it is one again, since the pressure of the
// line is turned into force by the rig file's area.
func TestAreaOfAForceSensor(t *testing.T) {
	r := hand()
	r.Sensor.Kind = rig.ForceOut
	peak := Peak{Gauge: 100 * si.Bar}
	if got := of(For(r, round(10, 0.02), peak, 0, 0)); slices.Contains(got, "ram area") {
		t.Errorf("without a calibration: %q", got)
	}
	r.Calibration = calibrated(rig.AtGauge, 0, 1, 10).Calibration
	b := For(r, round(10, 0.02), peak, 0, 0)
	if got := of(b); !slices.Contains(got, "ram area") {
		t.Fatalf("calibrated at the gauge: %q", got)
	}
	near(t, "ram area", line(t, b, "ram area").UPa/b.ValuePa, 0.01/math.Sqrt(3), 1e-6)
	r.Calibration = calibrated(rig.AtRam, 0, 1e-3, 10).Calibration
	if got := of(For(r, round(10, 0.02), peak, 0, 0)); slices.Contains(got, "ram area") {
		t.Errorf("calibrated at the ram: %q", got)
	}
}

// Full scale is the range from its low to its high end, not the high end alone: 1 % of
// −100 to 900 bar is 10 bar.
func TestFullScale(t *testing.T) {
	r := hand()
	r.Sensor.Low, r.Sensor.High, r.Sensor.AccuracyOfReading = -100*si.Bar, 900*si.Bar, false
	b := For(r, round(10, 0.02), Peak{Gauge: 100 * si.Bar}, 0, 0)
	near(t, "gauge accuracy", line(t, b, "gauge accuracy").U, 10*si.Bar/math.Sqrt(3), 1e-9)
}
