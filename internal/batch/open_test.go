package batch_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"draghand/internal/batch"
)

// openFolder is where the open batches lie.
func openFolder(t *testing.T) string {
	t.Helper()
	dir := os.Getenv("DRAGHAND_OPEN_DATA")
	if dir == "" {
		t.Skip("DRAGHAND_OPEN_DATA names no folder of open batches")
	}
	return filepath.Join(dir, "batches")
}

// numbers reads a list of NIST's: lines of numbers below a heading that ends with a
// dashed line or at line 25.
func numbers(t *testing.T, path string) [][]float64 {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(text), "\n")
	from := 25
	for i, line := range lines {
		if strings.HasPrefix(strings.TrimSpace(line), "-----") {
			from = i + 1
		}
	}
	var out [][]float64
	for _, line := range lines[from:] {
		var row []float64
		for _, field := range strings.Fields(line) {
			v, err := strconv.ParseFloat(field, 64)
			if err != nil {
				t.Fatalf("%s: %q", path, line)
			}
			row = append(row, v)
		}
		if len(row) > 0 {
			out = append(out, row)
		}
	}
	return out
}

func records(t *testing.T, path string) [][]string {
	t.Helper()
	file, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

// printed compares with a number as printed: half a unit of its last place, which
// is at least the seventh digit where digits is 7 (zeros at the end are not printed
// there).
func printed(t *testing.T, what string, got float64, text string, digits int) {
	t.Helper()
	want, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	unit := 1.0
	if _, after, ok := strings.Cut(text, "."); ok {
		unit = math.Pow(10, -float64(len(after)))
	}
	if digits > 0 {
		unit = math.Pow(10, math.Floor(math.Log10(math.Abs(want)))+1-float64(digits))
	}
	within(t, what, got, want, 0.501*unit)
}

// The independent figures of expected.csv (order: n, mean, sd, cv, min, median, max,
// shape, scale).
func figures(t *testing.T, x []float64, want []string, digits int) {
	t.Helper()
	s := batch.Summarize(x, 0.95)
	w, err := batch.FitWeibull(x, nil, 0.95)
	if err != nil {
		t.Fatal(err)
	}
	if strconv.Itoa(s.N) != want[0] {
		t.Fatalf("%d values, want %s", s.N, want[0])
	}
	for i, got := range []float64{s.Mean, s.SD, s.CV, s.Least, s.Median, s.Most, w.Shape, w.Scale} {
		name := [...]string{"mean", "SD", "CV", "least", "median", "most", "shape", "scale"}[i]
		printed(t, name, got, want[i+1], digits)
	}
}

func TestOpenBatches(t *testing.T) {
	dir := openFolder(t)
	columns := map[string]int{"JAHANMI2.DAT": 4}
	seen := 0
	for _, row := range records(t, filepath.Join(dir, "expected.csv")) {
		t.Run(row[1], func(t *testing.T) {
			figures(t, column(numbers(t, filepath.Join(dir, "nist-strengths", row[1])), columns[row[1]]), row[2:], 0)
		})
		seen++
	}
	peaks := map[string][]float64{}
	for _, row := range records(t, filepath.Join(dir, "concrete-peak-force", "peaks.csv")) {
		v, err := strconv.ParseFloat(row[2], 64)
		if err != nil {
			t.Fatal(err)
		}
		peaks[row[0]] = append(peaks[row[0]], v)
	}
	for _, row := range records(t, filepath.Join(dir, "expected-more.csv")) {
		t.Run(row[3], func(t *testing.T) {
			x := peaks[row[3]]
			if row[0] != "concrete-peak-force" {
				x = column(numbers(t, filepath.Join(dir, row[0], row[1])), 0)
			}
			figures(t, x, row[5:], 7)
		})
		seen++
	}
	if seen != 25 {
		t.Errorf("%d batches looked at", seen)
	}
}

func groupsOf(rows [][]float64, by int) [][]float64 {
	var out [][]float64
	for _, row := range rows {
		i := int(row[by]) - 1
		for len(out) <= i {
			out = append(out, nil)
		}
		out[i] = append(out[i], row[0])
	}
	return out
}

// Strength of cement briquettes, five groups (Natrella 1963, page 3-41), and of a
// fabric in three batches (Shyprykevich, ASTM STP 1003, 1989). The figures stand in
// testdata/reference.json, from scipy and R.
func TestOpenGroups(t *testing.T) {
	dir := openFolder(t)
	ref := reference(t)
	for _, test := range []struct {
		file, name string
		by         int
	}{
		{"NATR341.DAT", "NATR341, five groups of five", 1},
		{"VANGEL33.DAT", "VANGEL33, three batches", 2},
	} {
		a, err := batch.Variance(groupsOf(numbers(t, filepath.Join(dir, "nist-strengths", test.file)), test.by))
		if err != nil {
			t.Fatal(err)
		}
		found := false
		for _, want := range ref.Variance.Rows {
			if want.Name == test.name {
				found = true
				near(t, test.name+": F", a.F, want.F, 1e-9)
				near(t, test.name+": P", a.P, want.P, 1e-9)
			}
		}
		if !found {
			t.Errorf("no reference for %s", test.name)
		}
		t.Logf("%s: F %.4f, P %.4f, within %.3f, among %.3f", test.name, a.F, a.P, a.WithinSD, a.AmongSD)
	}
}

// Twenty bars of an aluminium alloy, psi, against a standard of 27,000 (Natrella
// 1963): the mean 28,760 lies above it, and so does its whole interval. t(0.975, 19)
// is 2.093024.
func TestOpenAgainstStandard(t *testing.T) {
	x := column(numbers(t, filepath.Join(openFolder(t), "nist-more-strengths", "NATR166.DAT")), 0)
	s := batch.Summarize(x, 0.95)
	half := 2.093024 * 2574.603 / math.Sqrt(20)
	within(t, "low end", s.MeanLow, 28760-half, 0.01)
	within(t, "high end", s.MeanHigh, 28760+half, 0.01)
	if s.MeanLow < 27000 {
		t.Errorf("the interval begins at %g", s.MeanLow)
	}
}

// 480 ceramic bars of eight laboratories are no one normal distribution.
func TestOpenMixed(t *testing.T) {
	x := column(numbers(t, filepath.Join(openFolder(t), "nist-strengths", "JAHANMI2.DAT")), 4)
	n, err := batch.Normal(x)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "A²", n.A2, reference(t).Anderson.Mixed, 1e-9)
	if !(n.P < 1e-3) {
		t.Errorf("P %g does not reject", n.P)
	}
}
