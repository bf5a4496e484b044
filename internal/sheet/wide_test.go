package sheet

import (
	"errors"
	"strings"
	"testing"
	"time"
)

// What nobody's instrument writes is refused or left out, in words and soon: a
// file of the size of a long pull must not hold the program for long.
func TestWideAndLong(t *testing.T) {
	const n = 10_000_000
	const head = "Time (s),Load (kN)\n"
	row := strings.Repeat("1,", 1_000_000) + "1\n"
	for _, c := range []struct {
		name, text, says string // of the refusal; of the bad row where there are rows
		rows             int
	}{
		{"a million columns", row + row + row, "more than 1000 columns", 0},
		{"a million columns under names", "Time (s),Load (kN)," + strings.Repeat("a,", 999_998) + "a\n" + row + row, "more than 1000 columns", 0},
		{"a million names", strings.Repeat("a,", 1_000_000) + "a\n1,2\n2,3\n", "more than 1000 columns", 0},
		{"a line of cells", strings.Repeat("1,", n/2), "longer than", 0},
		{"a line of words", strings.Repeat("a,1 ", n/4), "longer than", 0},
		{"a line of blanks", strings.Repeat(" ", n), "longer than", 0},
		{"a line of digits", strings.Repeat("1", n), "longer than", 0},
		{"digits amid rows", head + "1,2\n2," + strings.Repeat("3", n) + "\n3,4\n", "longer than", 2},
		{"quotes amid rows", head + "1,2\n" + strings.Repeat(`x " `, n/4) + "\n3,4\n", "longer than", 2},
		{"cells amid rows", head + "1,2\n" + strings.Repeat("3,", 5000) + "\n3,4\n", "more than 1000", 2},
	} {
		start := time.Now()
		tab, err := Read([]byte(c.text), Options{})
		// Goal under 1 s on one core of a small machine; five for a busy one.
		if d := time.Since(start); d > 5*time.Second {
			t.Errorf("%s: took %v", c.name, d)
		}
		if c.rows == 0 {
			var e *Error
			if !errors.As(err, &e) || !strings.Contains(e.What, c.says) || e.Usage {
				t.Errorf("%s: %v, want it refused with %q", c.name, err, c.says)
			}
			continue
		}
		if err != nil || len(tab.Rows) != c.rows || tab.BadRows.Count != 1 || !strings.Contains(tab.BadRows.First[0].Why, c.says) {
			t.Errorf("%s: %v, %d rows, want %d and one bad", c.name, err, len(rowsOf(tab)), c.rows)
		}
	}
	_, err := Read([]byte("x\n"+row), Options{SkipLines: 1})
	if err == nil || !strings.Contains(err.Error(), "line 2: ") {
		t.Errorf("behind a line skipped: %v", err)
	}
	// Columns that are empty to the end of the line are none.
	tab, err := Read([]byte("Time (s),Load (kN)"+strings.Repeat(",", 16000)+"\n1,2"+strings.Repeat(",", 16000)+"\n"), Options{})
	if err != nil || len(tab.Rows) != 1 || len(tab.Columns) != 2 {
		t.Errorf("empty columns: %v", err)
	}
	// As many as are allowed are read.
	many := strings.Repeat(",1", MaxColumns-2) + "\n"
	tab, err = Read([]byte("1,2"+many+"2,3"+many), Options{Separator: ",", Columns: map[Role]string{Time: "1", Force: "2"}, Units: map[Role]string{Time: "s", Force: "kN"}})
	if err != nil || len(tab.Rows) != 2 || len(tab.Columns) != MaxColumns {
		t.Errorf("%d columns: %v", MaxColumns, err)
	}
}
