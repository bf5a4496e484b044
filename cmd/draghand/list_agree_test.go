package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"draghand/internal/rig"
)

// madeUpTable is a table of others: a pull to 31 kN and its break, made up.
func madeUpTable() string {
	var b strings.Builder
	b.WriteString("time_s,force_kN\n")
	for i := range 80 {
		f := 0.01 * float64(i%2)
		if i > 10 && i <= 72 {
			f = 0.5 * float64(i-10)
		}
		fmt.Fprintf(&b, "%.1f,%.2f\n", float64(i)/5, f)
	}
	return b.String()
}

// onShelf runs the program on one shelf.
func onShelf(t *testing.T, shelf string, args ...string) string {
	t.Helper()
	var out, said bytes.Buffer
	w := world{in: strings.NewReader(""), out: &out, err: &said, getenv: func(string) string { return "" }}
	if code := run(append(args, "--data", shelf), w); code != exitDone {
		t.Fatalf("%v: code %d\n%s%s", args, code, out.String(), said.String())
	}
	return out.String()
}

// pick finds a value in what a JSON text became.
func pick(v any, path ...string) any {
	for _, p := range path {
		m, ok := v.(map[string]any)
		if !ok {
			return nil
		}
		v = m[p]
	}
	return v
}

// The list says of a record, by its head alone, what results reckons from its readings,
// whatever kind of record it is: the same force, strength, lower bound, first yield,
// its doubt, and of a finished one its elongation and whether it counts.
func TestListAgreesWithResults(t *testing.T) {
	dir, shelf := t.TempDir(), t.TempDir()
	rigFile, table := filepath.Join(dir, "rig.toml"), filepath.Join(dir, "table.csv")
	if err := os.WriteFile(rigFile, []byte(rig.Example()), 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(table, []byte(madeUpTable()), 0o644); err != nil {
		t.Fatal(err)
	}
	bar := []string{"--diameter", "12.5 mm ± 0.01 mm", "--gauge-length", "50 mm", "--melt", "M1", "--specimen"}
	watch := func(source, name string, more ...string) []string {
		return append(append([]string{"watch", "--headless", "--from", "sim:?speed=50&" + source}, more...), append(bar, name)...)
	}
	for _, args := range [][]string{
		watch("seed=1", "broken"),
		watch("seed=2&fault=let-off", "let-off", "--for", "60s"),
		watch("seed=3", "proof", "--kind", "proof", "--target", "15 kN", "--hold", "5s"),
		watch("seed=4", "crush", "--kind", "crush"),
		watch("seed=5", "middle"),
		watch("seed=6", "grip"),
		watch("seed=7&fault=slip", "part"),
		{"watch", "--headless", "--from", "sim:?speed=50&seed=8", "--melt", "M1", "--specimen", "bare"},
		append([]string{"enter", "--rig", rigFile, "--peak", "2500 psi ± 50 psi", "--outcome", "broken"}, append(bar, "entered")...),
		append([]string{"enter", "--rig", rigFile, "--peak", "20 kN", "--at", "specimen", "--outcome", "let-off"}, append(bar, "entered-whole")...),
		append([]string{"import", table}, append(bar, "table")...),
		append([]string{"import", table}, append(bar, "table-finished")...),
		{"finish", "M1-middle", "--final-gauge", "58.7 mm", "--final-diameter", "9.8 mm", "--where", "middle"},
		{"finish", "M1-grip", "--where", "grip"},
		{"finish", "M1-part", "--failed-part", "upper pin"},
		{"finish", "M1-crush", "--looks", "crushed"},
		{"finish", "M1-proof", "--photo", "held.jpg"},
		{"finish", "M1-entered", "--where", "middle", "--final-gauge", "55 mm"},
		{"finish", "M1-table-finished", "--where", "outer-quarter"},
	} {
		onShelf(t, shelf, args...)
	}
	var listed []map[string]any
	if err := json.Unmarshal([]byte(onShelf(t, shelf, "list", "--json")), &listed); err != nil {
		t.Fatal(err)
	}
	if len(listed) != 12 {
		t.Fatalf("%d records", len(listed))
	}
	known := map[string]int{}
	for _, l := range listed {
		name := fmt.Sprint(l["record"])
		var results []map[string]any
		if err := json.Unmarshal([]byte(onShelf(t, shelf, "results", "--json", filepath.Join(shelf, name))), &results); err != nil || len(results) != 1 {
			t.Fatalf("%s: %v, %d results", name, err, len(results))
		}
		r := results[0]
		fields := map[string][]string{
			"peak_n": {"peak", "specimen_n"}, "stress_pa": {"peak", "stress_pa"}, "strength_pa": {"strength_pa"}, "strength_at_least_pa": {"strength_at_least_pa"},
			"first_yield_n": {"first_yield", "specimen_n"}, "first_yield_pa": {"first_yield", "stress_pa"}, "outcome": {"phase"}, "kind": {"kind"},
			"strength_expanded_pa": {"strength_expanded_pa"}, // kept at the closing
		}
		switch l["id"] {
		case "middle", "grip", "part", "crush", "proof", "entered", "table-finished": // finished
			for f, path := range map[string][]string{"elongation": {"elongation"}, "counts": {"counts"}} {
				fields[f] = path
			}
		case "let-off", "bare", "entered-whole": // nobody has finished it, and how it was closed rules it out
			fields["counts"] = []string{"counts"}
			if l["counts"] != "no" {
				t.Errorf("%s: counts is %v", name, l["counts"])
			}
		default: // nobody has said yet where the bar broke
			for _, f := range []string{"elongation", "counts"} {
				if l[f] != nil {
					t.Errorf("%s: %s is %v before it was finished", name, f, l[f])
				}
			}
		}
		for f, path := range fields {
			got, want := l[f], pick(r, path...)
			a, isA := got.(float64)
			b, isB := want.(float64)
			if isA && isB && math.Abs(a-b) <= 1e-9*math.Abs(b) || got == want {
				if got != nil {
					known[f]++
				}
				continue
			}
			t.Errorf("%s: %s: the list says %v, results %v", name, f, got, want)
		}
	}
	// That both know nothing is no agreement: each is seen on some record.
	for f, least := range map[string]int{"strength_pa": 4, "strength_at_least_pa": 4, "first_yield_n": 1, "strength_expanded_pa": 8, "elongation": 2, "counts": 7, "peak_n": 12} {
		if known[f] < least {
			t.Errorf("%s is known of %d records, want %d", f, known[f], least)
		}
	}
}
