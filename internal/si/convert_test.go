package si

import (
	"encoding/csv"
	"os"
	"strconv"
	"testing"
)

// exactTolerance allows for one rounding of a factor and one of the division
// in a conversion: each at most half of 2.2e-16.
const exactTolerance = 4.5e-16

// TestConversions holds the factors against published ones.
func TestConversions(t *testing.T) {
	f, err := os.Open("../../testdata/checks/units.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	byKind := map[string]quantity{}
	for _, q := range quantities() {
		byKind[q.kind] = q
	}
	for _, row := range rows {
		kind, from, to, source := row[0], row[1]+" "+row[2], row[4], row[6]
		want, err := strconv.ParseFloat(row[3], 64)
		if err != nil || source == "" {
			t.Fatalf("row %q: %v, source %q", row, err, source)
		}
		tolerance := exactTolerance
		if row[5] != "exact" {
			if tolerance, err = strconv.ParseFloat(row[5], 64); err != nil {
				t.Fatalf("row %q: %v", row, err)
			}
		}
		var got float64
		if kind == "energy" { // no quantity of the program's: the constants alone
			got = Foot * PoundForce
		} else {
			q := byKind[kind]
			a, err := q.parse(from)
			if err != nil {
				t.Errorf("parse %q: %v", from, err)
				continue
			}
			one, err := q.parse("1 " + to)
			if err != nil {
				t.Errorf("parse 1 %s: %v", to, err)
				continue
			}
			got = a / one
		}
		if d := rel(got, want); d > tolerance {
			t.Errorf("%s = %v %s, want %v (off by %.1e, %s)", from, got, to, want, d, source)
		}
	}
	if len(rows) < 20 {
		t.Errorf("%d rows read, want all of the file", len(rows))
	}
}

func TestPressureOnAreaAndStress(t *testing.T) {
	// 10,000 psi on 4.324 in² is 43,240 lbf; half of it on a 0.250 in bar
	// (0.04908739 in²) is 440,439 psi: constructed, the definition p = F/A.
	f := FromPressure(10000*PSI, 4.324*SquareInch)
	if got := float64(f) / PoundForce; rel(got, 43240) > 1e-14 {
		t.Errorf("force %v lbf, want 43240", got)
	}
	if got := float64(StressOn(f/2, 0.04908739*SquareInch)) / PSI; rel(got, 440438.98) > 1e-7 {
		t.Errorf("stress %v psi, want 440438.98", got)
	}
	for _, a := range []Area{0, -1} {
		if got := StressOn(100, a); got != 0 {
			t.Errorf("stress on an area of %v is %v, want 0", a, got)
		}
	}
	if got := FromPressure(-5*Bar, SquareCM); got != -50 {
		t.Errorf("force of a negative pressure is %v, want -50", got)
	}
}
