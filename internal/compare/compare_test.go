package compare_test

import (
	"math"
	"strings"
	"testing"

	"draghand/internal/compare"
	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// bars are real ones of a melt, of one rig and calibration, that count. Strengths in ksi.
func bars(melt string, ksi ...float64) []compare.Pull {
	var out []compare.Pull
	for i, v := range ksi {
		id := melt + "-" + string(rune('1'+i))
		out = append(out, compare.Pull{
			Record: "rec-" + id, Dir: "shelf/rec-" + id, Bar: id, Melt: melt, Alloy: "C90500", Kind: pull.Tension,
			Diameter: 12.5 * si.Millimetre, Area: 122.718e-6, Strength: si.Stress(v * si.KSI), U: 0.5 * si.KSI, Common: 0.34 * si.KSI,
			CommonBy: "rig one, cal a", RigName: "one", Counts: strength.Counts,
		})
	}
	return out
}

func TestWorked(t *testing.T) {
	// checks.md 7.2, constructed: 44.1 45.3 43.8 46.0 44.9 ksi.
	c := compare.Of(bars("M1", 44.1, 45.3, 43.8, 46.0, 44.9), compare.By{Field: compare.ByMelt}, compare.NewOptions())
	for _, l := range c.Lines(si.US) {
		t.Log(l)
	}
	for _, l := range c.Dots(si.US, 78) {
		t.Log(l)
	}
	g := &c.Groups[0]
	near(t, "bound", float64(g.Bound.At)/si.KSI, 41.778733, 1e-6)
	near(t, "count on", float64(g.CountOn.Strength)/si.KSI, 41.778733-0.68, 1e-6)
	if !strings.Contains(strings.Join(c.Lines(si.US), "\n"), "Count on 41.0 ksi") {
		t.Error("no count on")
	}
}

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %v, want %v ± %v", what, got, want, tol)
	}
}
