package rig

import (
	"math"
	"testing"
)

// What ends a pull on the example rig, and the least force that is then on the
// specimen. Source: by hand. The link bar stops at 222.0184 bar (docs/math.md): at
// the least 41.8 cm² · 0.98 · (0.5 − 0.0022727) · 222.0184 bar = 45.267 kN. A
// sensor that ends at 100 bar comes before it, with 20.389 kN at the least. 1 kN
// to lift takes 0.4977273 kN off that.
func TestFirstEnd(t *testing.T) {
	for _, c := range []struct {
		name   string
		change func(*Rig)
		part   string
		sensor bool
		known  bool
		least  float64
	}{
		{"a part", func(*Rig) {}, "link bar", false, true, 45267.2},
		{"the sensor", func(r *Rig) { r.Sensor.High, r.Sensor.Bits = 100e5, 0 }, SensorRange, true, true, 20388.9},
		{"no known limit", func(r *Rig) { r.Sensor.High, r.Sensor.Bits, r.Limits = 100e5, 0, nil }, SensorRange, true, false, 20388.9},
		{"weight to lift", func(r *Rig) {
			r.Sensor.High, r.Sensor.Bits = 100e5, 0
			r.Path.Weight, r.Path.RamPushes = 1000, "up"
		}, SensorRange, true, true, 20388.9 - 497.727},
		{"the far side", func(r *Rig) {
			r.Sensor.High, r.Sensor.Bits = 100e5, 0
			r.Path.Share, r.Path.BarFar = 0.6, true
		}, SensorRange, true, true, 41.8e-4 * 0.98 * (0.4 - 0.00227273) * 100e5},
	} {
		t.Run(c.name, func(t *testing.T) {
			r, err := Parse("example", []byte(Example()))
			if err != nil {
				t.Fatal(err)
			}
			c.change(r)
			end, ok := r.FirstEnd()
			if !ok || end.Part != c.part || end.SensorEnd != c.sensor || end.Known != c.known {
				t.Errorf("%+v %v", end, ok)
			}
			if math.Abs(float64(end.Least)-c.least) > 0.5 {
				t.Errorf("at the least %v N on the specimen, want %v", end.Least, c.least)
			}
			if !(end.Least < end.Specimen) {
				t.Errorf("least %v, best estimate %v", end.Least, end.Specimen)
			}
			if p, ok := r.PressureMost(end.Least); !ok || math.Abs(float64(p-end.Gauge)) > 1 {
				t.Errorf("that force takes %v at the most, want %v", p, end.Gauge)
			}
		})
	}
}
