package shelf

import (
	"encoding/json"
	"math"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/si"
)

// A section or a force that no number holds is not known: no entry has a figure that
// cannot be written.
func TestEntryFinite(t *testing.T) {
	for name, d := range map[string]si.Length{"vast": 1e200, "tiny": 1e-160, "none": 1e-200, "below none": -1e200} {
		for _, kind := range []pull.Kind{pull.Tension, pull.Crush} {
			h := head(t, 1)
			h.Kind, h.Specimen.Diameters = kind, []si.Length{d}
			e := Read(keep(t, t.TempDir(), h, nil))
			if _, err := json.Marshal(e); err != nil || e.Condition != Whole {
				t.Errorf("%s %s: %v, %s", name, kind, err, e.Reason)
			}
			for _, v := range []si.Stress{e.Stress, e.Strength, e.AtLeast, e.YieldStress, e.Expanded} {
				if v != 0 || math.IsNaN(float64(v)) {
					t.Errorf("%s %s: a stress of %v", name, kind, v)
				}
			}
			if e.Peak != 36750 {
				t.Errorf("%s %s: the peak is lost: %v", name, kind, e.Peak)
			}
		}
	}
}
