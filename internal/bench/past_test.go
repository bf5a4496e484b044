package bench

import (
	"strings"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// A specimen that may outlast a part is refused by that part's name, and may be
// overruled; the alloy alone is a caution. Source: by hand, 12.5 mm are 122.72
// mm²; the example's link bar, 48 kN a side, stops at 222.0184 bar (docs/math.md),
// which is 0.5 · 42.0 cm² · 222.0184 bar = 46.62 kN on the specimen.
func TestExpectedBreakPastAStop(t *testing.T) {
	bar := specimen.Specimen{Diameters: []si.Length{12.5e-3}}
	for _, c := range []struct {
		name      string
		low, high si.Stress
		alloy     string
		kind      pull.Kind
		refused   string // empty: not
		caution   string
	}{
		{"below", 275e6, 345e6, "C90500", pull.Tension, "", ""},
		{"just below", 300e6, 379.9e6, "", pull.Tension, "", ""},
		{"may be past", 300e6, 380.1e6, "", pull.Tension, "36.82–46.65 kN may be past the stop of link bar (48.00 kN on each side), 46.62 kN on the specimen", ""},
		{"is past", 400e6, 500e6, "", pull.Tension, "49.09–61.36 kN is past the stop of link bar", ""},
		{"nobody expects anything", 0, 0, "", pull.Tension, "", ""},
		{"a strong alloy", 0, 0, "C95400", pull.Tension, "", "past the stop of link bar (48.00 kN on each side), 46.62 kN on the specimen"},
		{"a weak alloy", 0, 0, "319.0", pull.Tension, "", ""},
		{"not pulled", 400e6, 500e6, "", pull.Proof, "", ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			m := &moment{rig: exampleRig(t), units: si.Metric, setup: Setup{Kind: c.kind, Bar: bar}}
			m.setup.Bar.ExpectLow, m.setup.Bar.ExpectHigh, m.setup.Bar.Alloy = c.low, c.high, c.alloy
			if c.high == 0 {
				(&form{alloys: specimen.Alloys()}).fromTable(&m.setup)
			}
			refused := ""
			for _, r := range m.refusals() {
				if strings.Contains(r.What, "past the stop") {
					if r.Final {
						t.Error("it is final: a person may know better")
					}
					refused = r.What
				}
			}
			if (refused == "") != (c.refused == "") || !strings.Contains(refused, c.refused) {
				t.Errorf("refused: %q, want %q", refused, c.refused)
			}
			caution := strings.Join(m.cautions(), "; ")
			if (caution == "") != (c.caution == "") || !strings.Contains(caution, c.caution) {
				t.Errorf("cautions: %q, want %q", caution, c.caution)
			}
		})
	}
}
