package rig

import (
	"testing"

	"pgregory.net/rapid"

	"draghand/internal/si"
)

// TestCalibratedHolds: whatever line a calibration has, the chain rises and comes
// back, no bound is less than without it nor less than the best estimate at its
// place, and the least force is none more.
func TestCalibratedHolds(whole *testing.T) {
	rapid.Check(whole, func(t *rapid.T) {
		r, err := Parse("drawn.toml", []byte(drawRig(t)))
		if err != nil {
			t.Fatal(err)
		}
		f := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		at := rapid.SampledFrom([]Place{AtGauge, AtRam, AtSpecimen}).Draw(t, "at")
		plain := r.Chain()
		slope := map[Place]float64{AtGauge: 1, AtRam: plain.RamPer(), AtSpecimen: plain.SpecimenPer()}[at] * f("gain", 0.7, 1.4)
		low := si.Pressure(f("low", 1e6, 2e7))
		high := low + si.Pressure(f("span", 1e6, 5e7))
		l := CalibrationLine{Slope: slope, Low: low, High: high, Points: 6, Mean: (low + high) / 2, SD: slope * float64(high) * f("scatter", 0, 0.01)}
		if l.ThroughZero = rapid.Bool().Draw(t, "through zero"); !l.ThroughZero {
			l.Offset = slope * float64(low) * f("offset", -0.5, 0.5)
		}
		l.SumSquares = float64(high-low) * float64(high-low)
		c := calibrationOf(mustParse(whole, file(nil)), at, 1, 0)
		c.Rig, c.Sensor, c.Role, c.Path, c.Line, c.ReferenceU = r.Name, r.Sensor, r.Ram.Role, r.Path, l, f("reference", 0, 0.02)
		c.Far = at == AtSpecimen && rapid.Bool().Draw(t, "made far")
		k, err := r.Calibrated(c)
		if err != nil {
			t.Fatal(err)
		}
		if rapid.Bool().Draw(t, "bar far") {
			r, k = r.BarOn(true), k.BarOn(true)
		}
		converts(whole, k)
		ch := k.Chain()
		p, q := si.Pressure(f("p", 0, 1e8)), si.Pressure(f("q", 1, 1e7))
		if !(ch.Ram(p+q) > ch.Ram(p)) || !(ch.Specimen(p+q) > ch.Specimen(p)) {
			t.Errorf("the forces do not rise from %v to %v", p, p+q)
		}
		if got := ch.PressureForRam(ch.Ram(p)); !near(float64(got), float64(p), agree) {
			t.Errorf("by ram force %v, want %v", got, p)
		}
		if got := ch.PressureForSpecimen(ch.Specimen(p)); !near(float64(got), float64(p), agree) {
			t.Errorf("by specimen force %v, want %v", got, p)
		}
		without := r.Bounds()
		for i, b := range k.Bounds() {
			if b.Load(p, p) < without[i].Load(p, p) {
				t.Errorf("%s: %v with the calibration, %v without", b.Limit.Name, b.Load(p, p), without[i].Load(p, p))
			}
			ratio := f("ratio", 0.05, 1.5)
			if b.PressureAt(ratio) > without[i].PressureAt(ratio)+agree {
				t.Errorf("%s: its limit moved away, %v to %v", b.Limit.Name, without[i].PressureAt(ratio), b.PressureAt(ratio))
			}
			if pr := b.PressureAt(ratio); !near(b.Ratio(pr, pr), ratio, agree) {
				t.Errorf("%s: Ratio(PressureAt(%v)) = %v", b.Limit.Name, ratio, b.Ratio(pr, pr))
			}
			best := map[Place]si.Force{AtRam: ch.Ram(p)}
			if !k.Path.BarFar {
				best[AtSpecimen] = ch.Specimen(p)
				best[AtSides] = ch.Specimen(p)
			}
			if v, ok := best[b.Limit.At]; ok && v > 0 && b.Load(p, p) < float64(v)*(1-agree) {
				t.Errorf("%s: the unsafe edge %v is below the best estimate %v", b.Limit.Name, b.Load(p, p), v)
			}
		}
		if least := k.SpecimenLeast(p); least > r.SpecimenLeast(p) || least > 0 && least > ch.Specimen(p)*(1+agree) {
			t.Errorf("the least force %v is above %v, the best estimate %v", least, r.SpecimenLeast(p), ch.Specimen(p))
		}
		if most, ok := k.PressureMost(k.SpecimenLeast(p)); ok && !near(float64(most), float64(p), 1e-6) {
			t.Errorf("PressureMost(SpecimenLeast(%v)) = %v", p, most)
		}
	})
}
