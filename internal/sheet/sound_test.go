package sheet

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// What can be read and cannot be meant is refused: a peak from it would look like
// any other.
func TestUnsoundTables(t *testing.T) {
	one := func(from int, step, scale float64) string {
		var b strings.Builder
		for i := range 60 {
			fmt.Fprintf(&b, "%g;%g\n", float64(from)+step*float64(i), scale*float64(i))
		}
		return b.String()
	}
	const head = "Time [s];Load [kN]\n"
	clock := "Time;Load [kN]\n"
	for i := range 60 { // 12:59:30 … 12:59:59, 1:00:00 …
		s := 12*3600 + 59*60 + 30 + i
		if s >= 13*3600 {
			s -= 12 * 3600
		}
		clock += fmt.Sprintf("%d:%02d:%02d;%d\n", s/3600, s/60%60, s%60, i)
	}
	halves := func(end string) string {
		out := "Time;Load [kN]\n"
		for i := range 20 {
			out += fmt.Sprintf("12:00:%02d%s;%d\n", i, end, i)
		}
		return out
	}
	for _, c := range []struct {
		name, text, says string
		usage            bool
	}{
		{"runs backwards", head + one(60, -1, 1), "59 of 60 rows", true},
		{"two tests in one file", head + one(0, 1, 1) + "\nSpecimen 2\n" + head + one(0, 1, 1.2), "two tests in one file", true},
		{"runs backwards, two rows", head + "1;1\n0;2\n", "1 of 2 rows", true},
		{"a clock of twelve hours", clock, "line 32: the clock goes back by about twelve hours", true},
		{"a clock of twelve hours, at the last row", clock[:strings.Index(clock, "1:00:01")], "a clock of twelve hours", true},
		{"a clock of twelve hours, with dates", "Time;Load [kN]\n2026-11-25 12:59:59;1\n2026-11-25 1:00:00;2\n", "a clock of twelve hours", true},
		{"AM and PM", halves(" PM"), "AM and PM are not read", true},
		{"AM and PM, written small", halves(" p.m."), "AM and PM are not read", true},
		{"AM and PM, with dates", strings.ReplaceAll(halves("PM"), "12:", "11/25/2026 12:"), "AM and PM are not read", true},
		{"times beyond the calendar", head + one(0, 1e15, 1), "the times are impossible", true},
		{"times beyond the calendar, both ways", head + "-9e9;1\n9e9;2\n", "the times are impossible", true},
		{"times beyond any test", head + one(0, 1e8, 1), "the times are impossible", true},
		{"most rows are no numbers", head + strings.Repeat("1;x2y\n", 40) + one(0, 1, 1)[:60], "rows cannot be used", false},
	} {
		tab, err := Read([]byte(c.text), Options{Decimal: "point"})
		var e *Error
		if !errors.As(err, &e) || !strings.Contains(e.What, c.says) || e.Usage != c.usage {
			t.Errorf("%s: %v (%d rows), want it refused with %q", c.name, err, len(rowsOf(tab)), c.says)
		}
	}
	if _, err := Read([]byte("Load [kN]\n1\n2\n3\n"), Options{Rate: 1e-12}); err == nil || !strings.Contains(err.Error(), "impossible") {
		t.Errorf("a rate of one row in ages: %v", err)
	}
	// A clock set back once is said, and kept.
	tab, err := Read([]byte(head+one(0, 1, 1)+one(59, 1, 1)), Options{})
	if err != nil || len(tab.Rows) != 120 {
		t.Errorf("a repeated time: %v", err)
	}
}

func rowsOf(t *Table) []Row {
	if t == nil {
		return nil
	}
	return t.Rows
}
