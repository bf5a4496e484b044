package rig

import (
	"errors"
	"math"
	"reflect"
	"strings"
	"testing"
	"time"

	"draghand/internal/si"
)

// calibrationOf is a calibration of a rig at a place by a line from 100 to 500 bar.
func calibrationOf(r *Rig, at Place, slope, offset float64) *Calibration {
	l := CalibrationLine{Slope: slope, Offset: offset, ThroughZero: offset == 0, Low: 1e7, High: 5e7, Points: 5, SD: 0.001 * slope * 5e7, Mean: 3e7, SumSquares: 1e15}
	if l.ThroughZero {
		l.SumSquares = 5.5e15
	}
	c := &Calibration{
		ID: "2026-11-20-test-" + string(at), Made: time.Date(2026, 11, 20, 9, 0, 0, 0, time.UTC), Due: time.Date(2027, 11, 20, 9, 0, 0, 0, time.UTC),
		Rig: r.Name, Sensor: r.Sensor, Role: r.Ram.Role, Path: r.Path, At: at, Reference: "a borrowed cell", Claims: []string{},
		Line: l,
	}
	c.Path.BarFar = false
	if r.Sensor.Kind == ForceOut {
		c.RamArea = r.Ram.Area
	}
	return c
}

func calibrated(t testing.TB, r *Rig, c *Calibration) *Rig {
	t.Helper()
	out, err := r.Calibrated(c)
	if err != nil {
		t.Fatalf("Calibrated: %v", err)
	}
	return out
}

// The rig of these is plain: 10 cm², share a half, no friction: by the file
// 10 MPa make 10 kN at the ram and 5 kN on the specimen.
func TestChainCalibrated(t *testing.T) {
	r := mustParse(t, file(nil))
	for _, c := range []struct {
		name          string
		at            Place
		slope, offset float64
		p             si.Pressure
		ram, bar      float64
	}{
		{"at the gauge", AtGauge, 1.02, 0, 2e7, 20400, 10200},
		{"at the ram", AtRam, 0.00095, 0, 2e7, 19000, 9500},
		{"at the specimen: the ram stays", AtSpecimen, 0.00045, 0, 2e7, 20000, 9000},
		{"an offset within the points", AtRam, 0.001, 200, 2e7, 20200, 10100},
		// below 10 MPa from nothing to 10.2 kN: half of that at half the pressure
		{"an offset below the points", AtRam, 0.001, 200, 5e6, 5100, 2550},
		{"an offset at the gauge below the points", AtGauge, 1, -2e5, 5e6, 4900, 2450},
		{"an offset at the specimen below the points", AtSpecimen, 0.0005, -100, 5e6, 5000, 2450},
		{"under the zero", AtSpecimen, 0.0005, -100, -1e6, -1000, -490},
	} {
		t.Run(c.name, func(t *testing.T) {
			ch := calibrated(t, r, calibrationOf(r, c.at, c.slope, c.offset)).Chain()
			if got := float64(ch.Ram(c.p)); !near(got, c.ram, 1e-12) {
				t.Errorf("ram %v N, want %v", got, c.ram)
			}
			if got := float64(ch.Specimen(c.p)); !near(got, c.bar, 1e-12) {
				t.Errorf("specimen %v N, want %v", got, c.bar)
			}
			if got := ch.PressureForRam(si.Force(c.ram)); !near(float64(got), float64(c.p), 1e-9) {
				t.Errorf("pressure for the ram force %v, want %v", got, c.p)
			}
			if got := ch.PressureForSpecimen(si.Force(c.bar)); !near(float64(got), float64(c.p), 1e-9) {
				t.Errorf("pressure for the force on the specimen %v, want %v", got, c.p)
			}
			if p, s := ch.Pressure(200); p != 2e7 || s != OK {
				t.Errorf("the gauge itself tells %v, %v", p, s)
			}
		})
	}
}

// TestOneSide: a calibration in the specimen's place says nothing of the other.
func TestOneSide(t *testing.T) {
	r := mustParse(t, Example())
	plain := r.Chain().Specimen(2e7)
	c := calibrationOf(r, AtSpecimen, 0.0017, 0)
	near, far := calibrated(t, r, c), calibrated(t, r, c).BarOn(true)
	if got := near.Chain().Specimen(2e7); got != 34000 {
		t.Errorf("in its own place %v N, want 34000", got)
	}
	if got, want := far.Chain().Specimen(2e7), r.BarOn(true).Chain().Specimen(2e7); got != want || want != plain {
		t.Errorf("on the far side %v N, the file says %v", got, want)
	}
	c.Far = true
	if got := calibrated(t, r, c).BarOn(true).Chain().Specimen(2e7); got != 34000 {
		t.Errorf("on the far side, where it was made: %v N, want 34000", got)
	}
	if got := calibrated(t, r, c).Chain().Specimen(2e7); got != plain {
		t.Errorf("made on the far side, the bar in its own place: %v N, the file says %v", got, plain)
	}
	if c.Speaks(false) || !c.Speaks(true) {
		t.Error("Speaks does not know the side")
	}
}

// TestBoundCalibrated: the larger of both edges. plain's parts have no ±, so that
// its edge is its best estimate.
func TestBoundCalibrated(t *testing.T) {
	r := mustParse(t, file(tables{
		"path": "kind = \"two-sided\"\nspecimen_arm = \"100 mm ± 0 mm\"\nfar_arm = \"100 mm ± 0 mm\"\nbearing = \"ball\"",
		"limits": `[[limit]]
name = "ram"
kind = "rated"
at = "ram"
force = "100 kN"
[[limit]]
name = "near"
kind = "rated"
at = "specimen"
force = "50 kN"
[[limit]]
name = "far"
kind = "rated"
at = "far"
force = "50 kN"
[[limit]]
name = "sides"
kind = "rated"
at = "sides"
force = "50 kN"
[[limit]]
name = "hose"
kind = "pressure"
pressure = "600 bar"
`,
	}))
	// The scatter makes 0.1 % of the value at 50 MPa, so u = 0.001·5e7/√5.5e15 =
	// 0.0674 %, of which Student's t at 4 degrees of freedom asks for 2.776 (any
	// table of t, 95 % two-sided); with twice the reference's 0.3 % it is the edge.
	u := math.Hypot(0.001*5e7/math.Sqrt(5.5e15), 0.003)
	edge := 1 + math.Hypot(2.7764451051978*0.001*5e7/math.Sqrt(5.5e15), 2*0.003)
	for _, c := range []struct {
		name  string
		at    Place
		slope float64
		far   bool
		want  map[string]float64 // N or Pa at 20 MPa
	}{
		{"more at the gauge", AtGauge, 1.1, false, map[string]float64{"ram": 22000 * edge, "near": 11000 * edge, "far": 11000 * edge, "sides": 11000 * edge, "hose": 2.2e7 * edge}},
		{"less at the gauge", AtGauge, 0.9, false, map[string]float64{"ram": 20000, "near": 10000, "far": 10000, "sides": 10000, "hose": 2e7}},
		{"more at the ram", AtRam, 0.0011, false, map[string]float64{"ram": 22000 * edge, "near": 11000 * edge, "far": 11000 * edge, "sides": 11000 * edge, "hose": 2e7}},
		{"less at the ram", AtRam, 0.0009, false, map[string]float64{"ram": 20000, "near": 10000, "far": 10000, "sides": 10000, "hose": 2e7}},
		{"more at the specimen", AtSpecimen, 0.00055, false, map[string]float64{"ram": 22000 * edge, "near": 11000 * edge, "far": 11000 * edge, "sides": 11000 * edge, "hose": 2e7}},
		{"more on the far side", AtSpecimen, 0.00055, true, map[string]float64{"ram": 22000 * edge, "near": 11000 * edge, "far": 11000 * edge, "sides": 11000 * edge, "hose": 2e7}},
		{"less at the specimen", AtSpecimen, 0.00045, false, map[string]float64{"ram": 20000, "near": 10000, "far": 10000, "sides": 10000, "hose": 2e7}},
	} {
		t.Run(c.name, func(t *testing.T) {
			k := calibrationOf(r, c.at, c.slope, 0)
			k.ReferenceU, k.Far = 0.003, c.far
			if k.Line.SD = 0.001 * c.slope * 5e7; !near(k.RelativeU(2e7), u, 1e-12) {
				t.Fatalf("RelativeU %v, want %v", k.RelativeU(2e7), u)
			}
			for _, b := range calibrated(t, r, k).Bounds() {
				want := c.want[b.Limit.Name]
				if got := b.Load(2e7, 2e7); !near(got, want, 1e-12) {
					t.Errorf("%s carries %v at 20 MPa, want %v", b.Limit.Name, got, want)
				}
				if got := b.PressureAt(want / b.Allowable); !near(float64(got), 2e7, 1e-9) {
					t.Errorf("%s carries that at %v, want 20 MPa", b.Limit.Name, got)
				}
			}
		})
	}
}

// TestMisfit: each thing that makes another rig is named; what only says how well
// something is known is none.
func TestMisfit(t *testing.T) {
	fits := map[string]func(*Rig){
		"accuracy": func(r *Rig) { r.Sensor.Accuracy = 0.02 },
		"proof":    func(r *Rig) { r.Sensor.Proof = 1e8 },
		"area":     func(r *Rig) { r.Ram.Area *= 1.02 },
		"friction": func(r *Rig) { r.Ram.Friction = 0.01 },
		"arm tol":  func(r *Rig) { r.Path.ArmTol *= 2 },
	}
	misfits := map[string]func(*Rig){
		`its rig is "example rig (simulated)", this one "other"`: func(r *Rig) { r.Name = "other" },
		"its sensor is another":                                  func(r *Rig) { r.Sensor.Shunt = 240 },
		"its ram served as sensor, this one as actuator":         func(r *Rig) { r.Ram.Role = ActuatorRam },
		"its arms were":              func(r *Rig) { r.Path.FarArm *= 1.01 },
		"bearing":                    func(r *Rig) { r.Path.Bearing = "ball" },
		`its path was "two-sided"`:   func(r *Rig) { r.Path = Path{Kind: Direct, Share: 1} },
		"the moving parts took 0.00": func(r *Rig) { r.Path.Weight, r.Path.RamPushes = 300, "up" },
	}
	base := mustParse(t, Example())
	base.Path.Weight, base.Path.RamPushes = 0, "up"
	for _, at := range []Place{AtGauge, AtRam, AtSpecimen} {
		slope := map[Place]float64{AtGauge: 1, AtRam: 0.0042, AtSpecimen: 0.0021}[at]
		c := calibrationOf(base, at, slope, 0)
		for name, change := range fits {
			r := *base
			change(&r)
			if _, err := r.Calibrated(c); err != nil {
				t.Errorf("%s, another %s: %v", at, name, err)
			}
		}
		for want, change := range misfits {
			r := *base
			change(&r)
			_, err := r.Calibrated(c)
			path := strings.Contains(want, "arms") || strings.Contains(want, "path") || strings.Contains(want, "bearing") || strings.Contains(want, "moving")
			if path && at != AtSpecimen {
				if err != nil {
					t.Errorf("%s: %v, though the path is behind it", at, err)
				}
				continue
			}
			fit, ok := errors.AsType[*MisfitError](err)
			if !ok || !strings.Contains(fit.What, want) || fit.Next() == "" {
				t.Errorf("%s: %v, want %q and what to do", at, err, want)
			}
			r.Calibration = c // as a damaged record would have it
			if err := r.Validate(); err == nil {
				t.Errorf("%s: Validate takes a rig with the calibration of another one: %s", at, want)
			}
		}
	}
	// A sensor that tells a force makes its pressure of the area.
	r := mustParse(t, file(tables{"sensor": "kind = \"force\"\nrange = \"0 kN .. 100 kN\"\naccuracy = \"1 % of reading\"\nunit = \"kN\""}))
	c := calibrationOf(r, AtRam, 0.001, 0)
	calibrated(t, r, c)
	r.Ram.Area *= 1.01
	if _, err := r.Calibrated(c); err == nil {
		t.Error("a force sensor's calibration goes with another area")
	}
}

// TestValidateCalibrationHostile is TestValidateHostile for the calibration within
// a rig.
func TestValidateCalibrationHostile(t *testing.T) {
	for _, at := range []Place{AtGauge, AtRam, AtSpecimen} {
		make := func() *Rig {
			r := mustParse(t, Example())
			slope := map[Place]float64{AtGauge: 1, AtRam: 0.0042, AtSpecimen: 0.0021}[at]
			c := calibrationOf(r, at, slope, slope*1e5)
			c.Rubbing = &MeasuredRubbing{Friction: 0.01, FrictionU: 0.002, Area: 0.0042, AreaU: 1e-5, DoF: 8}
			c.Claims, c.Remarks = []string{"compared with a cell"}, []string{"one run"}
			return calibrated(t, r, c)
		}
		whole := make()
		roundTrip(t, whole)
		converts(t, whole)
		var names []string
		walk(reflect.ValueOf(whole.Calibration).Elem(), "", func(path string, _ reflect.Value) { names = append(names, path) })
		refused := 0
		for i, name := range names {
			for _, bad := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), -1, 0, 1e-300, 1e300} {
				r := make()
				n := 0
				walk(reflect.ValueOf(r.Calibration).Elem(), "", func(_ string, v reflect.Value) {
					if n == i {
						set(v, bad)
					}
					n++
				})
				if err := r.Validate(); err != nil {
					refused++
					continue
				}
				if math.IsNaN(bad) || math.IsInf(bad, 0) {
					if v := reflect.ValueOf(r.Calibration).Elem(); strings.Contains(name, "Line") && v.IsValid() && !strings.Contains(name, "Points") {
						t.Errorf("Validate accepts calibration%s = %v", name, bad)
					}
				}
				converts(t, r)
			}
		}
		if refused < 3*len(names) {
			t.Errorf("only %d of %d hostile calibrations refused", refused, 7*len(names))
		}
	}
}
