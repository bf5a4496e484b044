package bench

import (
	"errors"
	"sync/atomic"
	"testing"
	"testing/synctest"

	"draghand/internal/rig"
)

// The bench asks for the calibration of the rig, of the side the bar stands on and of
// the kind of source, and shows what it is told; a fault is the rig's.
func TestCalibrationOnTheBench(t *testing.T) {
	t.Parallel()
	synctest.Test(t, func(t *testing.T) {
		var bad atomic.Bool
		b := sat(t, func(_ *table, o *Options) {
			o.Initial = map[FieldID]string{FieldSource: "sim:"}
			o.Calibrate = func(r *rig.Rig, far, simulated bool) (*rig.Rig, string, error) {
				if bad.Load() {
					return nil, "", errors.New("the calibration was made on another rig")
				}
				if !simulated || r.Path.BarFar != far {
					t.Errorf("far %v, rig %v, simulated %v", far, r.Path.BarFar, simulated)
				}
				out := *r
				out.Calibration = &rig.Calibration{ID: map[bool]string{false: "near", true: "far"}[far], At: rig.AtSpecimen, Far: far, Line: rig.CalibrationLine{Slope: 0.0021, Low: 1e6, High: 2e7}}
				return &out, "calibration of " + out.Calibration.ID, nil
			}
		})
		await(t, "the near one", func() bool {
			v := b.View()
			return v.Calibration == "calibration of near" && v.Rig != nil && v.Rig.Calibration.ID == "near" && !v.Rig.Path.BarFar
		})
		set(t, b, FieldSide, "far")
		await(t, "the far one", func() bool {
			v := b.View()
			return v.Calibration == "calibration of far" && v.Rig.Calibration.ID == "far" && v.Rig.Path.BarFar
		})
		bad.Store(true)
		set(t, b, FieldSide, "near")
		await(t, "the fault", func() bool { return b.View().Rig == nil && b.View().Calibration == "" })
	})
}
