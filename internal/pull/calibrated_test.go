package pull

import (
	"math"
	"testing"
	"time"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// TestPaceByCalibration: below the knee of a calibration line with an offset the
// force rises at another rate than above, and the pace with it; a proof's target is
// met where the line has it.
func TestPaceByCalibration(t *testing.T) {
	r := plainRig()
	const low, offset, slope = 1e7, -2e3, 0.0023 // Pa, N, N/Pa: 21 kN at the knee
	foot := (offset + slope*low) / low
	r.Calibration = &rig.Calibration{
		ID: "test", At: rig.AtSpecimen,
		Line: rig.CalibrationLine{Offset: offset, Slope: slope, Low: low, High: 2e7, Points: 5, SD: 1, Mean: 1.5e7, SumSquares: 1e14},
	}
	perSecond := 2e3 / 0.0021 // Pa/s: the script writes 2 kN/s by the file's 0.0021 m²
	for _, c := range []struct {
		to   float64 // kN by the file
		want float64 // N/s
	}{{14, foot * perSecond}, {38, slope * perSecond}} {
		s := newScript(r, 100, 0.002).hold(4*time.Second, 0).ramp(time.Duration(c.to/2*float64(time.Second)), 0, c.to)
		e, _ := run(t, Config{Kind: Tension, Rig: r}, s.out)
		if got := float64(e.State().Pace); math.Abs(got/c.want-1) > 0.01 {
			t.Errorf("at %g kN by the file the pace is %.1f N/s, want %.1f", c.to, got, c.want)
		}
		live := e.State().Live
		if want := float64(e.chain.Specimen(live.Gauge)); math.Abs(float64(live.Specimen)-want) > 1e-6 {
			t.Errorf("live %v, the chain says %v", live.Specimen, want)
		}
	}
	e := New(Config{Kind: Proof, Rig: r, Target: 30 * si.Kilonewton})
	if got := e.pressureFor(30e3); math.Abs(got-(30e3-offset)/slope) > 1e-3 {
		t.Errorf("the target is met at %v Pa, want %v", got, (30e3-offset)/slope)
	}
	if got := e.pressureFor(10e3); math.Abs(got-10e3/foot) > 1e-3 {
		t.Errorf("below the knee the target is met at %v Pa, want %v", got, 10e3/foot)
	}
}
