package rig

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"draghand/internal/si"
)

// twoSided is a rig with two arms in millimetres, and what else its path says.
func twoSided(near, far float64, more string) string {
	return file(tables{
		"path": fmt.Sprintf("kind = \"two-sided\"\nspecimen_arm = \"%g mm ± 0.5 mm\"\nfar_arm = \"%g mm ± 0.5 mm\"\n%s", near, far, more),
		"limits": `[[limit]]
name = "pull rod"
kind = "rated"
at = "specimen"
force = "40 kN"
[[limit]]
name = "link"
kind = "rated"
at = "far"
force = "40 kN"
`,
	})
}

// Worked by hand: arms of 80 and 120 mm give 120/200 = 0.6 to the near side, so
// 100 bar on 10 cm² = 10 kN put 6 kN on a bar in its own place, 4 kN on one in
// the far side's.
func TestBarOnTheFarSide(t *testing.T) {
	r := mustParse(t, twoSided(80, 120, `bearing = "ball"`))
	swapped := r.BarOn(true)
	for _, c := range []struct {
		r    *Rig
		want float64
	}{{r, 6000}, {swapped, 4000}, {swapped.BarOn(false), 6000}, {swapped.BarOn(true), 4000}} {
		if got := float64(c.r.Chain().Specimen(100 * si.Bar)); !near(got, c.want, 1e-12) {
			t.Errorf("bar far %v: %g N, want %g N", c.r.Path.BarFar, got, c.want)
		}
		if p := c.r.Chain().PressureForSpecimen(si.Force(c.want)); !near(float64(p), 100*si.Bar, 1e-12) {
			t.Errorf("bar far %v: %g Pa for it", c.r.Path.BarFar, float64(p))
		}
	}
	if r.Path.BarFar || swapped.Path.Share != r.Path.Share {
		t.Error("the rig itself was changed")
	}
	if err := swapped.Validate(); err != nil {
		t.Error(err)
	}
}

// A limit is of a place of the rig and stays there: while the bar is in its own
// place the pull rod carries 0.6 of the ram's force and the link 0.4. With the
// bar on the far side either may have been carried over, so both count with the
// larger, and no limit is ever reached later than before.
func TestLimitsWithTheBarOnTheFarSide(t *testing.T) {
	r := mustParse(t, twoSided(80, 120, `bearing = "ball"`))
	most := 120.5 / (79.5 + 120.5) // share at the ends of the arms' limits of error
	least := 1 - 119.5/(80.5+119.5)
	for i, want := range []float64{most, least} {
		if got := r.Bounds()[i].gain / 1e-3; !near(got, want, 1e-9) { // 10 cm², no friction
			t.Errorf("%s carries %g of the ram, want %g", r.Limits[i].Name, got, want)
		}
		if got := r.BarOn(true).Bounds()[i].gain / 1e-3; !near(got, most, 1e-9) {
			t.Errorf("%s carries %g of the ram with the bar on the far side, want %g", r.Limits[i].Name, got, most)
		}
	}
}

func TestSwappingNeverMovesALimitAway(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		arm := rapid.Float64Range(50, 300)
		r, err := Parse("t", []byte(twoSided(arm.Draw(t, "near"), arm.Draw(t, "far"), `bearing = "roller"`)))
		if err != nil {
			t.Fatal(err)
		}
		for i, b := range r.BarOn(true).Bounds() {
			if before := r.Bounds()[i]; b.PressureAt(1) > before.PressureAt(1)*(1+1e-12) {
				t.Fatalf("%s: %g Pa, before the swap %g Pa", b.Limit.Name, b.PressureAt(1), before.PressureAt(1))
			}
		}
		if s := r.Path.BarShare() + r.BarOn(true).Path.BarShare(); math.Abs(s-1) > 1e-12 {
			t.Fatalf("the sides carry %g together", s)
		}
	})
}

func TestOnlyTwoSidesCanBeSwapped(t *testing.T) {
	for name, c := range map[string]struct{ path, why string }{
		"direct": {`kind = "direct"`, "one side only"},
		"fixed":  {"kind = \"fixed\"\nshare = \"0.5 ± 0.01\"", "not stated"},
	} {
		r := mustParse(t, file(tables{"path": c.path}))
		if err := r.TakesSides(); err == nil || !strings.Contains(err.Error(), c.why) {
			t.Errorf("%s: %v", name, err)
		}
		if r.BarOn(true) != r {
			t.Errorf("%s: another rig", name)
		}
	}
	if err := mustParse(t, twoSided(110, 110, `bearing = "ball"`)).TakesSides(); err != nil {
		t.Error(err)
	}
}

// Where the bar stands is of the bar: the rig of a record never has it.
func TestBarFarIsNotWritten(t *testing.T) {
	r := mustParse(t, twoSided(80, 120, `bearing = "ball"`))
	a, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	b, err := json.Marshal(r.BarOn(true))
	if err != nil {
		t.Fatal(err)
	}
	if string(a) != string(b) {
		t.Errorf("%s\n%s", a, b)
	}
}

// A flat face of 20 mm on arms of 110 mm: 10 mm / 220 mm = 0.04545 on top of
// 0.5/220 = 0.00227 of the arms; a found share takes the place of the latter
// alone.
func TestShareFound(t *testing.T) {
	const walk = 10.0 / 220
	for name, c := range map[string]struct {
		more       string
		share, tol float64
	}{
		"arms, ball":  {`bearing = "ball"`, 0.5, 0.5 / 220},
		"arms, flat":  {"bearing = \"flat\"\nbearing_width = \"20 mm\"", 0.5, 0.5/220 + walk},
		"found, ball": {"bearing = \"ball\"\nshare_found = \"0.503 ± 0.004\"", 0.503, 0.004},
		"found, flat": {"bearing = \"flat\"\nbearing_width = \"20 mm\"\nshare_found = \"0.503 ± 0.004\"", 0.503, 0.004 + walk},
	} {
		p := mustParse(t, twoSided(110, 110, c.more)).Path
		if !near(p.Share, c.share, 1e-12) || math.Abs(p.ShareTol-c.tol) > 1e-12 {
			t.Errorf("%s: %g ± %g, want %g ± %g", name, p.Share, p.ShareTol, c.share, c.tol)
		}
		ruler, tol, ok := p.Ruler()
		if want := 0.5/220 + p.Walk(); !ok || !near(ruler, 0.5, 1e-12) || math.Abs(tol-want) > 1e-12 {
			t.Errorf("%s: the ruler says %g ± %g, want 0.5 ± %g", name, ruler, tol, want)
		}
	}
}

func TestShareFoundRefused(t *testing.T) {
	for name, c := range map[string]struct{ text, key, why string }{
		"no limit of error": {twoSided(110, 110, "bearing = \"ball\"\nshare_found = \"0.503\""), "path.share_found", "is no share"},
		"a slipped figure":  {twoSided(110, 110, "bearing = \"ball\"\nshare_found = \"0.053 ± 0.004\""), "path.share_found", "far from what the arms make"},
		"above one":         {twoSided(110, 110, "bearing = \"ball\"\nshare_found = \"1.2 ± 0.004\""), "path.share_found", "no share"},
		"wider than itself": {twoSided(110, 110, "bearing = \"ball\"\nshare_found = \"0.5 ± 0.6\""), "path.share_found", "no share"},
		"a fixed path":      {file(tables{"path": "kind = \"fixed\"\nshare = \"0.5 ± 0.01\"\nshare_found = \"0.5 ± 0.01\""}), "path.share_found", "fixed"},
		"a direct path":     {file(tables{"path": "kind = \"direct\"\nshare_found = \"0.5 ± 0.01\""}), "path.share_found", "direct"},
	} {
		_, err := Parse("t", []byte(c.text))
		if err == nil || !strings.Contains(err.Error(), c.key) || !strings.Contains(err.Error(), c.why) {
			t.Errorf("%s: %v", name, err)
		}
	}
	r := mustParse(t, twoSided(110, 110, "bearing = \"flat\"\nbearing_width = \"20 mm\"\nshare_found = \"0.503 ± 0.004\""))
	r.Path.ShareTol = 0.004 // out of a record that somebody wrote
	if err := r.Validate(); err == nil || !strings.Contains(err.Error(), "less than what a flat bearing can shift") {
		t.Errorf("%v", err)
	}
}

// rig check says in numbers what a flat bearing costs. By hand: 10/220 = 0.0455;
// 0.0455/(0.5−0.0455) = 10.0 % on the strength, 0.0455/0.5 = 9.1 % on the far side.
func TestFlatBearingIsToldInNumbers(t *testing.T) {
	for _, c := range []struct {
		more string
		want []string
		not  string
	}{
		{"bearing = \"flat\"\nbearing_width = \"20 mm\"", []string{
			"of it ± 0.0455: the flat face of 20.00 mm on arms of 110.00 mm and 110.00 mm", "half-round or ball seat leaves ± 0.0023",
			"up to 10.0 % too high", "9.1 % more than reckoned", "± 0.045 of the share, and to the unsafe side",
		}, "found"},
		{`bearing = "roller"`, []string{"from the arms; bars pulled on both sides tell it better"}, "flat"},
		{"bearing = \"ball\"\nshare_found = \"0.503 ± 0.004\"", []string{"found by bars pulled on both sides, ± 0.0040; the arms alone make 0.5000 ± 0.0023"}, "do not agree"},
		{"bearing = \"ball\"\nshare_found = \"0.530 ± 0.004\"", []string{"do not agree, 0.5300 and 0.5000"}, "flat"},
	} {
		text := mustParse(t, twoSided(110, 110, c.more)).Describe(si.Metric)
		for _, want := range c.want {
			if !strings.Contains(text, want) {
				t.Errorf("%s: %q is missing in\n%s", c.more, want, text)
			}
		}
		if strings.Contains(text, c.not) {
			t.Errorf("%s: %q stands in\n%s", c.more, c.not, text)
		}
	}
}
