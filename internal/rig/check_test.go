package rig

import (
	"encoding/csv"
	"fmt"
	"math"
	"os"
	"strconv"
	"testing"

	"draghand/internal/si"
)

// checkRig is the rig of the check values: 4.324 in², half of the ram force on
// the specimen, 10,000 psi. The figures are check values only and stand in no
// example.
func checkRig(t *testing.T, sensor, converter string) *Rig {
	over := tables{
		"ram":    `area = "4.324 in² ± 0 %"` + "\n" + `role = "sensor"` + "\n" + `friction = "0 ± 0"`,
		"sensor": `range = "0 psi .. 10000 psi"` + "\n" + `accuracy = "1 % of full scale"` + "\n" + sensor,
	}
	if converter != "" {
		over["sensor.converter"] = converter
	}
	return mustParse(t, file(over))
}

// TestCheckValues holds the chain against testdata/checks/sensor.csv, each row
// with its source. The tolerance of a row is half a digit of the printed value.
func TestCheckValues(t *testing.T) {
	f, err := os.Open("../../testdata/checks/sensor.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close() //nolint:errcheck // only read
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	barArea := math.Pi / 4 * 0.250 * 0.250 * si.SquareInch
	for i, row := range rows[1:] {
		section, quantity, input, supply, bits, divisor := row[0], row[1], num(row[2]), row[3], row[4], row[5]
		want, signal, tol, source := row[6], row[8], num(row[9]), row[10]
		t.Run(fmt.Sprintf("%d %s %s %s", i+2, section, quantity, row[2]), func(t *testing.T) {
			var r *Rig
			switch {
			case quantity == "voltage":
				r = checkRig(t, `kind = "ratiometric"`+"\n"+`supply = "`+supply+` V"`, "")
			case section == "14.2" && quantity[:3] == "bip":
				r = checkRig(t, `kind = "voltage"`+"\n"+`signal = "0.5 V .. 4.5 V"`, "bits = "+bits+"\nreference = \""+supply+" V\"\n")
			case section == "14.2":
				r = checkRig(t, `kind = "ratiometric"`, "bits = "+bits+"\nreference = \""+supply+" V\"\ndivisor = \""+divisor+"\"\n")
			default:
				r = checkRig(t, `kind = "current"`, "")
			}
			c := r.Chain()
			var got float64
			switch quantity {
			case "voltage", "current":
				p, sig := c.Pressure(input)
				if sig.String() != signal {
					t.Errorf("Pressure(%v) is %q, want %q (%s)", input, sig, signal, source)
				}
				got = float64(p) / si.PSI
			case "psi_per_count", "bipolar_psi_per_count":
				got = float64(c.Step()) / si.PSI
			case "ram_lbf_per_count":
				got = float64(c.Ram(c.Step())) / si.PoundForce
			case "specimen_lbf_per_count":
				got = float64(c.Specimen(c.Step())) / si.PoundForce
			case "stress_per_count":
				got = float64(si.StressOn(c.Specimen(c.Step()), si.Area(barArea))) / si.PSI
			case "lsb_mv", "bipolar_lsb_mv":
				got = float64(r.Sensor.Reference) / r.Sensor.Divisor / si.Millivolt
			case "code_at":
				p0, _ := c.Pressure(0)
				got = (input*si.PSI - float64(p0)) / float64(c.Step())
			case "ram_force":
				f := c.Ram(si.Pressure(input * si.PSI))
				got = float64(f) / map[string]float64{"lbf": si.PoundForce, "kN": si.Kilonewton}[row[7]]
			case "specimen_force_at":
				got = float64(c.Specimen(si.Pressure(input*si.PSI))) / si.PoundForce
			case "gauge_at_specimen":
				got = float64(c.PressureForSpecimen(si.Force(input*si.PoundForce))) / si.PSI
			default:
				t.Fatalf("unknown quantity %q", quantity)
			}
			if want != "" && !near(got, num(want), tol) {
				t.Errorf("%s = %v, want %s ± %v (%s)", quantity, got, want, tol, source)
			}
		})
	}
	if len(rows) < 40 {
		t.Errorf("only %d rows read", len(rows))
	}
}

func num(s string) float64 {
	if s == "" {
		return 0
	}
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return math.NaN()
	}
	return v
}
