package part

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"draghand/internal/si"
)

func table(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open("../../testdata/checks/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close() //nolint:errcheck // only read
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func num(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

func near(got, want, rel float64) bool { return math.Abs(got-want) <= rel*math.Abs(want) }

// in are the inputs of a row, in pounds-force and inches.
type in map[string]float64

func (v in) l(k string) si.Length { return si.Length(v[k] * si.Inch) }

// TestCheckValues holds the formulas against testdata/checks/mechanics.csv,
// each row with its source.
func TestCheckValues(t *testing.T) {
	rows := table(t, "mechanics.csv")
	for _, row := range rows {
		t.Run(row[0]+" "+row[2]+" "+row[3], func(t *testing.T) {
			v, thread := in{}, ""
			for field := range strings.FieldsSeq(row[3]) {
				k, x, _ := strings.Cut(field, "=")
				if k == "thread" {
					thread = x
					continue
				}
				v[k] = num(t, x)
			}
			f := si.Force(v["F"] * si.PoundForce)
			pin := Pin{Diameter: v.l("d"), Planes: 2, Outer: v.l("t1"), Gap: v.l("g"), Inner: v.l("t2")}
			bar := Bar{Section: Round, Diameter: v.l("d"), Arm: v.l("L") / 2, OtherArm: v.l("L") / 2, SupportWidth: v.l("b"), Modulus: 29e6 * si.PSI}
			plate := Plate{Width: v.l("w"), Thickness: v.l("t"), Hole: v.l("dh"), Pin: v.l("dp"), EndDistance: v.l("e")}
			var got float64
			switch row[1] + " " + row[2] {
			case "pin shear_psi":
				got = float64(pin.Shear(f)) / si.PSI
			case "pin moment_inlbf":
				got = pin.Moment(f) / (si.PoundForce * si.Inch)
			case "pin bending_psi":
				got = float64(pin.Bending(f)) / si.PSI
			case "bar moment_inlbf":
				got = bar.Moment(f) / (si.PoundForce * si.Inch)
			case "bar modulus_in3":
				got = bar.SectionModulus() / math.Pow(si.Inch, 3)
			case "bar second_in4":
				got = bar.SecondMoment() / math.Pow(si.Inch, 4)
			case "bar stress_psi":
				got = float64(bar.Stress(f)) / si.PSI
			case "bar deflection_in":
				got = float64(bar.Deflection(f)) / si.Inch
			case "plate bearing_psi":
				got = float64(plate.Stresses(f).Bearing) / si.PSI
			case "plate net_psi":
				got = float64(plate.Stresses(f).Net) / si.PSI
			case "plate tear_out_psi":
				got = float64(plate.Stresses(f).TearOut) / si.PSI
			case "thread stress_area_in2":
				s, err := ParseScrew(thread)
				if err != nil {
					t.Fatal(err)
				}
				got = float64(s.StressArea()) / si.SquareInch
			default:
				t.Fatalf("unknown quantity %s of a %s", row[2], row[1])
			}
			if want := num(t, row[4]); !near(got, want, num(t, row[5])) {
				t.Errorf("%s of %s = %v, want %v (%s)", row[2], row[3], got, want, row[6])
			}
		})
	}
	if len(rows) < 38 {
		t.Errorf("only %d rows read", len(rows))
	}
}

// TestPlateSheet is the worked sheet of ASME BTH-1, every step: the recomputed
// figures to 1e-5 and the sheet's own to half of its last digit.
func TestPlateSheet(t *testing.T) {
	const nd = 2 // the sheet's design factor; ours divides a capacity
	p := Plate{
		Thickness: 0.19685039 * si.Inch, Pin: 0.39370079 * si.Inch, Hole: 0.47244094 * si.Inch, EndDistance: 0.49212598 * si.Inch,
		Width: (0.47244094 + 2*0.25590551) * si.Inch, End: RoundEnd, Yield: 36 * si.KSI, Ultimate: 58 * si.KSI,
	}
	square := p
	square.End = SquareEnd
	s, q := p.Sheet(), square.Sheet()
	kip := func(f si.Force) float64 { return float64(f) / si.Kip / nd }
	got := map[string]float64{
		"4t_in":                    float64(s.ByWidth) / si.Inch,
		"by_strength_in":           float64(s.ByStrength) / si.Inch,
		"effective_in":             float64(s.Effective) / si.Inch,
		"cr":                       s.Cr,
		"tension_kip":              kip(s.Tension),
		"tension_without_cr_kip":   kip(s.Tension) / s.Cr,
		"splitting_kip":            kip(s.Splitting),
		"splitting_without_cr_kip": kip(s.Splitting) / s.Cr,
		"phi_deg":                  s.Phi * 180 / math.Pi,
		"z_in":                     float64(s.Z) / si.Inch,
		"z_lost_in":                float64(s.ZLost) / si.Inch,
		"av_in2":                   float64(s.ShearArea) / si.SquareInch,
		"shear_kip":                kip(s.Shear),
		"bearing_kip":              kip(s.Bearing),
		"av_square_in2":            float64(q.ShearArea) / si.SquareInch,
		"shear_square_kip":         kip(q.Shear),
	}
	rows := table(t, "bth1_sheet.csv")
	for _, row := range rows {
		v, ok := got[row[0]]
		if !ok {
			t.Fatalf("no step %q", row[0])
		}
		if want := num(t, row[3]); !near(v, want, 1e-5) && math.Abs(v-want) > 5e-7 { // six decimals printed
			t.Errorf("%s = %.7f, want %v (%s)", row[0], v, want, row[4])
		}
		if row[1] != "" && math.Abs(v-num(t, row[1])) > num(t, row[2])*(1+1e-9) {
			t.Errorf("%s = %v, the sheet has %s", row[0], v, row[1])
		}
		delete(got, row[0])
	}
	if len(got) > 0 {
		t.Errorf("steps without a row: %v", got)
	}
	if m := (&Part{Plate: &p}).Modes(); m[3].Capacity != s.Bearing || m[0].Capacity != s.Tension {
		t.Errorf("the modes are not the sheet's: %+v", m)
	}
	if f, i := (&Part{Plate: &p}).Capacity(); i != 3 || !near(kip(f), 1.743753, 1e-5) {
		t.Errorf("governed by mode %d at %v kip, want bearing at 1.743753", i, kip(f))
	}
}
