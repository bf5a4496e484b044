package part

import (
	"os"
	"strings"
	"testing"

	"draghand/internal/si"
)

const (
	mmU  = si.Millimetre
	mpaU = si.Megapascal
)

// workedParts are the parts of docs/parts.md, in the dimensions given there.
func workedParts() map[string]Part {
	pin := Pin{Diameter: 25 * mmU, Planes: 2, Outer: 12 * mmU, Inner: 20 * mmU, Gap: 1 * mmU, Yield: 355 * mpaU}
	single, stated := pin, pin
	single.Planes, stated.ShearYield = 1, 200*mpaU
	rect := Bar{Section: Rectangular, Height: 60 * mmU, Width: 40 * mmU, Arm: 90 * mmU, OtherArm: 135 * mmU, Yield: 235 * mpaU, Modulus: 200e3 * mpaU}
	relieved := rect
	relieved.SupportWidth = 30 * mmU
	const from = "docs/parts.md, minimum"
	return map[string]Part{
		"pin double":      {StrengthFrom: from, Pin: &pin},
		"pin single":      {StrengthFrom: from, Pin: &single},
		"pin stated":      {StrengthFrom: from, Pin: &stated},
		"bar round":       {StrengthFrom: from, Bar: &Bar{Section: Round, Diameter: 60 * mmU, Arm: 110 * mmU, OtherArm: 110 * mmU, Yield: 355 * mpaU, Modulus: 200e3 * mpaU}},
		"bar rectangular": {StrengthFrom: from, Bar: &rect},
		"bar relieved":    {StrengthFrom: from, Bar: &relieved},
		"bar tube":        {StrengthFrom: from, Bar: &Bar{Section: Tube, Diameter: 70 * mmU, Wall: 10 * mmU, Arm: 100 * mmU, OtherArm: 100 * mmU, Yield: 355 * mpaU}},
		"weld":            {StrengthFrom: from, Weld: &Weld{Leg: 6 * mmU, Length: 120 * mmU, Filler: 480 * mpaU, Base: 235 * mpaU}},
		"thread":          {StrengthFrom: from, Thread: &Thread{Screw: Screw{20 * mmU, 2.5 * mmU, true}, Engagement: 25 * mmU, Yield: 640 * mpaU, NutYield: 235 * mpaU}},
		"end thread":      {StrengthFrom: from, End: &End{Grip: ThreadGrip, Screw: &Screw{16 * mmU, 2 * mmU, true}, Engagement: 16 * mmU, Ultimate: 275 * mpaU}},
		"end round": {StrengthFrom: from, End: &End{
			Grip: HoleGrip, Section: Round, Diameter: 25 * mmU, Hole: 12.2 * mmU, Pin: 12 * mmU, EndDistance: 22 * mmU, End: SquareEnd,
			Yield: 125 * mpaU, Ultimate: 275 * mpaU,
		}},
	}
}

// TestWorked: the formulas without a check value from outside, against figures
// worked by hand (testdata/checks/worked_parts.csv holds the working), which
// docs/parts.md prints.
func TestWorked(t *testing.T) {
	doc, err := os.ReadFile("../../docs/parts.md")
	if err != nil {
		t.Fatal(err)
	}
	parts := workedParts()
	for name, p := range parts {
		if f := p.Faults(); len(f) > 0 {
			t.Fatalf("%s: %v", name, f)
		}
	}
	seen := map[string]bool{}
	for _, row := range table(t, "worked_parts.csv") {
		p, ok := parts[row[0]]
		if !ok {
			t.Fatalf("no part %q", row[0])
		}
		seen[row[0]] = true
		got, found := 0.0, false
		switch row[1] {
		case "deflection":
			f := si.Force(50 * si.Kilonewton)
			if p.Bar.Section == Round {
				f *= 2
			}
			got, found = float64(p.Bar.Deflection(f))/mmU, true
		case "net section":
			got, found = float64(NetArea(p.End.Diameter, p.End.Hole))/si.SquareMM, true
		default:
			for _, m := range p.Modes() {
				if m.Name == row[1] {
					got, found = float64(m.Capacity)/si.Kilonewton, true
				}
			}
		}
		if !found || !near(got, num(t, row[2]), num(t, row[3])) {
			t.Errorf("%s: %s = %v, want %s = %s", row[0], row[1], got, row[4], row[2])
		}
		if !strings.Contains(string(doc), row[2]) {
			t.Errorf("docs/parts.md does not print %s of %s, %s", row[2], row[0], row[1])
		}
	}
	for name := range parts {
		if !seen[name] {
			t.Errorf("%s is not worked", name)
		}
	}
}

// TestDocNames: the page names every mode and formula the program shows.
func TestDocNames(t *testing.T) {
	text, err := os.ReadFile("../../docs/parts.md")
	if err != nil {
		t.Fatal(err)
	}
	doc := string(text)
	for name, p := range workedParts() {
		for _, m := range p.Modes() {
			if !strings.Contains(doc, m.Name) || !strings.Contains(doc, "`"+m.Formula+"`") {
				t.Errorf("docs/parts.md lacks %q or %q of a %s", m.Name, m.Formula, name)
			}
		}
	}
}

// TestLongThread: beyond one and a half diameters no thread is counted, of the
// rig nor of the specimen. By hand: M20x2.5, 1.5 · 20 = 30 mm, π/2 · 18.37625 · 30 =
// 865.9604 mm²; hole 0.57735 · 235 · 865.9604 = 117.4911 kN, specimen 0.57735 · 275 ·
// 865.9604 = 137.4896 kN.
func TestLongThread(t *testing.T) {
	for _, l := range []float64{30, 31, 60, 400} {
		rod := workedParts()["thread"]
		rod.Thread.Engagement = si.Length(l * mmU)
		if got := float64(rod.Modes()[2].Capacity) / si.Kilonewton; !near(got, 117.4911, 1e-6) {
			t.Errorf("%v mm in each other strip at %v kN, want 117.4911", l, got)
		}
		end := workedParts()["end thread"]
		end.End.Screw, end.End.Engagement = &rod.Thread.Screw, si.Length(l*mmU)
		if got := float64(end.Modes()[1].Capacity) / si.Kilonewton; !near(got, 137.4896, 1e-6) {
			t.Errorf("a specimen's thread of %v mm strips at %v kN, want 137.4896", l, got)
		}
	}
}

// TestNarrowRoundEnd: a round end that is narrower than its plate counts for the
// width too. By hand: w 80, Dh 20, Dp 20, R 25, t 10 mm, Fy 250, Fu 400 MPa: be =
// min(30, 25 − 10) = 15 mm; by strength 15 · 0.6 · 1.6 · √(20/15) = 16.6277; tension
// 400/1.2 · 2 · 10 · 15 = 100 kN; splitting 400/1.2 · (1.13 · 15 + 0.92 · 15/1.75) · 10 =
// 82.78571 kN. A square end has be = 30: by strength 30 · 0.96 · √(20/30) = 23.5151, 156.767 kN.
func TestNarrowRoundEnd(t *testing.T) {
	p := Plate{
		Width: 80 * mmU, Hole: 20 * mmU, Pin: 20 * mmU, EndDistance: 25 * mmU, Thickness: 10 * mmU,
		End: RoundEnd, Yield: 250 * mpaU, Ultimate: 400 * mpaU,
	}
	s := p.Sheet()
	p.End = SquareEnd
	q := p.Sheet()
	for _, tt := range []struct {
		name      string
		got, want float64
	}{
		{"be", float64(s.Beside) / mmU, 15},
		{"by strength", float64(s.ByStrength) / mmU, 16.6277},
		{"tension", float64(s.Tension) / si.Kilonewton, 100},
		{"splitting", float64(s.Splitting) / si.Kilonewton, 82.78571},
		{"be of a square end", float64(q.Beside) / mmU, 30},
		{"tension of a square end", float64(q.Tension) / si.Kilonewton, 156.767},
	} {
		if !near(tt.got, tt.want, 3e-6) {
			t.Errorf("%s = %v, want %v", tt.name, tt.got, tt.want)
		}
	}
}
