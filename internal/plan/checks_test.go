package plan

import (
	"fmt"
	"math"
	"testing"

	"draghand/internal/rig"
	"draghand/internal/si"
)

// checkRig is a rig of the check values: 4.324 in² (a check value only), a sensor
// of 10,000 psi, half of the force on the bar. Keys overrule its sections.
func checkRig(t testing.TB, ram, sensor, path, limits string) *rig.Rig {
	t.Helper()
	text := "[rig]\nname = \"check\"\n[ram]\n" + ram + "\n[sensor]\n" + sensor + "\n[source]\ncolumns = [\"raw\"]\n[path]\n" + path + "\n" + limits
	r, err := rig.Parse("check", []byte(text))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

const (
	checkRam    = "area = \"4.324 in² ± 0 in²\"\nrole = \"sensor\"\nfriction = \"0 ± 0\""
	checkSensor = "kind = \"pressure\"\nunit = \"psi\"\nrange = \"0 psi .. 10000 psi\"\naccuracy = \"0.5 % of full scale\""
	checkPath   = "kind = \"fixed\"\nshare = \"0.5 ± 0\""
	noLimits    = "[[limit]]\nname = \"pins\"\nkind = \"unknown\"\n"
)

// near holds that two numbers differ by less than rel.
func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	if !(math.Abs(got-want) <= rel*math.Abs(want)) {
		t.Errorf("%s: %v, want %v within %g", what, got, want, rel)
	}
}

// Which specimen suits the rig: checks.md 12, computed there from p = 2 σ A_bar /
// A_ram on 4.324 in². The figures have one decimal.
func TestWhichSpecimenSuits(t *testing.T) {
	r := checkRig(t, checkRam, checkSensor, checkPath, noLimits)
	for d, row := range map[float64][5]float64{
		0.500: {2270.5, 4086.8, 6811.4, 9081.8, 110.1},
		0.350: {1112.5, 2002.5, 3337.6, 4450.1, 224.7},
		0.250: {567.6, 1021.7, 1702.8, 2270.5, 440.4},
		0.160: {232.5, 418.5, 697.5, 930.0, 1075.3},
		0.113: {116.0, 208.7, 347.9, 463.9, 2155.8},
	} {
		for i, ksi := range []float64{25, 45, 75, 100} {
			s := asked(t, r, OfRange(si.Stress(ksi*si.KSI), si.Stress(ksi*si.KSI), 0), d)
			if got := float64(s.Low.Gauge) / si.PSI; math.Abs(got-row[i]) > 0.051 {
				t.Errorf("%.3f in of %v ksi: %v psi, want %v", d, ksi, got, row[i])
			}
			if got := float64(s.Strongest) / si.KSI; math.Abs(got-row[4]) > 0.051 {
				t.Errorf("%.3f in reaches 10,000 psi at %v ksi, want %v", d, got, row[4])
			}
		}
	}
}

// asked is what a plan says of one diameter, in inches.
func asked(t testing.TB, r *rig.Rig, st Strength, inch float64) Size {
	t.Helper()
	p := For(Ask{Rig: r, Strength: st, Units: si.US, Diameters: []si.Length{si.Length(inch * si.Inch)}})
	if len(p.Asked) != 1 {
		t.Fatalf("asked: %d sizes", len(p.Asked))
	}
	return p.Asked[0]
}

// checks.md 15, common practice without a source, computed there: a 0.250 in round
// of 45,000 psi. Check values only.
func TestCommonPractice(t *testing.T) {
	r := checkRig(t, checkRam, checkSensor, checkPath, noLimits)
	s := asked(t, r, OfRange(45*si.KSI, 45*si.KSI, 0), 0.250)
	near(t, "lbf on the specimen", float64(s.Low.Specimen)/si.PoundForce, 2208.932, 1e-6)
	near(t, "lbf on the ram", float64(s.Low.Ram)/si.PoundForce, 4417.865, 1e-6)
	near(t, "psi at the gauge", float64(s.Low.Gauge)/si.PSI, 1021.708, 1e-6)
	near(t, "lbf at 9,250 psi", float64(r.Chain().Ram(9250*si.PSI))/si.PoundForce, 40000, 1e-3)
}

// Count size: checks.md 14.2, computed there for a 10,000 psi span on 0.8 of a
// converter that takes the supply for its reference, and a 0.250 in bar.
func TestCountSize(t *testing.T) {
	for _, c := range []struct {
		bits          int
		force, stress float64 // specimen lbf and psi of stress a count
		psi, ram      float64
	}{
		{10, 26.3916, 537.645, 12.20703, 52.7832},
		{12, 6.5979, 134.411, 3.05176, 13.1958},
		{16, 0.412369, 8.40070, 0.190735, 0.824738},
	} {
		sensor := fmt.Sprintf("kind = \"ratiometric\"\nrange = \"0 psi .. 10000 psi\"\naccuracy = \"0.5 %% of full scale\"\nsupply = \"5 V\"\n[sensor.converter]\nbits = %d\nreference = \"5 V\"\ndivisor = \"2^n\"", c.bits)
		r := checkRig(t, checkRam, sensor, checkPath, noLimits)
		s := asked(t, r, OfRange(45*si.KSI, 45*si.KSI, 0), 0.250)
		near(t, "specimen lbf a count", float64(s.ForceStep)/si.PoundForce, c.force, 1e-5)
		near(t, "stress a count", float64(s.StressStep)/si.PSI, c.stress, 1e-5)
		near(t, "psi a count", float64(r.Chain().Step())/si.PSI, c.psi, 1e-5)
		near(t, "ram lbf a count", float64(r.Chain().Ram(r.Chain().Step()))/si.PoundForce, c.ram, 1e-5)
	}
}

// Tensile strength of the ram rig: checks.md 10.2, first order, rel 1e-6. The
// standard uncertainties there become the limits of error of a rig file, √3 times
// as wide; without the board's counts.
func TestBudget(t *testing.T) {
	for _, c := range []struct {
		name                 string
		role                 rig.Role
		p, up, f, uf, d, ud  float64
		strength, rel        float64
		gauge, area, fr, dia float64 // shares of the variance, %; 0: not stated there
		share                float64
	}{
		{"U1 actuator", rig.ActuatorRam, 1021, 10, 0.02, 0.01 / math.Sqrt(3), 0.250, 0.0005, 44069.448, 0.016479995, 35.32, 9.19, 12.78, 5.89, 36.82},
		{"U2 actuator", rig.ActuatorRam, 230, 5, 0.03, 0.01, 0.113, 0.002, 48095.948, 0.044236404, 24.15, 1.28, 5.43, 64.03, 5.11},
		{"U1 sensor", rig.SensorRam, 1021, 10, 0.02, 0.01 / math.Sqrt(3), 0.250, 0.0005, 45868.201, 0.016398824, 0, 0, 0, 0, 0},
		{"U2 sensor", rig.SensorRam, 230, 5, 0.03, 0.01, 0.113, 0.002, 51070.955, 0.044100316, 0, 0, 0, 0, 0},
	} {
		t.Run(c.name, func(t *testing.T) {
			wide := math.Sqrt(3)
			r := checkRig(t, checkRam, checkSensor, checkPath, noLimits)
			r.Ram.Role, r.Ram.Friction, r.Ram.FrictionBand = c.role, c.f, wide*c.uf
			r.Ram.AreaTol = si.Area(wide * 0.0216 * si.SquareInch)
			r.Path.ShareTol = wide * 0.005
			r.Sensor.Accuracy, r.Sensor.AccuracyOfReading = wide*c.up/c.p, true
			p := si.Pressure(c.p * si.PSI)
			bar := float64(r.Chain().Specimen(p)) / (math.Pi / 4 * c.d * c.d * si.SquareInch) / si.PSI
			near(t, "strength, psi", bar, c.strength, 1e-6)
			b := doubt(r, p, si.Length(c.d*si.Inch), si.Length(wide*c.ud*si.Inch))
			near(t, "relative", b.Relative, c.rel, 1e-6)
			near(t, "expanded", b.Expanded, 2*c.rel, 1e-6)
			if c.gauge == 0 {
				return
			}
			for of, want := range map[string]float64{
				"gauge accuracy": c.gauge, "ram area": c.area, "seal friction": c.fr, "diameter": c.dia, "share": c.share,
			} {
				got := -1.0
				for _, s := range b.Shares {
					if s.Of == of {
						got = 100 * s.Fraction
					}
				}
				if math.Abs(got-want) > 0.006 {
					t.Errorf("%s has %.3f %% of the variance, want %.2f", of, got, want)
				}
			}
		})
	}
}
