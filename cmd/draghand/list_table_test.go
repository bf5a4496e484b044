package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/pull"
	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// tableEntries are made-up records of every kind of row.
func tableEntries() []shelf.Entry {
	entry := func(n int, id string) shelf.Entry {
		return shelf.Entry{
			Name: fmt.Sprintf("2026-11-25T14%02d22Z-M12-%s", n, id), Condition: shelf.Whole, Started: time.Date(2026, 11, 25, 14, n, 22, 0, time.UTC),
			Kind: pull.Tension, Outcome: pull.Broken, Units: si.Metric, Peak: 36750, Stress: 299.5e6, Strength: 299.5e6,
			Specimen: specimen.Specimen{Melt: "M12", ID: id, Alloy: "C90500", Simulated: true, Diameters: []si.Length{12.5 * si.Millimetre}},
		}
	}
	stretch := 0.174
	a, b, c := entry(1, "3"), entry(2, "4"), entry(3, "a long name of a bar from the left side of the mould")
	a.Expanded, a.Elongation, a.Counts = 6.2e6, &stretch, "with-remarks"
	b.Strength, b.AtLeast, b.Expanded, b.Counts, b.Because = 0, 299.5e6, 6.2e6, "no", "it broke in the grip"
	d := entry(4, "block")
	d.Kind, d.Outcome, d.Strength, d.FirstYield, d.YieldStress = pull.Crush, pull.LetOff, 0, 23e3, 187.4e6
	e := shelf.Entry{Name: strings.Repeat("x", 60), Condition: shelf.Damaged, Reason: "pull.json is torn, its end is missing; put it back from a copy, and more words to be broken"}
	return []shelf.Entry{a, b, c, d, e}
}

// On a terminal no line is wider than it, but for the name of a record, which is
// never cut; nothing that the table tells is left out.
func TestListFitsTheTerminal(t *testing.T) {
	all := tableEntries()
	for columns := 60; columns <= 200; columns++ {
		var out bytes.Buffer
		if err := printEntries(&out, &common{}, all, columns); err != nil {
			t.Fatal(err)
		}
		text := out.String()
		for l := range strings.Lines(text) {
			l = strings.TrimRight(l, "\n")
			if n := ansi.StringWidth(l); n > columns && !strings.HasPrefix(strings.TrimSpace(l), "2026-11-25T14") && !strings.Contains(l, "xxxx") {
				t.Errorf("%d columns: %d cells: %q", columns, n, l)
			}
		}
		for _, e := range all {
			if !strings.Contains(text, e.Name) {
				t.Errorf("%d columns: the record %s is not there whole", columns, e.Name)
			}
		}
		for _, want := range []string{"299.5 ± 6.2 MPa", "at least 299.5 ± 6.2 MPa", "17.4 %", "with remarks", "no", "open", "broken, simulated", "crush let-off, simulated", "C90500", "12.50 mm", "damaged", "gave at 187 MPa, peak 36.75", "2026-11-25 14:01"} {
			if !strings.Contains(text, want) {
				t.Errorf("%d columns: does not say %q", columns, want)
			}
		}
		if t.Failed() {
			t.Fatal("\n" + text)
		}
	}
	var whole bytes.Buffer
	if err := printEntries(&whole, &common{}, all, 0); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(whole.String(), "\n"); n != len(all)+1 {
		t.Errorf("where there is no terminal: %d lines", n)
	}
}

// A table in SI reads back as it was, whatever the texts hold; what steers a terminal
// is left out, and the columns are the fields of --json.
func TestListCSV(t *testing.T) {
	all := tableEntries()
	all[0].Specimen.Alloy, all[0].Specimen.ID = "a \"b\", c", "=1+1\x1b[2J\x07"
	all[0].Specimen.Tags = []string{"wet sand", "1150 °C"}
	all[0].Because = "the pace\nis over"
	all[0].Peak, all[0].Stress = 36629.097815787434, 299438176.8973495
	all[1].Specimen.Diameters = nil
	all[1].Specimen.Shape, all[1].Specimen.Sections = specimen.Rectangular, []specimen.Section{{Width: 6 * si.Millimetre, Thickness: 3 * si.Millimetre}}
	var out bytes.Buffer
	if err := writeEntries(&out, all); err != nil {
		t.Fatal(err)
	}
	if strings.ContainsAny(out.String(), "\x1b\x07") {
		t.Error("what steers a terminal is in it")
	}
	rows, err := csv.NewReader(&out).ReadAll()
	if err != nil || len(rows) != len(all)+1 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	at := map[string]int{}
	for i, n := range rows[0] {
		at[n] = i
	}
	for _, c := range []struct {
		row        int
		name, want string
	}{
		{1, "alloy", `a "b", c`},
		{1, "id", "=1+1"},
		{1, "tags", "wet sand, 1150 °C"},
		{1, "diameters_m", "0.0125"},
		{1, "strength_pa", "299500000"},
		{1, "peak_n", "36629.1"}, // six digits of what was reckoned
		{1, "stress_pa", "299438000"},
		{1, "strength_expanded_pa", "6200000"},
		{1, "elongation", "0.174"},
		{1, "counts", "with-remarks"},
		{1, "counts_because", "the pace\nis over"},
		{1, "started", "2026-11-25T14:01:22Z"},
		{1, "simulated", "true"},
		{2, "strength_pa", ""},
		{2, "strength_at_least_pa", "299500000"},
		{2, "sections_m", `[{"width_m":0.006,"thickness_m":0.003}]`},
		{2, "shape", "rectangular"},
		{2, "counts", "no"},
		{4, "first_yield_n", "23000"},
		{4, "first_yield_pa", "187400000"},
		{4, "strength_pa", ""},
		{5, "condition", "damaged"},
		{5, "kind", ""},
		{5, "simulated", ""},
	} {
		if got := rows[c.row][at[c.name]]; got != c.want {
			t.Errorf("row %d, %s: %q, want %q", c.row, c.name, got, c.want)
		}
	}
	text, err := json.Marshal(jsonOf(all[1])) // with a shape, else left out
	if err != nil {
		t.Fatal(err)
	}
	var fields map[string]any
	if err := json.Unmarshal(text, &fields); err != nil {
		t.Fatal(err)
	}
	fields["check_stock"] = "" // of check bars alone
	for f := range fields {
		if _, ok := at[f]; !ok {
			t.Errorf("%s of --json is no column", f)
		}
	}
	if len(at) != len(fields) || len(rows[0]) != len(at) {
		t.Errorf("%d columns, %d fields", len(rows[0]), len(fields))
	}
}

// At 80 columns a record takes two lines, as docs/shelf.md says, long results or not.
func TestListTwoLines(t *testing.T) {
	all := tableEntries()
	all = []shelf.Entry{all[0], all[1], all[3]}
	var out bytes.Buffer
	if err := printEntries(&out, &common{}, all, 80); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(out.String(), "\n"); n != 2*(len(all)+1) {
		t.Errorf("%d lines for %d records and the heads:\n%s", n, len(all), out.String())
	}
}
