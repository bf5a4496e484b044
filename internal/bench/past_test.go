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
// which is 0.5 · 42.0 cm² · 222.0184 bar = 46.62 kN on the specimen and 41.8 cm² · 0.98 ·
// (0.5 − 0.0022727) · 222.0184 bar = 45.27 kN at the least, 368.87 MPa.
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
		{"just below", 300e6, 368.8e6, "", pull.Tension, "", ""},
		{"may be past early", 300e6, 369e6, "", pull.Tension, "link bar may come to its stop first, at 46.62 kN on the specimen: it may carry 48.00 kN on each side, the break is expected at 36.82–45.28 kN; by what area, friction and share may be off, that may be as early as 45.27 kN", ""},
		{"one figure", 350e6, 350e6, "", pull.Tension, "link bar may come to its stop first, at 46.62 kN on the specimen: it may carry 48.00 kN on each side, the break is expected at 42.95 kN, at the most at 51.54 kN (1.2 of one figure)", ""},
		{"one low figure", 300e6, 300e6, "", pull.Tension, "", ""},
		{"may be past", 300e6, 380.1e6, "", pull.Tension, "link bar may come to its stop first, at 46.62 kN on the specimen: it may carry 48.00 kN on each side, the break is expected at 36.82–46.65 kN", ""},
		{"is past", 400e6, 500e6, "", pull.Tension, "link bar comes to its stop first, at 46.62 kN on the specimen: it may carry 48.00 kN on each side, the break is expected at 49.09–61.36 kN", ""},
		{"nobody expects anything", 0, 0, "", pull.Tension, "", ""},
		{"a strong alloy", 0, 0, "C95400", pull.Tension, "", "by the table of alloys link bar comes to its stop first, at 46.62 kN on the specimen: it may carry 48.00 kN on each side"},
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
				if strings.Contains(r.What, "first, at") {
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

// A specimen that outlasts the sensor's range is refused too: from there on nobody
// sees the force. By hand: 100 bar of 42.0 cm², half of it, are 21.00 kN.
func TestExpectedBreakPastTheSensor(t *testing.T) {
	r := exampleRig(t)
	r.Sensor.High = 100e5
	r.Sensor.Bits = 0 // no converter that is full before
	m := &moment{rig: r, units: si.Metric, setup: Setup{Kind: pull.Tension, Bar: specimen.Specimen{
		Diameters: []si.Length{12.5e-3}, ExpectLow: 150e6, ExpectHigh: 200e6,
	}}}
	if got, want := whats(m.refusals()), "the sensor's range may end first, at 21.00 kN on the specimen: it may read 100.0 bar at the gauge, the break is expected at 18.41–24.54 kN"; !strings.Contains(got, want) {
		t.Errorf("refused: %q, want %q", got, want)
	}
}
