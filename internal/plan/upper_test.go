package plan

import (
	"math"
	"strings"
	"testing"

	"draghand/internal/si"
)

// The limits are held against the upper strength, not the high end of what is
// expected. Source: by hand on the example rig, 12.5 mm (122.718 mm²), which may stop
// from 45.267 kN on the specimen (TestVerdicts), 368.87 MPa: 320 MPa alone are 39.27
// kN, 1.2 of it 47.12 kN; 330 MPa are 40.50 kN, 390 MPa 47.86 kN.
func TestHeldAgainstTheUpper(t *testing.T) {
	for _, c := range []struct {
		name             string
		low, high, upper float64 // MPa
		want             Verdict
	}{
		{"one figure, 1.2 of it past", 320, 320, 0, No},
		{"one figure, 1.2 of it below", 270, 270, 0, Good},
		{"one figure, another upper", 320, 320, 325, Good},
		{"a range", 250, 330, 0, Good},
		{"a range, upper past", 250, 330, 390, No},
		{"just past", 250, 330, 369, No},
		{"just below", 250, 330, 368.7, Usable},
	} {
		t.Run(c.name, func(t *testing.T) {
			st := OfRange(si.Stress(c.low*si.Megapascal), si.Stress(c.high*si.Megapascal), si.Stress(c.upper*si.Megapascal))
			s := For(Ask{Rig: example(t, 0), Strength: st, Units: si.Metric, Diameters: []si.Length{12.5e-3}}).Asked[0]
			if s.Verdict != c.want {
				t.Errorf("%s %q, want %s", s.Verdict, s.Why, c.want)
			}
			if no := strings.Contains(strings.Join(s.Why, ";"), "link bar may come to its stop first"); no != (c.want == No) {
				t.Errorf("why: %q", s.Why)
			}
		})
	}
}

// A sensor whose range ends below the stop of a part that is known ends the pull
// in its place. By hand: 100 bar are 21.00 kN on the specimen, 20.389 kN at the least;
// 12.5 mm of 150 to 168 MPa are 18.41 to 20.62 kN.
func TestSensorEndsBeforeALimit(t *testing.T) {
	r := example(t, 0)
	r.Sensor.High, r.Sensor.Bits = 100e5, 0
	p := For(Ask{Rig: r, Strength: OfRange(150e6, 168e6, 0), Units: si.Metric, Diameters: []si.Length{12.5e-3}})
	if p.Part == nil || !p.Part.SensorEnd || p.Part.Name != "the sensor's range" {
		t.Fatalf("what ends the pull: %+v", p.Part)
	}
	near(t, "stop on the specimen", float64(p.Part.Stop.Specimen), 21e3, 1e-6)
	near(t, "at the least", float64(p.Part.StopLeast), 20388.9, 1e-5)
	if s := p.Asked[0]; s.Verdict != No || s.Part != p.Part.Name || !strings.Contains(s.Why[0], "the sensor's range ends before the specimen has broken for sure") {
		t.Errorf("%s by %s: %q", s.Verdict, s.Part, s.Why)
	}
}

// Weight in the path makes what is off at the ram weigh more, or less, on the
// specimen. By hand: 10 cm² at 100 bar are 10 kN, 2 kN of weight leave 8 kN or make
// 12 kN: w is 10/8 or 10/12. 1 % each of area, gauge and friction, /√3; the share has
// no w.
func TestBudgetWithWeight(t *testing.T) {
	for pushes, w := range map[string]float64{"up": 1.25, "down": 10.0 / 12, "": 1} {
		r := checkRig(t, checkRam, checkSensor, checkPath, noLimits)
		r.Ram.Area, r.Ram.AreaTol, r.Ram.FrictionBand = 10*si.SquareCM, 0.1*si.SquareCM, 0.01
		r.Sensor.Accuracy, r.Sensor.AccuracyOfReading = 0.01, true
		r.Path.Share, r.Path.ShareTol = 0.5, 0.005
		if pushes != "" {
			r.Path.Weight, r.Path.RamPushes = 2*si.Kilonewton, pushes
		}
		one := 0.01 / math.Sqrt(3)
		got := map[string]float64{}
		b := doubt(r, 100*si.Bar, 10e-3, 0)
		for _, s := range b.Shares {
			got[s.Of] = s.Relative
		}
		for of, want := range map[string]float64{"gauge accuracy": w * one, "ram area": w * one, "seal friction": w * one, "share": one} {
			near(t, "pushes "+pushes+": "+of, got[of], want, 1e-9)
		}
		near(t, "pushes "+pushes+": all", b.Relative, one*math.Sqrt(3*w*w+1), 1e-9)
	}
}

// The pressure that the strongest may take at the most is what its rail shows: at
// the least force that may stop the part it is the stop itself.
func TestReach(t *testing.T) {
	r := example(t, 0)
	p := For(Ask{Rig: r, Strength: OfRange(250e6, 340e6, 0), Units: si.Metric, Diameters: []si.Length{12.5e-3}})
	s := p.Asked[0]
	// 41.7243 kN / (0.4977273 · 41.8 cm² · 0.98) = 204.642 bar, of 222.0184 bar.
	near(t, "bar", float64(s.UpperMost)/si.Bar, 204.642, 1e-5)
	near(t, "ratio", p.Part.Reach(&s), r.Alarm.Stop*204.642/222.0184, 1e-5)
	if one := s.Margin + p.Part.Reach(&s)/r.Alarm.Stop; math.Abs(one-1) > 1e-9 {
		t.Errorf("margin and reach make %v", one)
	}
}
