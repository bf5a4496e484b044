package tui

import (
	"strings"
	"testing"
)

// drawn is a text in figures, row by row.
func drawn(s string, size int) []string {
	w, h := figureSize(s, size)
	var p plate
	p.reset(w, h)
	p.figures(0, 0, s, size, plain)
	rows := strings.Split(p.frame(&theme{}), "\n")
	for i, r := range rows {
		rows[i] = r + strings.Repeat(" ", w-len([]rune(r)))
	}
	return rows
}

// TestThousandsAreNoDecimals: thousands stand apart by a gap, wider than the
// one between two figures, and carry no mark at all: any mark between figures
// is the decimal point. Source: 7,891 lbf and 7.891 kN must not be taken for
// each other across a shop; ISO 80000-1 parts groups of three by a small space,
// never by a point or a comma (from memory).
func TestThousandsAreNoDecimals(t *testing.T) {
	for size := 1; size <= 5; size++ {
		lone, _ := figureSize("7", size)
		end := lone + 2 + size // a gap, the place of the mark, a gap
		between := func(s string) string {
			all := ""
			for _, row := range drawn(s, size) {
				all += string([]rune(row)[lone:end])
			}
			return strings.TrimSpace(all)
		}
		if got := between("7,891"); got != "" {
			t.Errorf("size %d: %q stands between the thousands:\n%s", size, got, strings.Join(drawn("7,891", size), "\n"))
		}
		if between("7.891") == "" {
			t.Errorf("size %d: no decimal point:\n%s", size, strings.Join(drawn("7.891", size), "\n"))
		}
	}
}
