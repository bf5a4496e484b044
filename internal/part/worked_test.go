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
