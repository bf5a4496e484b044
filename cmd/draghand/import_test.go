package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"draghand/internal/record"
	"draghand/internal/si"
)

// importFlags are what a person has to say of each folder of open traces: the
// units that its headers leave out (its README has them) and the sense.
var importFlags = map[string]string{
	"al6061-hot":           "--unit time=s --unit force=lbf",
	"al6061-room":          "--unit time=s --unit force=lbf",
	"al6061-shear":         "--unit time=s --unit force=lbf",
	"ss304l-round":         "--unit time=s --unit force=lbf",
	"ss304l-small":         "--unit time=s --unit force=lbf",
	"concrete-cubes":       "--kind crush --flip-sign",
	"concrete-cylinders":   "--kind crush --flip-sign",
	"concrete-load-cycles": "--kind crush --flip-sign",
	"copper-alloys":        "",
	"polymer-film":         "",
	"s355-steel":           "",
}

// forceUnits are the units of the traces, in N.
var forceUnits = map[string]float64{"N": si.Newton, "kN": si.Kilonewton, "lbf": si.PoundForce}

// Every open trace becomes a whole record: its readings, its largest single
// reading and the force of that, in newtons, are those of the independent
// scripts. No reading of any is a fault by the rig an import makes.
func TestImportOpenTraces(t *testing.T) {
	dir := os.Getenv("DRAGHAND_OPEN_DATA")
	if dir == "" {
		t.Skip("DRAGHAND_OPEN_DATA names no folder of open traces")
	}
	dir = filepath.Join(dir, "traces")
	shelf := t.TempDir()
	for _, list := range []struct {
		file, count string
		digits      float64 // significant ones in the list
	}{{"expected.csv", "samples", 6}, {"expected-more.csv", "n", 7}} {
		for _, e := range expectedRows(t, filepath.Join(dir, list.file)) {
			name := e["dataset"] + "/" + e["file"]
			flags := strings.Fields(importFlags[e["dataset"]])
			unit := e["y_unit"]
			if unit == "ksi" { // a laboratory that gave stress and strain only
				flags = []string{"--rate", "1", "--unit", "force=ksi", "--diameter", "0.25 in"}
			}
			var out, errs bytes.Buffer
			args := append([]string{"import", "--json", "--data", shelf, filepath.Join(dir, e["dataset"], e["file"])}, flags...)
			code := run(args, world{in: strings.NewReader(""), out: &out, err: &errs, getenv: func(string) string { return "" }})
			var answers []importJSON
			if err := json.Unmarshal(out.Bytes(), &answers); code != 0 || err != nil || len(answers) != 1 || answers[0].Record == nil {
				t.Errorf("%s: code %d: %s", name, code, errs.String())
				continue
			}
			if r := record.Check(*answers[0].Record); r.Status != record.Whole {
				t.Errorf("%s: %s", name, r.Text())
			}
			if was := record.ImportOf(shelf, answers[0].SHA256); !was.Whole() {
				t.Errorf("%s: taken for one that was cut off: %+v", name, was)
			}
			rec, err := record.Open(*answers[0].Record)
			if err != nil {
				t.Fatal(err)
			}
			s, err := rec.Replay(nil)
			if err != nil {
				t.Errorf("%s: %v", name, err)
			}
			if strconv.Itoa(s.Readings) != e[list.count] || s.Faults != 0 || s.BadLines != 0 {
				t.Errorf("%s: %d readings, %d faults, %d bad lines, want %s readings", name, s.Readings, s.Faults, s.BadLines, e[list.count])
			}
			peak, err := strconv.ParseFloat(e["peak"], 64)
			if err != nil {
				t.Fatal(err)
			}
			// Half of the last digit in the list.
			within := 0.501 * math.Pow(10, math.Floor(math.Log10(peak))-list.digits+1)
			if math.Abs(s.PeakRaw.Raw-peak) > within {
				t.Errorf("%s: peak_raw %v, want %v", name, s.PeakRaw.Raw, peak)
			}
			want, got := s.PeakRaw.Raw*forceUnits[unit], float64(s.PeakRaw.Specimen)
			if unit == "ksi" {
				want, got = s.PeakRaw.Raw*si.KSI, float64(s.PeakRaw.Stress)
			}
			// The way over the ram's pressure costs a few last bits.
			if !(math.Abs(got-want) <= 1e-12*want) {
				t.Errorf("%s: force or stress %v, want %v", name, got, want)
			}
		}
	}
}

func expectedRows(t *testing.T, file string) (out []map[string]string) {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	head, err := r.Read()
	if err != nil {
		t.Fatal(err)
	}
	for {
		row, err := r.Read()
		if err == io.EOF {
			return out
		}
		if err != nil {
			t.Fatal(err)
		}
		m := map[string]string{}
		for i, h := range head {
			m[h] = row[i]
		}
		out = append(out, m)
	}
}

// A table that cannot be meant is refused for what is wrong with it, with the code
// of a flag that settles it (2) or of a fault in the file (3), and leaves no record.
func TestImportRefusesInItsWords(t *testing.T) {
	table := func(row string) string {
		var b strings.Builder
		b.WriteString("Time (s);Load (kN)\n")
		for i := range 60 {
			b.WriteString(strings.NewReplacer("I", strconv.Itoa(i), "J", strconv.Itoa(60-i), "SS", strconv.Itoa(i/10)+strconv.Itoa(i%10)).Replace(row) + "\n")
		}
		return b.String()
	}
	for _, c := range []struct {
		name, text, says, next string
		code                   int
	}{
		{"times run backwards", table("J;I"), "59 of 60 rows", "--rate", exitUsage},
		{"a clock of twelve hours", strings.Replace(table("12:59:SS;I"), "(s)", "", 1) + "1:00:00;60\n", "a clock of twelve hours", "--rate", exitUsage},
		{"AM and PM", strings.Replace(table("12:00:SS PM;I"), "(s)", "", 1), "AM and PM are not read", "--rate", exitUsage},
		{"impossible times", table("Ie15;I"), "the times are impossible", "--unit time=", exitUsage},
		{"no force at all", table("I;0"), `"Load" is zero in every row`, "--column", exitInput},
		{"a thousand columns and one", "Time (s),Load (kN)" + strings.Repeat(",x", 999) + "\n1,2\n2,3\n", "more than 1000 columns", "a file of their own", exitInput},
	} {
		shelf := t.TempDir()
		var out, errs bytes.Buffer
		code := run([]string{"import", "-", "--decimal", "point", "--data", shelf}, world{in: strings.NewReader(c.text), out: &out, err: &errs, getenv: func(string) string { return "" }})
		said, next, _ := strings.Cut(errs.String(), "next: ")
		if code != c.code || !strings.Contains(said, c.says) || !strings.Contains(next, c.next) {
			t.Errorf("%s: code %d, want %d and %q: %s", c.name, code, c.code, c.says, errs.String())
		}
		if found, _ := os.ReadDir(shelf); len(found) != 0 {
			t.Errorf("%s: left %v", c.name, found)
		}
	}
	// Readings behind the table that are not read are counted in the record.
	shelf := t.TempDir()
	var out, errs bytes.Buffer
	code := run([]string{"import", "-", "--json", "--data", shelf}, world{in: strings.NewReader(table("I;I.5") + "60;1.0D+02\n61;0x10\n62;1_000\n"), out: &out, err: &errs, getenv: func(string) string { return "" }})
	var answers []importJSON
	if err := json.Unmarshal(out.Bytes(), &answers); code != 0 || err != nil || len(answers) != 1 || answers[0].BadCount != 3 || answers[0].Record == nil {
		t.Fatalf("code %d: %s%s", code, out.String(), errs.String())
	}
	rec, err := record.Open(*answers[0].Record)
	if err != nil {
		t.Fatal(err)
	}
	if s, err := rec.Replay(nil); err != nil || s.Readings != 60 || s.BadLines != 3 {
		t.Errorf("%d readings, %d bad lines, %v; want 60 and 3", s.Readings, s.BadLines, err)
	}
}
