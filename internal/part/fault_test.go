package part

import (
	"math"
	"slices"
	"strings"
	"testing"

	"draghand/internal/si"
)

// TestFaults: what is impossible is refused under its key.
func TestFaults(t *testing.T) {
	tests := []struct {
		name, part string
		spoil      func(*Part)
		key, why   string
	}{
		{"no part", "weld", func(p *Part) { p.Weld = nil }, "kind", "0 kinds"},
		{"two parts", "weld", func(p *Part) { p.Pin = &Pin{} }, "kind", "2 kinds"},
		{"strength from nowhere", "weld", func(p *Part) { p.StrengthFrom = " " }, "strength_from", "empty"},
		{"typical strength", "weld", func(p *Part) { p.StrengthFrom = "Typical of the alloy" }, "strength_from", "typical"},
		{"pin of no diameter", "pin double", func(p *Part) { p.Pin.Diameter = 0 }, "diameter", "not between"},
		{"pin in three planes", "pin double", func(p *Part) { p.Pin.Planes = 3 }, "shear", "neither"},
		{"negative gap", "pin double", func(p *Part) { p.Pin.Gap = -1 * mmU }, "gap", "no gap"},
		{"shear yield above the yield", "pin double", func(p *Part) { p.Pin.ShearYield = 400 * mpaU }, "min_shear_yield", "above the yield"},
		{"arm of nothing", "bar round", func(p *Part) { p.Bar.Arm = 0 }, "arm", "not between"},
		{"NaN arm", "bar round", func(p *Part) { p.Bar.OtherArm = si.Length(math.NaN()) }, "other_arm", "not between"},
		{"wall over the radius", "bar tube", func(p *Part) { p.Bar.Wall = 35 * mmU }, "wall", "half the diameter"},
		{"height of a round bar", "bar round", func(p *Part) { p.Bar.Height = 5 * mmU }, "height", "does not belong"},
		{"section of nothing", "bar round", func(p *Part) { p.Bar.Section = "oval" }, "section", "not known"},
		{"support as wide as the span", "bar round", func(p *Part) { p.Bar.SupportWidth = 220 * mmU }, "support_width", "loads"},
		{"modulus of rubber", "bar round", func(p *Part) { p.Bar.Modulus = 1 * mpaU }, "modulus", "no metal"},
		{"strength of a slipped unit", "bar round", func(p *Part) { p.Bar.Yield = 355 }, "min_yield", "not between"},
		{"thread coarser than itself", "thread", func(p *Part) { p.Thread.Screw.Pitch = 15 * mmU }, "thread", "pitch"},
		{"thread without an engagement", "thread", func(p *Part) { p.Thread.Engagement = 0 }, "engagement", "not between"},
		{"weld of four legs", "weld", func(p *Part) { p.Weld.Length = 20 * mmU }, "length", "four legs"},
		{"threaded end with a hole", "end thread", func(p *Part) { p.End.Hole = 5 * mmU }, "grip", "cross-hole"},
		{"threaded end without one", "end thread", func(p *Part) { p.End.Screw = nil }, "thread", "missing"},
		{"hole wider than the end", "end round", func(p *Part) { p.End.Hole = 26 * mmU }, "hole", "not smaller"},
		{"pin larger than the hole", "end round", func(p *Part) { p.End.Pin = 13 * mmU }, "pin", "does not go into"},
		{"hole over the end", "end round", func(p *Part) { p.End.EndDistance = 6 * mmU }, "end_distance", "leaves nothing"},
		{"yield above the ultimate", "end round", func(p *Part) { p.End.Yield = 300 * mpaU }, "min_yield", "above the ultimate"},
		{"round end with a width", "end round", func(p *Part) { p.End.Width = 30 * mmU }, "section", "width"},
		{"end held by nothing", "end round", func(p *Part) { p.End.Grip = "glue" }, "grip", "not known"},
		{"cross-hole with a thread", "end round", func(p *Part) { p.End.Engagement = 5 * mmU }, "grip", "thread"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			p := workedParts()[tt.part]
			tt.spoil(&p)
			got := p.Faults()
			i := slices.IndexFunc(got, func(f Fault) bool { return f.Key == tt.key })
			if i < 0 || !strings.Contains(got[i].Why, tt.why) || got[i].Want == "" {
				t.Errorf("Faults = %+v, want %s: … %s …", got, tt.key, tt.why)
			}
		})
	}
}

func TestParseScrew(t *testing.T) {
	for _, tt := range []struct {
		text         string
		major, pitch float64 // mm
		metric, bad  bool
	}{
		{text: "M20x2.5", major: 20, pitch: 2.5, metric: true},
		{text: " M 12 × 1.75 ", major: 12, pitch: 1.75, metric: true},
		{text: "3/4-10", major: 19.05, pitch: 2.54},
		{text: "1 1/4-7 UNC", major: 31.75, pitch: 25.4 / 7},
		{text: "0.5-13UNF", major: 12.7, pitch: 25.4 / 13},
		{text: "M20", bad: true},
		{text: "20x2.5", bad: true},
		{text: "3/4", bad: true},
		{text: "3/0-10", bad: true},
		{text: "3/4-0", bad: true},
		{text: "-3/4-10", bad: true},
		{text: "M-20x2", bad: true},
		{text: "M1e9x1", bad: true},
		{text: "", bad: true},
	} {
		s, err := ParseScrew(tt.text)
		switch {
		case tt.bad != (err != nil):
			t.Errorf("ParseScrew(%q) = %+v, %v", tt.text, s, err)
		case !tt.bad && (!near(float64(s.Major)/mmU, tt.major, 1e-12) || !near(float64(s.Pitch)/mmU, tt.pitch, 1e-12) || s.Metric != tt.metric):
			t.Errorf("ParseScrew(%q) = %+v, want %v by %v mm", tt.text, s, tt.major, tt.pitch)
		}
	}
}

// A thread is shown as it is written.
func TestScrewWords(t *testing.T) {
	for _, text := range []string{"M20x2.5", "M12x1.75", "3/4-10", "1 1/4-7", "7/16-14", "1-8", "0.19-32"} {
		s, err := ParseScrew(text)
		if got := s.words(); err != nil || got != text {
			t.Errorf("%q is shown as %q, %v", text, got, err)
		}
	}
}

// FuzzParseScrew: what is read has two finite lengths that are not negative.
func FuzzParseScrew(f *testing.F) {
	for _, s := range []string{"M20x2.5", "3/4-10", "1 1/4-7 UNC", "M", "-", "/-/", "0.5-13"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		s, err := ParseScrew(text)
		if err != nil {
			return
		}
		for _, v := range []si.Length{s.Major, s.Pitch} {
			if !(v >= 0) || math.IsInf(float64(v), 0) {
				t.Errorf("ParseScrew(%q) = %+v", text, s)
			}
		}
	})
}
