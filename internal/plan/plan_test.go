package plan

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"draghand/internal/rig"
	"draghand/internal/si"
	"draghand/internal/specimen"
)

// example is the example rig with one of its limits changed; force 0: as it is.
func example(t testing.TB, link si.Force) *rig.Rig {
	t.Helper()
	r, err := rig.Parse("example", []byte(rig.Example()))
	if err != nil {
		t.Fatal(err)
	}
	for i := range r.Limits {
		if link > 0 && r.Limits[i].Name == "link bar" {
			r.Limits[i].Force = link
		}
	}
	return r
}

// Verdicts on the example rig. Source: by hand from its file. The link bar stops
// at 222.0184 bar (docs/math.md), 46.624 kN on the specimen by the best estimate
// and 41.8 cm² · 0.98 · (0.5 − 0.0022727) · 222.0184 bar = 45.267 kN at the least; it
// warns at 0.9 of both; a tenth of the gauge is 70 bar, 14.70 kN.
func TestVerdicts(t *testing.T) {
	for _, c := range []struct {
		name            string
		mm              float64
		low, high       float64 // MPa
		want            Verdict
		why             string
		part            string
		margin          float64 // by hand: 1 − σ_high · π d²/4 / 45.267 kN
		advance, stroke bool
	}{
		{"good", 12.5, 250, 330, Good, "", "link bar", 1 - 40.497/45.267, false, false},
		{"past the warning", 12.5, 250, 345, Usable, "small margin: the strongest specimen stays 6 % below where link bar may stop", "link bar", 1 - 42.338/45.267, false, false},
		{"may raise the warning", 12.5, 250, 340, Usable, "small margin: the strongest specimen stays 8 % below where link bar may stop", "link bar", 1 - 41.724/45.267, false, false},
		{"may stop early", 12.5, 250, 375, No, "link bar may come to its stop first, at 46.62 kN on the specimen, as early as 45.27 kN", "link bar", 1 - 46.019/45.267, false, false},
		{"may stop first", 12.5, 250, 390, No, "link bar may come to its stop first, at 46.62 kN on the specimen", "link bar", 1 - 47.860/45.267, false, false},
		{"stops first", 12.5, 390, 450, No, "link bar comes to its stop first", "link bar", 1 - 55.223/45.267, false, false},
		{"low in the range", 9, 230, 300, Usable, "low in the gauge's range, from 10 %", "link bar", 1 - 19.085/45.267, false, false},
		{"unsure", 6, 900, 1000, Good, "", "link bar", 1 - 28.274/45.267, false, false},
		{"coarse", 2.5, 250, 300, Usable, "coarse: 27 counts to the break", "link bar", 1 - 1.4726/45.267, false, false},
		{"the ram's stroke", 12.5, 250, 340, No, "the ram's stroke of 1.00 mm ends before the rig has sprung by 2.09 mm", "link bar", 1 - 41.724/45.267, true, true},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := example(t, 0)
			if c.advance {
				r.Drive = &rig.Drive{Kind: "hand-pump", PerStroke: 0.25e-3, Stiffness: 40e6}
			}
			if c.stroke {
				r.Ram.Stroke = 1e-3
			}
			st := OfRange(si.Stress(c.low*si.Megapascal), si.Stress(c.high*si.Megapascal), 0)
			p := For(Ask{Rig: r, Strength: st, Units: si.Metric, Diameters: []si.Length{si.Length(c.mm * si.Millimetre)}})
			s := p.Asked[0]
			if s.Verdict != c.want || !strings.Contains(strings.Join(s.Why, "; "), c.why) || (c.why == "") != (len(s.Why) == 0) {
				t.Errorf("%s: %q, want %s: %q", s.Verdict, s.Why, c.want, c.why)
			}
			if s.Part != c.part || math.Abs(s.Margin-c.margin) > 2e-4 {
				t.Errorf("%s by %v, want %s by %v", s.Part, s.Margin, c.part, c.margin)
			}
		})
	}
}

// The advice takes the largest good standard size, else the own one, else what is
// usable, else says no and by what part.
func TestAdvice(t *testing.T) {
	mpa := func(low, high float64) Strength {
		return OfRange(si.Stress(low*si.Megapascal), si.Stress(high*si.Megapascal), 0)
	}
	for _, c := range []struct {
		name    string
		link    si.Force
		st      Strength
		verdict Verdict
		take    string
		own     bool
		text    string
		change  string
	}{
		{"the largest standard", 0, mpa(250, 330), Good, "12.50 mm", false, "turn 12.50 mm round: it breaks at 30.68–40.50 kN on the specimen", ""},
		// 0.9 · 30/48 · 45.267 kN = 25.46 kN are 450 MPa on 8.49 mm.
		{"the own one", 30e3, mpa(180, 450), Usable, "8.40 mm", true, "turn 8.40 mm round, no standard's size", "a gauge whose range ends between"},
		{"none", 500, mpa(250, 340), No, "", false, "no: even 2.50 mm round, the smallest, would take 1.67 kN, and link bar comes to its stop first", "link bar that may carry 1.97 kN, not 0.50 kN"},
	} {
		t.Run(c.name, func(t *testing.T) {
			a := For(Ask{Rig: example(t, c.link), Strength: c.st, Units: si.Metric}).Advice
			if a.Verdict != c.verdict || a.Take != c.take || a.Own != c.own || !strings.HasPrefix(a.Text, c.text) || !strings.Contains(a.Change, c.change) || (c.change == "") != (a.Change == "") {
				t.Errorf("%+v", a)
			}
			if !slices.ContainsFunc(a.Always, func(s string) bool { return strings.HasPrefix(s, "no known limit: pins") }) {
				t.Errorf("the part nobody knows a limit of is not named: %q", a.Always)
			}
		})
	}
}

// Where no part has a known limit nothing is good, no own size is offered, and it
// is said.
func TestNoKnownLimit(t *testing.T) {
	r := example(t, 0)
	for i := range r.Limits {
		r.Limits[i] = rig.Limit{Name: r.Limits[i].Name, Kind: rig.Unknown, Factor: 1}
	}
	p := For(Ask{Rig: r, Strength: OfRange(250e6, 340e6, 0), Units: si.Metric})
	if p.Advice.Verdict != No || p.Advice.Take != "" || !strings.Contains(p.Advice.Text, "no part of this rig has a known limit") || p.Advice.Change == "" {
		t.Errorf("advice: %+v", p.Advice)
	}
	if p.Own != nil {
		t.Error("an own size, though nothing says what the rig stands")
	}
	for _, s := range p.Sizes {
		if s.Verdict != No || !strings.Contains(strings.Join(s.Why, ";"), "no part has a known limit") {
			t.Errorf("%s: %s %q", s.Name, s.Verdict, s.Why)
		}
	}
	if p.Part == nil || !p.Part.SensorEnd {
		t.Errorf("what ends the pull: %+v, want the sensor's range", p.Part)
	}
}

// Pace by hand: 10,000 psi/min on 12.5 mm is 1.149125 MPa/s · 122.718 mm² = 141.02
// N/s on the specimen, 282.04 N/s on the ram, 67,152 Pa/s at the gauge, 40.29
// bar/min. A stroke of 0.25 mm at 40 kN/mm makes 10 kN on the ram: 1.692 a minute,
// and 340 MPa, 83.45 kN, take nine.
func TestPace(t *testing.T) {
	r := example(t, 0)
	r.Drive = &rig.Drive{Kind: "hand-pump", PerStroke: 0.25e-3, Stiffness: 40e6}
	p := For(Ask{Rig: r, Strength: OfRange(250e6, 340e6, 0), Units: si.Metric, Diameters: []si.Length{12.5e-3}})
	got := p.Asked[0].Pace
	near(t, "gauge, Pa/s", float64(got.Low), 67152, 1e-4)
	near(t, "gauge, Pa/s", float64(got.High), 671520, 1e-4)
	near(t, "strokes a minute", got.StrokesLow, 1.692, 1e-3)
	near(t, "strokes a minute", got.StrokesHigh, 16.92, 1e-3)
	near(t, "strokes", got.Strokes, 9, 0)
	near(t, "the rig springs", float64(got.Advance), 83.448e3/40e6, 1e-4)
}

// Strengths that are none are refused, each with what is wrong.
func TestStrengthValid(t *testing.T) {
	for name, c := range map[string]struct {
		s  Strength
		ok bool
	}{
		"a range":          {OfRange(250e6, 340e6, 0), true},
		"one":              {OfRange(300e6, 300e6, 0), true},
		"upper given":      {OfRange(300e6, 300e6, 310e6), true},
		"upper below":      {OfRange(250e6, 340e6, 300e6), false},
		"the wrong way":    {OfRange(340e6, 250e6, 0), false},
		"nothing":          {Strength{}, false},
		"psi taken for Pa": {OfRange(40e3, 50e3, 0), false},
		"no number":        {OfRange(si.Stress(math.NaN()), 340e6, 0), false},
	} {
		if err := c.s.Valid(); (err == nil) != c.ok {
			t.Errorf("%s: %v", name, err)
		}
	}
	if s := OfRange(300e6, 300e6, 0); s.Upper != 360e6 {
		t.Errorf("one strength is held with %v, want 1.2 of it", s.Upper)
	}
}

// Every alloy of the table can be planned with, and the plan names itself the same
// in words and JSON.
func TestEveryAlloy(t *testing.T) {
	r, table := example(t, 0), specimen.Alloys()
	for _, a := range table {
		s, ok := OfAlloy(table, a.Name)
		if !ok {
			t.Errorf("%s has no strength", a.Name)
			continue
		}
		if err := s.Valid(); err != nil {
			t.Errorf("%s: %v", a.Name, err)
		}
		p := For(Ask{Rig: r, Strength: s, Units: si.US, Alloys: table})
		text := strings.Join(p.Lines(), " ")
		b, err := json.Marshal(p)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(text, p.Part.Name) || !strings.Contains(string(b), `"name":"`+p.Part.Name+`"`) {
			t.Errorf("%s: the part is not named", a.Name)
		}
		grey := slices.ContainsFunc(p.Sizes, func(s Size) bool { return strings.Contains(s.Source, "A48 (grey iron), bar C") })
		if grey != strings.Contains(a.Name, "grey iron") {
			t.Errorf("%s: bars of grey iron: %v", a.Name, grey)
		}
	}
}

func BenchmarkFor(b *testing.B) {
	r, table := example(b, 0), specimen.Alloys()
	s, _ := OfAlloy(table, "C90500")
	for b.Loop() {
		For(Ask{Rig: r, Strength: s, Units: si.US, Alloys: table})
	}
}
