package rig

import (
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2/unstable"

	"draghand/internal/part"
	"draghand/internal/si"
)

// own are the keys of each kind of limit beside those of all: name, kind, note.
var own = map[LimitKind][]string{
	Rated:         {"at", "force", "design_factor", "proof"},
	PressureLimit: {"at", "pressure", "design_factor"},
	Unknown:       {"at"},
	PinLimit:      {"at", "design_factor", "strength_from", "min_yield", "min_shear_yield", "diameter", "shear", "outer", "inner", "gap"},
	BarLimit:      {"at", "design_factor", "strength_from", "min_yield", "modulus", "section", "diameter", "wall", "height", "width", "arm", "other_arm", "support_width", "edges_carry"},
	PlateLimit:    {"at", "design_factor", "strength_from", "min_yield", "min_ultimate", "width", "thickness", "hole", "pin", "end_distance", "end"},
	WeldLimit:     {"at", "design_factor", "strength_from", "min_yield", "min_ultimate", "leg", "length"},
	ThreadLimit:   {"at", "design_factor", "strength_from", "min_yield", "nut_min_yield", "thread", "engagement"},
	EndLimit:      {"at", "design_factor", "strength_from", "min_yield", "min_ultimate", "grip", "section", "diameter", "width", "thickness", "hole", "pin", "end_distance", "end", "thread", "engagement"},
}

// kindsOfLimit are the words for kind, in the order of the page on rig files.
func kindsOfLimit() []string {
	return []string{
		string(Rated), string(PressureLimit), string(PinLimit), string(BarLimit), string(PlateLimit),
		string(WeldLimit), string(ThreadLimit), string(EndLimit), string(Unknown),
	}
}

// foreign are the keys of a limit that a kind does not have.
func foreign(k LimitKind) []string {
	var out []string
	for _, key := range keys["limit"] {
		if key != "name" && key != "kind" && key != "note" && !slices.Contains(own[k], key) {
			out = append(out, key)
		}
	}
	return out
}

// computed reads a limit that comes from dimensions.
func (s section) computed(l *Limit, path Path) {
	s.only("a "+string(l.Kind), foreign(l.Kind)...)
	s.missing("design_factor", wantDesign)
	if l.Kind == EndLimit {
		if l.At = AtSpecimen; s.has("at") {
			s.choice("at", false, string(AtSpecimen))
		}
	} else {
		l.At = Place(s.choice("at", true, string(AtRam), string(AtSpecimen), string(AtFar), string(AtSides)))
	}
	p := &part.Part{}
	s.missing("strength_from", wantStrengthFrom)
	p.StrengthFrom, _ = s.text("strength_from", wantStrengthFrom)
	switch l.Kind {
	case PinLimit:
		p.Pin = s.pin()
	case BarLimit:
		p.Bar = s.bar(l.At, path)
	case PlateLimit:
		p.Plate = s.plate()
	case WeldLimit:
		p.Weld = &part.Weld{Leg: s.length("leg"), Length: s.length("length"), Filler: s.stress("min_ultimate"), Base: s.stress("min_yield")}
	case ThreadLimit:
		p.Thread = &part.Thread{Screw: s.screw(), Engagement: s.length("engagement"), Yield: s.stress("min_yield"), NutYield: s.stress("nut_min_yield")}
	case EndLimit:
		p.End = s.end()
	}
	l.Part = p
	if l.compute(); l.Force > maxForce {
		s.reader.fault(s.name, tooStrong(*l), "dimensions and strengths as they are: look at the units of "+s.sizes(l.Kind))
	}
}

// sizes are the keys of the dimensions and strengths that stand there, in words.
func (s section) sizes(k LimitKind) string {
	var out []string
	for _, key := range own[k] {
		if (examples[key] != "" || key == "thread") && s.has(key) {
			out = append(out, key)
		}
	}
	if n := len(out) - 1; n > 0 {
		return strings.Join(out[:n], ", ") + " and " + out[n]
	}
	return strings.Join(out, "")
}

// examples are what would be right for each dimension, beside its own meaning.
var examples = map[string]string{
	"diameter":      `a diameter, as in diameter = "25 mm"`,
	"outer":         `the thickness of each outer plate, as in outer = "12 mm"`,
	"inner":         `the thickness of the inner plate, as in inner = "25 mm"`,
	"gap":           `the gap between plates on each side, as in gap = "1 mm"; "0 mm" where they touch`,
	"wall":          `the wall of the tube, as in wall = "8 mm"`,
	"height":        `the height along the force, as in height = "60 mm"`,
	"width":         `the width across the force, as in width = "70 mm"`,
	"thickness":     `the thickness, as in thickness = "20 mm"`,
	"hole":          `the hole's diameter, as in hole = "26 mm"`,
	"pin":           `the diameter of the pin in it, as in pin = "25 mm"`,
	"end_distance":  `from the hole's centre to the end along the pull, as in end_distance = "40 mm"`,
	"leg":           `the shorter leg of the fillet, as in leg = "6 mm"`,
	"length":        `the length of full size, as in length = "120 mm"`,
	"engagement":    `the length of full threads in each other, as in engagement = "25 mm"`,
	"arm":           part.WantArm,
	"other_arm":     `the other arm, as in other_arm = "110 mm"; without it both are alike`,
	"support_width": `the width of the support along the bar, as in support_width = "30 mm"`,
	"min_yield":     part.WantYield,
	"min_ultimate":  part.WantUltimate,
	"nut_min_yield": `the minimum yield of the nut or the threaded hole, as in nut_min_yield = "235 MPa"`,
}

const (
	wantDesign       = `what the capacity is divided by, as in design_factor = 2; nobody else chooses it for you`
	wantStrengthFrom = `where the minimum strength is from, as in strength_from = "mill certificate, minimum"`
)

// length takes a needed length.
func (s section) length(k string) si.Length {
	s.missing(k, examples[k])
	v, _ := take(s, k, examples[k], si.ParseLength)
	return v
}

// stress takes a needed strength.
func (s section) stress(k string) si.Stress {
	s.missing(k, examples[k])
	v, _ := take(s, k, examples[k], si.ParseStress)
	return v
}

func (s section) screw() part.Screw {
	const want = `a size and a pitch, as in thread = "M20x2.5" or "3/4-10"`
	s.missing("thread", want)
	t, ok := s.text("thread", want)
	if !ok {
		return part.Screw{}
	}
	v, err := part.ParseScrew(t)
	if err != nil {
		s.fault("thread", err.Error(), want)
	}
	return v
}

func (s section) pin() *part.Pin {
	p := &part.Pin{
		Diameter: s.length("diameter"), Outer: s.length("outer"), Inner: s.length("inner"), Gap: s.length("gap"),
		Yield: s.stress("min_yield"), Planes: 2,
	}
	if s.choice("shear", true, "double", "single") == "single" {
		p.Planes = 1
	}
	const want = `a minimum shear yield, as in min_shear_yield = "200 MPa"; without it 0.57735 of the yield`
	p.ShearYield, _ = take(s, "min_shear_yield", want, si.ParseStress)
	s.positive("min_shear_yield", float64(p.ShearYield), want)
	return p
}

func (s section) bar(at Place, path Path) *part.Bar {
	b := &part.Bar{Section: s.choice("section", true, part.Round, part.Rectangular, part.Tube), Yield: s.stress("min_yield")}
	switch b.Section {
	case part.Round:
		s.only("a round bar", "wall", "height", "width")
		b.Diameter = s.length("diameter")
	case part.Rectangular:
		s.only("a rectangular bar", "diameter", "wall")
		b.Height, b.Width = s.length("height"), s.length("width")
	case part.Tube:
		s.only("a tube", "height", "width")
		b.Diameter, b.Wall = s.length("diameter"), s.length("wall")
	}
	s.arms(b, at, path)
	const want = `Young's modulus, as in modulus = "200000 MPa"; without it no deflection is told`
	b.Modulus, _ = take(s, "modulus", want, si.ParseStress)
	s.positive("modulus", float64(b.Modulus), want)
	carry := s.yes("edges_carry", "true where both edges of the support are known to carry")
	switch {
	case s.has("support_width") && !carry:
		s.fault("support_width", "relieves the bar only where both edges of the support are known to carry", "edges_carry = true if you have seen it, else the line taken out")
	case s.has("support_width"):
		b.SupportWidth = s.length("support_width")
		s.positive("support_width", float64(b.SupportWidth), examples["support_width"])
	case carry && !s.bad[s.key("edges_carry")]:
		s.missing("support_width", examples["support_width"])
	}
	return b
}

func (s section) plate() *part.Plate {
	return &part.Plate{
		Width: s.length("width"), Thickness: s.length("thickness"), Hole: s.length("hole"), Pin: s.length("pin"),
		EndDistance: s.length("end_distance"), End: s.choice("end", true, part.RoundEnd, part.SquareEnd),
		Yield: s.stress("min_yield"), Ultimate: s.stress("min_ultimate"),
	}
}

func (s section) end() *part.End {
	e := &part.End{Grip: s.choice("grip", true, part.HoleGrip, part.ThreadGrip)}
	switch e.Grip {
	case part.ThreadGrip:
		s.only("a threaded end", "section", "diameter", "width", "thickness", "hole", "pin", "end_distance", "end", "min_yield")
		screw := s.screw()
		e.Screw, e.Engagement = &screw, s.length("engagement")
	case part.HoleGrip:
		s.only("an end with a cross-hole", "thread", "engagement")
		switch e.Section = s.choice("section", true, part.Round, part.Flat); e.Section {
		case part.Round:
			s.only("a round end", "width", "thickness")
			e.Diameter = s.length("diameter")
		case part.Flat:
			s.only("a flat end", "diameter")
			e.Width, e.Thickness = s.length("width"), s.length("thickness")
		}
		e.Hole, e.Pin, e.EndDistance = s.length("hole"), s.length("pin"), s.length("end_distance")
		e.End = s.choice("end", true, part.RoundEnd, part.SquareEnd)
		e.Yield = s.stress("min_yield")
	}
	e.Ultimate = s.stress("min_ultimate")
	return e
}

// proof reads the proof load of a rated limit; nil where there is none.
func (s section) proof() *Proof {
	name := s.key("proof")
	if _, ok := s.doc.tables[name]; !ok {
		if s.has("proof") {
			s.fault("proof", "is "+s.doc.values[name].written()+", not a table", wantProof)
		}
		return nil
	}
	t := section{s.reader, name}
	p := &Proof{}
	const wantForce = `the load held on the part, as in force = "60 kN"`
	t.missing("force", wantForce)
	p.Force, _ = take(t, "force", wantForce, si.ParseForce)
	t.missing("date", wantProofDay)
	if v := t.doc.values[t.key("date")]; v.kind == unstable.LocalDate {
		p.Date = v.text
	} else {
		p.Date, _ = t.text("date", wantProofDay)
	}
	t.missing("fraction", wantFraction)
	p.Fraction = t.fraction("fraction", 0, wantFraction)
	for k, into := range map[string]*si.Length{"straight_before": &p.Before, "straight_after": &p.After} {
		t.missing(k, wantStraight)
		*into, _ = take(t, k, wantStraight, si.ParseLength)
	}
	p.Record, _ = t.text("record", "the name of the pull record of the proof")
	return p
}
