package tui

import (
	"strings"
	"testing"

	"github.com/muesli/termenv"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// Every verdict goes by the level that is set: 5 %, then 1 %, then 10 %. The p are those
// of internal/compare/testdata/figures.json, by scipy: 0.026 of two groups, 0.076 of
// three; and 0.041 of the spread, by its anderson for 298.0 304.0 295.4 297.1 309.1
// 296.2 314.3 296.9.
func TestCompareLevels(t *testing.T) {
	two := joined(
		comparePulls("M1", "C90500", 309.2, 314.1, 305.3, 311.8, 317.4, 302.6, 312.9, 308.5, 294.1),
		comparePulls("M2", "C90500", 297.5, 302.9, 293.2, 295.9, 308.1, 295.0, 312.3, 295.7))
	three := joined(
		comparePulls("M1", "C90500", 309.2, 314.1, 305.3, 311.8, 317.4),
		comparePulls("M2", "C90500", 306.9, 301.3, 308.2, 311.0, 299.7, 304.4),
		comparePulls("M3", "C90500", 309.9, 305.1, 313.3, 308.0, 316.6, 310.2, 304.5))
	bent := comparePulls("M1", "C90500", 298.0, 304.0, 295.4, 297.1, 309.1, 296.2, 314.3, 296.9)
	for name, row := range map[string]struct {
		of          compareState
		says        func(m *CompareScreen) string
		yes, no     string
		at5, at1, a bool // whether yes is said, at 10 % last
	}{
		"two":   {compareOf(two, compare.ByMelt), func(m *CompareScreen) string { return m.differenceText() }, "M1 AND M2 DIFFER: …, p 0.026)", "NOT SETTLED whether M1 and M2 differ: …, p 0.026)", true, false, true},
		"three": {compareOf(three, compare.ByMelt), func(m *CompareScreen) string { return m.analysisText() }, "THE 3 GROUPS ARE NOT ALL ALIKE (which of them, the test does not tell): …, p 0.076)", "NOT SETTLED whether the 3 groups differ: …, p 0.076)", false, false, true},
		"bent":  {compareOf(bent, compare.ByMelt), func(m *CompareScreen) string { return m.bellText(m.group()) }, "NOT ONE, p 0.041", "nothing speaks against one, p 0.041", true, false, true},
	} {
		m := row.of(120, 40, termenv.Ascii)
		for i, said := range []bool{row.at5, row.at1, row.a} {
			want := map[bool]string{true: row.yes, false: row.no}[said]
			got := row.says(&m)
			for part := range strings.SplitSeq(want, "…") {
				if !strings.Contains(got, part) {
					t.Errorf("%s, level %d: %q, want %q", name, i, got, want)
				}
			}
			m = compareSend(m, keyNamed("l"))
		}
	}
}

// A bar that is just the minimum is not under it.
func TestCompareJustTheMinimum(t *testing.T) {
	m := compareOf(comparePulls("M1", "C90500", meltOne...), compare.ByMelt)(120, 40, termenv.Ascii)
	m.c.Options.Minimum, m.units = 305*si.Megapascal, si.Metric // of 302 305 308 309 311 312 314 317
	if got := m.underText(m.group()); got != "1 of 8 lies under 305 MPa: M1-6" {
		t.Errorf("%q", got)
	}
}
