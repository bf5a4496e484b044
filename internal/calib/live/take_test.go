package live

import (
	"math"
	"testing"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// Whatever is typed, what is taken is a quantity of the place, above nothing, and
// the same as its exact text gives.
func FuzzReference(f *testing.F) {
	for _, s := range []string{"20 kN", "4,500 lbf", "250 bar", "1e300 MN", "-3 kN", "0 psi", "12", "kg", "5 kg", "NaN N", "0x10 N", "20kN ", "\x1b[31m20 kN"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		_, noForce := si.ParseForce(text)
		_, noPressure := si.ParsePressure(text)
		for _, at := range []rig.Place{rig.AtGauge, rig.AtRam, rig.AtSpecimen} {
			v, err := parseReference(at, text)
			if err != nil {
				if v != 0 {
					t.Errorf("%s %q: %g with %v", at, text, v, err)
				}
				continue
			}
			if !(v > 0) || math.IsInf(v, 0) || at == rig.AtGauge && noPressure != nil || at != rig.AtGauge && noForce != nil {
				t.Fatalf("%s %q is taken for %g", at, text, v)
			}
			exact := si.Force(v).String()
			if at == rig.AtGauge {
				exact = si.Pressure(v).String()
			}
			if again, err := parseReference(at, exact); err != nil || again != v {
				t.Errorf("%s %q: %g, and by its exact text %g, %v", at, text, v, again, err)
			}
		}
	})
}
