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
		{text: "3/8-16", major: 9.525, pitch: 25.4 / 16},
		{text: "4-4", major: 101.6, pitch: 6.35},
		{text: "0.06-80", major: 1.524, pitch: 25.4 / 80},
		{text: "0.112-40", major: 2.8448, pitch: 25.4 / 40},
		{text: "M1x0.25", major: 1, pitch: 0.25, metric: true},
		{text: "M64x6", major: 64, pitch: 6, metric: true},
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

// TestMetricWithoutItsM: a metric thread that lacks its M would be read in inches,
// with an area up to 645 times too large: refused, with the way to write it.
func TestMetricWithoutItsM(t *testing.T) {
	for _, text := range []string{"12-1.75", "20-2.5", "6-4", "8-8", "3-0.5", "4-0.7", "2-3.9", "24x3", "10 x 1.5", "1/4-2", "1/4-3"} {
		s, err := ParseScrew(text)
		if err == nil || !strings.Contains(err.Error(), "M12x1.75") {
			t.Errorf("ParseScrew(%q) = %+v, %v, want a refusal that shows M12x1.75", text, s, err)
		}
	}
	for _, s := range []Screw{{12 * si.Inch, si.Inch / 1.75, false}, {8 * si.Inch, si.Inch / 8, false}, {2 * si.Inch, si.Inch / 3.9, false}, {12 * mmU, 3.1 * mmU, true}, {si.Inch / 2, si.Inch / 7, false}} {
		p := workedParts()["thread"]
		p.Thread.Screw = s
		if got := p.Faults(); len(got) != 1 || got[0].Key != "thread" {
			t.Errorf("%+v gives %+v, want one fault of the thread", s, got)
		}
	}
}

// TestStrengthFromWords: words that speak of less than a minimum are refused,
// and only as whole words.
func TestStrengthFromWords(t *testing.T) {
	for words, refused := range map[string]bool{
		"typ. value of data sheet": true, "data sheet (typ)": true, "Mean of three tests": true, "usual": true, "Usual strength": true,
		"AVERAGE of five": true, "nominal": true, "typically 300": true, "mittel,mean;": true,
		"mill certificate, minimum": false, "standard's minimum for this type": false, "by means of the maker's certificate": false,
		"minimum, unusually well proven": false, "typescript of the maker, minimum": false,
	} {
		p := workedParts()["weld"]
		p.StrengthFrom = words
		if got := p.Faults(); refused != (len(got) == 1 && got[0].Key == "strength_from") || !refused && len(got) > 0 {
			t.Errorf("%q gives %+v, refused should be %v", words, got, refused)
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
