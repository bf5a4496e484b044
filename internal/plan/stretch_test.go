package plan

import (
	"slices"
	"strings"
	"testing"

	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// The ram's stroke is held against what the rig springs and what the bar stretches.
// Source: by hand. 12.5 mm of 250 to 330 MPa take 80.99 kN on the ram, 2.025 mm at
// 40 kN/mm; an elongation of 20 % on 50 mm is 10 mm, 5 mm at the ram with half of
// the force on the bar, 10 mm on a path of which the arms are not known.
func TestRamStroke(t *testing.T) {
	metal := specimen.Table{
		{Name: "soft", Basis: specimen.Minimum, UTSLow: 250e6, UTSHigh: 250e6, ElongationLow: 20, ElongationHigh: 20},
		{Name: "unsaid", Basis: specimen.Minimum, UTSLow: 250e6, UTSHigh: 250e6},
	}
	for _, c := range []struct {
		name, alloy string
		stroke      float64 // mm
		path        rig.PathKind
		want        Verdict
		why         string
	}{
		{"long enough", "soft", 7.1, rig.TwoSided, Good, ""},
		{"the bar takes it", "soft", 7.0, rig.TwoSided, Usable, "the ram's stroke of 7.00 mm may end first: the rig springs by 2.02 mm, and the bar, stretching by 20 % on 50.00 mm, takes 5.00 mm"},
		{"arms not known", "soft", 12.0, rig.Fixed, Usable, "takes 10.00 mm"},
		{"arms not known, long", "soft", 12.1, rig.Fixed, Good, ""},
		{"the rig alone takes it", "soft", 2.0, rig.TwoSided, No, "the ram's stroke of 2.00 mm ends before the rig has sprung by 2.02 mm"},
		{"no elongation known", "unsaid", 2.1, rig.TwoSided, Good, ""},
		{"no stroke stated", "soft", 0, rig.TwoSided, Good, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := example(t, 0)
			r.Drive = &rig.Drive{Kind: "hand-pump", PerStroke: 0.25e-3, Stiffness: 40e6}
			r.Ram.Stroke, r.Path.Kind = si.Length(c.stroke*si.Millimetre), c.path
			st := OfRange(250e6, 330e6, 0)
			st.Name = c.alloy
			p := For(Ask{Rig: r, Strength: st, Units: si.Metric, Alloys: metal, Diameters: []si.Length{12.5e-3}})
			s := p.Asked[0]
			if s.Verdict != c.want || !strings.Contains(strings.Join(s.Why, "; "), c.why) {
				t.Errorf("%s: %q, want %s: %q", s.Verdict, s.Why, c.want, c.why)
			}
			if c.want == Usable && !strings.Contains(newReckoner(Ask{Rig: r, Strength: st, Units: si.Metric, Alloys: metal}).change(&s), "a ram whose stroke is longer than ") {
				t.Error("no word of a longer ram")
			}
			told := slices.ContainsFunc(p.Advice.Always, func(s string) bool { return strings.Contains(s, "how far this metal stretches is not known") })
			if told != (c.alloy == "unsaid") {
				t.Errorf("told: %q", p.Advice.Always)
			}
		})
	}
}

// A size that was asked for and stands in the list already is no second row.
func TestEachSizeOnce(t *testing.T) {
	r, st := example(t, 0), OfRange(250e6, 330e6, 0)
	plain := For(Ask{Rig: r, Strength: st, Units: si.Metric})
	p := For(Ask{Rig: r, Strength: st, Units: si.Metric, Diameters: []si.Length{12.5e-3, 11e-3, 11e-3}})
	if got, want := len(p.All()), len(plain.All())+1; got != want || len(p.Asked) != 3 {
		t.Errorf("%d rows, want %d; %d asked", got, want, len(p.Asked))
	}
	if n := strings.Count(strings.Join(p.Lines(), "\n"), "\n12.50 mm"); n != strings.Count(strings.Join(plain.Lines(), "\n"), "\n12.50 mm") {
		t.Errorf("12.50 mm stands in %d lines", n)
	}
}
