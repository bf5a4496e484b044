package part

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"draghand/internal/si"
)

type drawer struct{ *rapid.T }

func (t drawer) f(name string, lo, hi float64) float64 {
	return rapid.Float64Range(lo, hi).Draw(t.T, name)
}

func (t drawer) mm(name string, lo, hi float64) si.Length { return si.Length(t.f(name, lo, hi) * mmU) }

func (t drawer) mpa(name string, lo, hi float64) si.Stress {
	return si.Stress(t.f(name, lo, hi) * mpaU)
}

func (t drawer) word(name string, w ...string) string {
	return rapid.SampledFrom(w).Draw(t.T, name)
}

// draw makes a possible part of a drawn kind.
func draw(t drawer) Part {
	p := Part{StrengthFrom: "drawn minimum"}
	yield := t.mpa("yield", 100, 900)
	ultimate := yield * si.Stress(t.f("ultimate", 1, 2.5))
	screw := func() Screw {
		d := t.mm("major", 6, 60)
		s := Screw{d, d * si.Length(t.f("pitch", 0.06, 0.18)), t.word("series", "M", "UN") == "M"}
		if !s.Metric {
			s.Pitch = min(s.Pitch, si.Inch/4) // none is coarser
		}
		return s
	}
	plate := func() Plate {
		hole := t.mm("hole", 6, 60)
		return Plate{
			Hole: hole, Pin: hole * si.Length(t.f("pin", 0.5, 1)), Width: hole * si.Length(t.f("width", 1.05, 5)),
			EndDistance: hole * si.Length(t.f("end distance", 0.55, 4)), Thickness: t.mm("thickness", 2, 60),
			End: t.word("end", RoundEnd, SquareEnd), Yield: yield, Ultimate: ultimate,
		}
	}
	switch t.word("kind", "pin", "bar", "plate", "weld", "thread", "end hole", "end thread") {
	case "pin":
		p.Pin = &Pin{Diameter: t.mm("d", 5, 80), Planes: 1 + len(t.word("planes", "", "2")), Outer: t.mm("t1", 2, 60), Inner: t.mm("t2", 2, 60), Gap: t.mm("g", 0, 5), Yield: yield}
	case "bar":
		b := &Bar{Section: t.word("section", Round, Rectangular, Tube), Arm: t.mm("a", 30, 400), OtherArm: t.mm("b", 30, 400), Yield: yield, Modulus: t.mpa("E", 50e3, 220e3)}
		if b.Section == Rectangular {
			b.Height, b.Width = t.mm("h", 10, 150), t.mm("w", 10, 150)
		} else {
			b.Diameter = t.mm("d", 10, 150)
		}
		if b.Section == Tube {
			b.Wall = b.Diameter * si.Length(t.f("wall", 0.02, 0.49))
		}
		b.SupportWidth = min(b.Arm, b.OtherArm) * si.Length(t.f("support", 0.01, 1.9))
		p.Bar = b
	case "plate":
		pl := plate()
		p.Plate = &pl
	case "weld":
		leg := t.mm("leg", 2, 20)
		p.Weld = &Weld{Leg: leg, Length: leg * si.Length(t.f("l", 4, 50)), Filler: ultimate, Base: yield}
	case "thread":
		p.Thread = &Thread{Screw: screw(), Engagement: t.mm("l", 3, 100), Yield: yield, NutYield: t.mpa("nut", 100, 900)}
	case "end thread":
		s := screw()
		p.End = &End{Grip: ThreadGrip, Screw: &s, Engagement: t.mm("l", 3, 100), Ultimate: ultimate}
	case "end hole":
		pl := plate()
		p.End = &End{Grip: HoleGrip, Hole: pl.Hole, Pin: pl.Pin, EndDistance: pl.EndDistance, End: pl.End, Yield: yield, Ultimate: ultimate}
		if p.End.Section = t.word("section", Round, Flat); p.End.Section == Round {
			p.End.Diameter = pl.Width
		} else {
			p.End.Width, p.End.Thickness = pl.Width, pl.Thickness
		}
	}
	return p
}

// grows are the dimensions whose growth alone can never lower the limit.
func grows(p Part) map[string]*si.Length {
	switch {
	case p.Pin != nil:
		return map[string]*si.Length{"pin": &p.Pin.Diameter}
	case p.Bar != nil && p.Bar.Section == Rectangular:
		return map[string]*si.Length{"height": &p.Bar.Height, "width": &p.Bar.Width}
	case p.Bar != nil && p.Bar.Section == Tube:
		return map[string]*si.Length{"diameter": &p.Bar.Diameter}
	case p.Bar != nil:
		return map[string]*si.Length{"diameter": &p.Bar.Diameter}
	case p.Plate != nil:
		return map[string]*si.Length{"thickness": &p.Plate.Thickness, "width": &p.Plate.Width, "end": &p.Plate.EndDistance}
	case p.Weld != nil:
		return map[string]*si.Length{"length": &p.Weld.Length}
	case p.Thread != nil:
		return map[string]*si.Length{"engagement": &p.Thread.Engagement}
	case p.End.Screw != nil:
		return map[string]*si.Length{"engagement": &p.End.Engagement}
	case p.End.Section == Flat:
		return map[string]*si.Length{"thickness": &p.End.Thickness, "width": &p.End.Width, "end": &p.End.EndDistance}
	}
	return map[string]*si.Length{"diameter": &p.End.Diameter, "end": &p.End.EndDistance}
}

// slack is a few roundings.
const slack = 1 - 1e-12

// TestGrowth: every possible part has a finite capacity above zero, and more
// metal never lowers it.
func TestGrowth(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		p := draw(drawer{rt})
		if f := p.Faults(); len(f) > 0 {
			rt.Fatalf("a possible part is refused: %v", f)
		}
		before, i := p.Capacity()
		if i < 0 || !(before > 0) || math.IsInf(float64(before), 0) {
			rt.Fatalf("capacity %v, mode %d", before, i)
		}
		for _, m := range p.Modes() {
			if m.Capacity < before || m.Name == "" || m.Formula == "" || m.Source == "" || m.StrengthOf == "" || !(m.Strength > 0) {
				rt.Errorf("mode %+v beside a capacity of %v", m, before)
			}
		}
		by := si.Length(rapid.Float64Range(1, 2).Draw(rt, "by"))
		for name, d := range grows(p) {
			was := *d
			*d *= by
			if after, _ := p.Capacity(); after < before*slack {
				rt.Errorf("a larger %s (× %v) lowers %v to %v", name, by, before, after)
			}
			*d = was
		}
	})
}

// TestTighterPin: in one hole, a larger pin never lowers the plate's limit.
func TestTighterPin(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		d := drawer{rt}
		hole := d.mm("hole", 6, 60)
		p := Plate{
			Hole: hole, Width: hole * si.Length(d.f("width", 1.05, 5)), EndDistance: hole * si.Length(d.f("end distance", 0.55, 4)),
			Thickness: d.mm("thickness", 2, 60), End: d.word("end", RoundEnd, SquareEnd), Yield: 250 * mpaU, Ultimate: 400 * mpaU,
		}
		a, b := d.f("one", 0.5, 1), d.f("other", 0.5, 1)
		p.Pin = hole * si.Length(min(a, b))
		small, _ := (&Part{Plate: &p}).Capacity()
		p.Pin = hole * si.Length(max(a, b))
		if large, _ := (&Part{Plate: &p}).Capacity(); large < small*slack {
			rt.Errorf("a pin of %v × the hole carries %v, one of %v only %v", min(a, b), small, max(a, b), large)
		}
	})
}

// TestRoundEndIsThicker: the plate that a round end is taken as lies within the
// bar: nowhere thicker, and of no larger section.
func TestRoundEndIsThicker(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		d := drawer{rt}
		dia := d.mm("d", 5, 60)
		e := End{Grip: HoleGrip, Section: Round, Diameter: dia, Hole: dia * si.Length(d.f("hole", 0.05, 0.95))}
		p := e.Plate()
		if p.Thickness > dia || float64((p.Width-p.Hole)*p.Thickness) > float64(NetArea(dia, e.Hole))*(1+1e-12) {
			rt.Errorf("a bar of %v with a hole of %v is taken as %v by %v", dia, e.Hole, p.Width, p.Thickness)
		}
		sum, n := 0.0, 2000
		for i := range n {
			x := float64(e.Hole)/2 + float64(dia-e.Hole)/2*(float64(i)+0.5)/float64(n)
			sum += 4 * math.Sqrt(float64(dia)*float64(dia)/4-x*x)
		}
		if sum *= float64(dia-e.Hole) / 2 / float64(n); !near(float64(NetArea(dia, e.Hole)), sum, 1e-3) {
			rt.Errorf("net section %v, by strips %v", NetArea(dia, e.Hole), sum)
		}
	})
}
