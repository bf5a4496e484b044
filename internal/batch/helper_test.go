package batch_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

// near compares relative to want, or absolutely where want is zero.
func near(t *testing.T, what string, got, want, rel float64) {
	t.Helper()
	within(t, what, got, want, rel*math.Max(math.Abs(want), 1e-300))
}

func within(t *testing.T, what string, got, want, abs float64) {
	t.Helper()
	if math.IsNaN(want) && math.IsNaN(got) {
		return
	}
	if !(math.Abs(got-want) <= abs) {
		t.Errorf("%s is %.15g, want %.15g ± %.2g", what, got, want, abs)
	}
}

// table reads a CSV of testdata, its heading left out; an empty cell is NaN.
func table(t *testing.T, name string) [][]float64 {
	t.Helper()
	file, err := os.Open(filepath.Join("testdata", name))
	if err != nil {
		t.Fatal(err)
	}
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatalf("%s: %d rows, %v", name, len(rows), err)
	}
	var out [][]float64
	for _, row := range rows[1:] {
		var numbers []float64
		for _, cell := range row {
			v, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				v = math.NaN()
			}
			numbers = append(numbers, v)
		}
		out = append(out, numbers)
	}
	return out
}

func column(rows [][]float64, i int) []float64 {
	var out []float64
	for _, row := range rows {
		out = append(out, row[i])
	}
	return out
}
