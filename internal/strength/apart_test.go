package strength_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/si"
	"draghand/internal/specimen"
	"draghand/internal/strength"
)

func told(r strength.Results, words string) bool {
	return slices.ContainsFunc(r.Remarks, func(m string) bool { return strings.Contains(m, words) })
}

// What the readings missed is in the uncertainty, and from 0.2 % of the peak on a
// remark. By hand: 50 N of 25 kN are 0.2 %, and from 0 to 50 N is 50/√3 N on 100 mm².
func TestApartIsTold(t *testing.T) {
	for most, want := range map[si.Force]bool{0: false, 49: false, 50.1: true} {
		p := sound(t)
		p.State.Apart = pull.Apart{Most: most}
		r := strength.From(p)
		if told(r, "rose between the readings") != want {
			t.Errorf("%v: %q", most, r.Remarks)
		}
		got := 0.0
		for _, l := range r.Budget.Lines {
			if l.Of == "readings apart" {
				got = l.UPa
			}
		}
		if u := float64(most) / math.Sqrt(3) / 100e-6; math.Abs(got-u) > 1e-6*u {
			t.Errorf("%v: u %v, want %v", most, got, u)
		}
	}
}

// A bar that broke in the grip bore at least that: no strength is given, none is
// rounded, and it never fails.
func TestInTheGrip(t *testing.T) {
	p := sound(t)
	p.After.Where, p.After.Minimum = specimen.InGrip, 900*si.Megapascal
	r := strength.From(p)
	if r.StrengthPa != nil || r.StrengthAtLeastPa == nil || math.Abs(*r.StrengthAtLeastPa/250e6-1) > 1e-9 || r.Rounded != nil {
		t.Errorf("strength %v, at least %v, rounded %+v", r.StrengthPa, r.StrengthAtLeastPa, r.Rounded)
	}
	if r.Verdict == nil || r.Verdict.Says != strength.CannotTell {
		t.Errorf("verdict %+v", r.Verdict)
	}
	if text := strings.Join(r.Lines(si.Metric, p.Bar), "\n"); !strings.Contains(text, "strength   at least 250 MPa ± ") || !strings.Contains(text, ": it broke in the grip") {
		t.Error(text)
	}
}

// Of a dial nobody says how closely it was read: no ± is stated, no verdict given, and
// that is told. With a ± it has both.
func TestReadByEye(t *testing.T) {
	for limit, want := range map[si.Force]bool{0: false, 300: true} {
		p := sound(t)
		p.State.Eye, p.State.Readings, p.State.Zero, p.After.Minimum = &pull.Eye{Error: limit}, 0, pull.Zero{}, 100*si.Megapascal
		r := strength.From(p)
		if (r.Budget != nil) != want || (r.Verdict != nil) != want || told(r, "how closely the dial can be read") == want {
			t.Errorf("± %v: budget %v, verdict %v, remarks %q", limit, r.Budget != nil, r.Verdict, r.Remarks)
		}
		if !told(r, "the pace is not known") {
			t.Errorf("remarks %q", r.Remarks)
		}
	}
}
