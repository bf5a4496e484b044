package record

import (
	"math"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// A record of a bar on the far side, arms of 80 and 120 mm: the replay, with the
// record's own rig and with another, reckons with 0.4 and not 0.6 of the ram's
// force; pull.json has the rig as in its file.
func TestFarSideIsReplayed(t *testing.T) {
	h := simulatedHead()
	h.Rig.Path.SpecimenArm, h.Rig.Path.FarArm, h.Rig.Path.Share = 80*si.Millimetre, 120*si.Millimetre, 0.6
	p := 200 * si.Bar
	pressure := si.Pressure(p)
	h.Dial = &Dial{Pressure: &pressure, Outcome: pull.Broken}
	near := h
	h.Specimen.Side = specimen.Far
	const ram = 200e5 * 42e-4 // 84 kN
	for _, c := range []struct {
		head Head
		want float64
	}{{near, 0.6 * ram}, {h, 0.4 * ram}} {
		dir, made, err := CreateDial(t.TempDir(), c.head)
		must(t, err)
		rec, err := Open(dir)
		must(t, err)
		got, err := rec.Replay(nil)
		must(t, err)
		for what, f := range map[string]si.Force{"made": made.Peak.Specimen, "replayed": got.Peak.Specimen} {
			if math.Abs(float64(f)/c.want-1) > 1e-9 {
				t.Errorf("side %q, %s: %g N, want %g N", c.head.Specimen.Side, what, float64(f), c.want)
			}
		}
		if rec.Head.Rig.Path.Share != 0.6 || rec.Head.Rig.Path.SpecimenArm != 80*si.Millimetre {
			t.Errorf("side %q: the rig was changed: %+v", c.head.Specimen.Side, rec.Head.Rig.Path)
		}
		other := *exampleRig() // a half
		rec.Head.UseRig(&other)
		if got, err = rec.Replay(nil); err != nil || math.Abs(float64(got.Peak.Specimen)/(0.5*ram)-1) > 1e-9 {
			t.Errorf("side %q, another rig: %g N, %v", c.head.Specimen.Side, float64(got.Peak.Specimen), err)
		}
		if rec.Head.Rig.Path.BarFar != (c.head.Specimen.Side == specimen.Far) || other.Path.BarFar {
			t.Errorf("side %q: the bar stands elsewhere on the other rig", c.head.Specimen.Side)
		}
	}
}
