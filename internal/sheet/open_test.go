package sheet_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"draghand/internal/sheet"
)

// openOptions are what each folder of open traces needs said: its README names
// the units its headers leave out, and which of several columns is meant.
var openOptions = map[string]sheet.Options{
	"al6061-hot":           {Columns: map[sheet.Role]string{sheet.Force: "load"}, Units: map[sheet.Role]string{sheet.Time: "s", sheet.Force: "lbf"}},
	"al6061-room":          {Units: map[sheet.Role]string{sheet.Time: "s", sheet.Force: "lbf"}},
	"al6061-shear":         {Units: map[sheet.Role]string{sheet.Time: "s", sheet.Force: "lbf"}},
	"ss304l-round":         {Units: map[sheet.Role]string{sheet.Time: "s", sheet.Force: "lbf"}},
	"ss304l-small":         {Units: map[sheet.Role]string{sheet.Time: "s", sheet.Force: "lbf"}},
	"concrete-cubes":       {FlipSign: true},
	"concrete-cylinders":   {FlipSign: true},
	"concrete-load-cycles": {FlipSign: true},
	"copper-alloys":        {},
	"polymer-film":         {},
	"s355-steel":           {},
}

// withoutTime are the files that have stress and strain only.
var withoutTime = sheet.Options{Rate: 1, Units: map[sheet.Role]string{sheet.Force: "ksi"}}

// Every open trace is read: its rows, its times and its peak are those of the
// independent scripts beside the traces (expected.csv, expected-more.csv).
// Their figures are rounded to six significant digits, or seven.
func TestOpenTraces(t *testing.T) {
	dir := os.Getenv("DRAGHAND_OPEN_DATA")
	if dir == "" {
		t.Skip("DRAGHAND_OPEN_DATA names no folder of open traces")
	}
	dir = filepath.Join(dir, "traces")
	seen := 0
	for _, list := range []struct {
		file, count, peak, index, duration, first, peakTime string
		digits                                              int
	}{
		{"expected.csv", "samples", "peak", "peak_index", "duration_s", "", "peak_t", 6},
		{"expected-more.csv", "n", "peak", "peak_index", "duration", "x_first", "peak_x", 7},
	} {
		for _, e := range readExpected(t, filepath.Join(dir, list.file)) {
			name := e["dataset"] + "/" + e["file"]
			data, err := os.ReadFile(filepath.Join(dir, e["dataset"], e["file"]))
			if os.IsNotExist(err) {
				continue // held back
			}
			if err != nil {
				t.Fatal(err)
			}
			seen++
			o, ok := openOptions[e["dataset"]]
			if !ok {
				t.Errorf("%s: nothing is known of its folder", name)
				continue
			}
			noTime := e[list.duration] == ""
			if noTime {
				o = withoutTime
			}
			got, err := sheet.Read(data, o)
			if err != nil {
				t.Errorf("%s: %v", name, err)
				continue
			}
			if n := len(got.Rows); strconv.Itoa(n) != e[list.count] {
				t.Errorf("%s: %d rows, want %s", name, n, e[list.count])
			}
			if got.BadRows.Count != 0 {
				t.Errorf("%s: %d bad rows, the first %+v", name, got.BadRows.Count, got.BadRows.First[0])
			}
			peak, at := math.Inf(-1), -1
			for i, r := range got.Rows {
				if r.Load > peak {
					peak, at = r.Load, i
				}
			}
			same(t, name, "peak", peak, e[list.peak], list.digits)
			if strconv.Itoa(at) != e[list.index] {
				t.Errorf("%s: peak at row %d, want %s", name, at, e[list.index])
			}
			if noTime {
				continue
			}
			same(t, name, "duration", (got.Rows[len(got.Rows)-1].Time - got.Rows[0].Time).Seconds(), e[list.duration], list.digits)
			same(t, name, "time of the peak", got.Rows[at].Time.Seconds(), e[list.peakTime], list.digits)
			same(t, name, "first time", got.Rows[0].Time.Seconds(), e[list.first], list.digits)
			back := e["nonincreasing_t"] + e["steps_not_forward"]
			if strconv.Itoa(got.Repeated+got.Backward) != back {
				t.Errorf("%s: %d times repeated and %d backward, want %s together", name, got.Repeated, got.Backward, back)
			}
		}
	}
	files := 0
	for folder := range openOptions {
		found, _ := filepath.Glob(filepath.Join(dir, folder, "*"))
		for _, f := range found {
			if b := filepath.Base(f); !slices.Contains([]string{"README.md", "LICENSE.source", "reported.csv"}, b) {
				files++
			}
		}
	}
	if seen != files || files == 0 {
		t.Errorf("%d traces were compared, %d are there", seen, files)
	}
}

// same compares with a figure printed with so many significant digits.
func same(t *testing.T, name, what string, got float64, want string, digits int) {
	t.Helper()
	if want == "" {
		return
	}
	w, err := strconv.ParseFloat(want, 64)
	if err != nil {
		t.Fatalf("%s: %s: %v", name, what, err)
	}
	// Half of the last digit printed, and a little for a half rounded the other way.
	last := math.Pow(10, math.Floor(math.Log10(math.Abs(w)))-float64(digits)+1)
	if !(math.Abs(got-w) <= 0.501*last) && got != w {
		t.Errorf("%s: %s %v, want %s", name, what, got, want)
	}
}

func readExpected(t *testing.T, file string) (out []map[string]string) {
	t.Helper()
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(strings.NewReader(string(text))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, h := range rows[0] {
			m[h] = r[i]
		}
		out = append(out, m)
	}
	return out
}
