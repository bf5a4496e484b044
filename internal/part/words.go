package part

import (
	"fmt"

	"draghand/internal/si"
)

// Words are the part's dimensions for a person, in one line.
func (p *Part) Words(sys si.System) string {
	l := func(v si.Length) string { return v.Text(sys) }
	switch {
	case p.Pin != nil:
		shear := "double shear"
		if p.Pin.Planes == 1 {
			shear = "single shear"
		}
		return fmt.Sprintf("pin of d = %s in %s, plates t1 = %s and t2 = %s, gaps g = %s", l(p.Pin.Diameter), shear, l(p.Pin.Outer), l(p.Pin.Inner), l(p.Pin.Gap))
	case p.Bar != nil:
		return p.Bar.words(l)
	case p.Plate != nil:
		return p.Plate.words(l)
	case p.Weld != nil:
		return fmt.Sprintf("fillet of leg %s (throat %s), l = %s", l(p.Weld.Leg), l(p.Weld.Throat()), l(p.Weld.Length))
	case p.Thread != nil:
		return fmt.Sprintf("thread %s, engaged over l = %s", p.Thread.Screw.words(), l(p.Thread.Engagement))
	case p.End != nil && p.End.Screw != nil:
		return fmt.Sprintf("specimen's thread %s, engaged over l = %s", p.End.Screw.words(), l(p.End.Engagement))
	case p.End != nil:
		plate := p.End.Plate()
		if p.End.Section == Round {
			return fmt.Sprintf("specimen's end of %s diameter, taken as a %s", l(p.End.Diameter), plate.words(l))
		}
		return "specimen's end, a " + plate.words(l)
	}
	return ""
}

func (b *Bar) words(l func(si.Length) string) string {
	var s string
	switch b.Section {
	case Rectangular:
		s = fmt.Sprintf("bar %s high and %s wide", l(b.Height), l(b.Width))
	case Tube:
		s = fmt.Sprintf("tube of %s diameter and %s wall", l(b.Diameter), l(b.Wall))
	default:
		s = "round bar of d = " + l(b.Diameter)
	}
	s += fmt.Sprintf(", arms a = %s and b = %s", l(b.Arm), l(b.OtherArm))
	if b.SupportWidth > 0 {
		s += ", both edges of a support of w = " + l(b.SupportWidth) + " carry"
	}
	return s
}

func (p *Plate) words(l func(si.Length) string) string {
	return fmt.Sprintf("plate %s wide, t = %s, hole Dh = %s for a pin Dp = %s, R = %s to its %s end", l(p.Width), l(p.Thickness), l(p.Hole), l(p.Pin), l(p.EndDistance), p.End)
}
