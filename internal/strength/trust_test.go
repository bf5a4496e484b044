package strength_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"draghand/internal/rig"
	"draghand/internal/strength"
)

// A reference that states no uncertainty of its own gives no ±: the line's scatter
// alone would promise too much. One that states it does.
func TestReferenceWithoutUncertainty(t *testing.T) {
	for name, c := range map[string]struct {
		u    float64
		want bool
	}{"stated": {0.0015, true}, "not stated": {0, false}} {
		t.Run(name, func(t *testing.T) {
			p := sound(t)
			p.Config.Rig = calibratedRig(p.Config.Rig, func(c2 *rig.Calibration) { c2.ReferenceU = c.u })
			r := strength.From(p)
			if got := r.StrengthExpandedPa != nil; got != c.want {
				t.Errorf("± stated: %v, want %v", got, c.want)
			}
			told := slices.ContainsFunc(r.Remarks, func(m string) bool {
				return strings.Contains(m, "states no uncertainty of its own") && strings.Contains(m, "cell-1")
			})
			if told == c.want {
				t.Errorf("remarks: %q", r.Remarks)
			}
		})
	}
}

// A calibration past its date still reckons, and the result says so.
func TestOverdueCalibration(t *testing.T) {
	due := time.Date(2026, 9, 20, 0, 0, 0, 0, time.UTC)
	for name, c := range map[string]struct {
		started time.Time
		want    bool
	}{
		"the day before": {due.Add(-time.Hour), false},
		"after":          {due.Add(48 * time.Hour), true},
		"no date":        {time.Time{}, false},
	} {
		t.Run(name, func(t *testing.T) {
			p := sound(t)
			p.Started = c.started
			p.Config.Rig = calibratedRig(p.Config.Rig, func(c *rig.Calibration) { c.Due = due })
			r := strength.From(p)
			why := slices.Contains(r.CountsBecause, "the calibration was overdue")
			told := slices.ContainsFunc(r.Remarks, func(m string) bool { return strings.Contains(m, "cell-1 was due on 2026-09-20") })
			if why != c.want || told != c.want {
				t.Errorf("because %q, remarks %q, want told: %v", r.CountsBecause, r.Remarks, c.want)
			}
		})
	}
}

// calibratedRig is the rig with a calibration by a cell at the specimen's place.
func calibratedRig(r *rig.Rig, change func(*rig.Calibration)) *rig.Rig {
	out := *r
	c := rig.Calibration{
		ID: "cell-1", At: rig.AtSpecimen, ReferenceU: 0.0015,
		Line: rig.CalibrationLine{Slope: 21e-4, ThroughZero: true, Low: 1e6, High: 60e6, Points: 6, SD: 20, SumSquares: 5e15},
	}
	change(&c)
	out.Calibration = &c
	return &out
}
