package rig

import (
	"fmt"

	"draghand/internal/part"
	"draghand/internal/si"
)

// arms are those stated, else, of the bar over the ram of a two-sided path, that
// path's, see worstArms.
func (s section) arms(b *part.Bar, at Place, path Path) {
	switch {
	case s.has("arm"):
		b.Arm = s.length("arm")
		if b.OtherArm = b.Arm; s.has("other_arm") {
			b.OtherArm = s.length("other_arm")
		} else if s.bad[s.key("arm")] {
			s.bad[s.key("other_arm")] = true
		}
		if at == AtRam && path.Kind == TwoSided {
			s.shortArms(b, path)
		}
	case s.has("other_arm"):
		s.fault("arm", "missing beside other_arm", part.WantArm)
		b.OtherArm = s.length("other_arm")
	case at == AtRam && path.Kind == TwoSided:
		b.Arm, b.OtherArm = path.worstArms()
		for _, k := range []string{"path.specimen_arm", "path.far_arm"} {
			if s.bad[k] {
				s.bad[s.key("arm")], s.bad[s.key("other_arm")] = true, true // told with the path
			}
		}
	default:
		s.fault("arm", "missing", part.WantArm)
		s.bad[s.key("other_arm")] = true
	}
}

// shortArms refuses arms stated for the bar over the ram that are shorter than its
// path's: both are of one rig, and a short arm makes the bar look strong. The
// sides may be named either way round.
func (s section) shortArms(b *part.Bar, path Path) {
	for _, k := range []string{"path.specimen_arm", "path.far_arm", s.key("arm"), s.key("other_arm")} {
		if s.bad[k] {
			return // told already
		}
	}
	const slack = 1 - 1e-9
	x, y := path.worstArms()
	if !(b.Arm > 0 && b.OtherArm > 0) || min(b.Arm, b.OtherArm) >= min(x, y)*slack && max(b.Arm, b.OtherArm) >= max(x, y)*slack {
		return
	}
	mm := func(a, b si.Length) string {
		return fmt.Sprintf("%.5g mm and %.5g mm", float64(a)/si.Millimetre, float64(b)/si.Millimetre)
	}
	s.fault("arm", fmt.Sprintf("%s are shorter than the arms of [path], which at their worst bend this bar over %s", mm(b.Arm, b.OtherArm), mm(x, y)),
		"arm and other_arm taken out: the bar then takes those of the path; or longer ones")
}

// worstArms are the arms that bend the bar over the ram most: both at their
// longest, and the force as near to the middle as the share's limit of error
// lets it be. Under a flat face it walks, and a share found by bars need not be
// that of the ruler.
func (p Path) worstArms() (specimen, far si.Length) {
	span := p.SpecimenArm + p.FarArm + 2*p.ArmTol
	share := min(max(0.5, p.Share-p.ShareTol), p.Share+p.ShareTol)
	return span * si.Length(1-share), span * si.Length(share)
}
