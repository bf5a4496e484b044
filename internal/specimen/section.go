package specimen

import (
	"errors"
	"fmt"
	"math"

	"draghand/internal/si"
)

// Shape is what a section looks like. The empty shape is round, as in the
// records that know no other.
type Shape string

// The shapes of a section.
const (
	Round       Shape = ""
	Rectangular Shape = "rectangular"
	Tube        Shape = "tube"
)

// Word is the shape as a person reads it.
func (s Shape) Word() string {
	if s == Round {
		return "round"
	}
	return string(s)
}

// Section is one measured section of a bar that is not round: width and
// thickness of a rectangular one, outer diameter and wall of a tube.
type Section struct {
	Width     si.Length `json:"width_m,omitempty"`
	Thickness si.Length `json:"thickness_m,omitempty"`
	Outer     si.Length `json:"outer_m,omitempty"`
	Wall      si.Length `json:"wall_m,omitempty"`
}

// Bounds of a size: outside them a unit was mistaken, not a bar made.
const (
	minSize  = 0.5 * si.Millimetre
	minWall  = 0.1 * si.Millimetre // of a wall or a thickness
	maxSize  = 200 * si.Millimetre
	mostSize = 32 // sections measured on one bar
)

// TaperAllowed is how far the sizes along a bar may differ: ASTM E8/E8M lets a
// round bar taper by at most 1 % in diameter from the ends to the middle (from
// memory). It is taken for the other shapes too.
const TaperAllowed = 0.01

// DefaultSizeU is the limit of error taken for a size where none is stated,
// ± 0.01 mm (0.0004 in): a hand micrometer in a workshop, with the hand that
// holds it. It is ours, of no standard.
const DefaultSizeU = 0.01 * si.Millimetre

// area of one section of a shape, m²; 0 where its sizes make none, or where a
// record holds a shape that only a later program knows.
func (c Section) area(shape Shape) si.Area {
	switch {
	case shape == Tube && c.Wall > 0 && 2*c.Wall < c.Outer:
		return si.Area(math.Pi * float64(c.Wall) * float64(c.Outer-c.Wall))
	case shape == Rectangular && c.Width > 0 && c.Thickness > 0:
		return si.Area(float64(c.Width) * float64(c.Thickness))
	}
	return 0
}

// round is π d²/4, m².
func round(d si.Length) si.Area { return si.Area(math.Pi / 4 * float64(d) * float64(d)) }

// Diameter is the smallest measured diameter, the one that governs; 0 where
// none was measured or the bar is not round.
func (s Specimen) Diameter() si.Length {
	var d si.Length
	for i, v := range s.Diameters {
		if i == 0 || v < d {
			d = v
		}
	}
	return d
}

// Governing is the smallest measured section of a bar that is not round; ok is
// false where there is none.
func (s Specimen) Governing() (c Section, ok bool) {
	for i, v := range s.Sections {
		if i == 0 || v.area(s.Shape) < c.area(s.Shape) {
			c = v
		}
	}
	return c, len(s.Sections) > 0
}

// Area is the smallest measured section, in square metres: π d²/4 of a round
// bar, w·t of a rectangular one, π t (D − t) of a tube; 0 where none was
// measured.
func (s Specimen) Area() si.Area {
	if s.Shape == Round {
		return round(s.Diameter())
	}
	c, _ := s.Governing()
	return c.area(s.Shape)
}

// RoundEqual is the diameter of a round bar of the same section; 0 where none
// was measured.
func (s Specimen) RoundEqual() si.Length {
	if s.Shape == Round {
		return s.Diameter()
	}
	return si.Length(math.Sqrt(4 / math.Pi * float64(s.Area())))
}

// Taper is (largest − smallest) / smallest of the measured sizes: of the
// diameter, or of that size of the section that differs most. More than
// TaperAllowed is worth a remark.
func (s Specimen) Taper() float64 {
	if s.Shape == Round {
		return spread(s.Diameters)
	}
	var sizes [4][]si.Length
	for _, c := range s.Sections {
		for i, v := range []si.Length{c.Width, c.Thickness, c.Outer, c.Wall} {
			sizes[i] = append(sizes[i], v)
		}
	}
	var most float64
	for _, v := range sizes {
		most = max(most, spread(v))
	}
	return most
}

// spread is (largest − smallest) / smallest; 0 where there is none.
func spread(of []si.Length) float64 {
	if len(of) == 0 {
		return 0
	}
	small, large := of[0], of[0]
	for _, v := range of {
		small, large = min(small, v), max(large, v)
	}
	if small <= 0 {
		return 0
	}
	return float64(large-small) / float64(small)
}

// SizeLimit is the limit of error of a measured size, ±: as stated, else
// DefaultSizeU.
func (s Specimen) SizeLimit() (limit si.Length, stated bool) {
	if s.SizeU > 0 {
		return s.SizeU, true
	}
	return DefaultSizeU, false
}

// AreaU is the relative standard uncertainty of Area from the micrometer alone,
// 0.002 for 0.2 %; 0 where no section was measured. The limit ± a of a size is
// taken as evenly likely within, so u = a/√3 (GUM 4.3.7). The sizes of a section
// are measured with the same micrometer, so its error is in both alike: to the
// first order 2u/d round, u (1/w + 1/t) rectangular, u/t of a tube.
func (s Specimen) AreaU() float64 {
	limit, _ := s.SizeLimit()
	u := float64(limit) / math.Sqrt(3)
	if s.Shape == Round {
		if d := float64(s.Diameter()); d > 0 {
			return 2 * u / d
		}
		return 0
	}
	c, ok := s.Governing()
	switch {
	case !ok || c.area(s.Shape) <= 0:
		return 0
	case s.Shape == Tube:
		// π t (D − t) with both sizes off by u: (t + D − 2t) / (t (D − t)) = 1/t.
		return u / float64(c.Wall)
	default:
		return u/float64(c.Width) + u/float64(c.Thickness)
	}
}

// SizeText is the section that governs, in the units of display: "12.50 mm
// round", "6.00 x 3.00 mm", "tube 12.00 x 1.50 mm"; empty where none was
// measured.
func (s Specimen) SizeText(sys si.System) string {
	if s.Shape == Round {
		if d := s.Diameter(); d > 0 {
			return d.Size(sys) + " round"
		}
		return ""
	}
	c, ok := s.Governing()
	if !ok {
		return ""
	}
	return c.Text(s.Shape, sys)
}

// Text is the section as ParseSizes reads it, in the units of display.
func (c Section) Text(shape Shape, sys si.System) string {
	if shape == Tube {
		return "tube " + c.Outer.SizeIn(sys).Number() + " x " + c.Wall.Size(sys)
	}
	return c.Width.SizeIn(sys).Number() + " x " + c.Thickness.Size(sys)
}

// validSizes looks at what was measured.
func (s Specimen) validSizes() (errs []error) {
	within := func(what string, v, low si.Length) bool {
		if v >= low && v <= maxSize {
			return true
		}
		errs = append(errs, fmt.Errorf("%s %s is outside %.1f mm to %.0f mm", what, v.Text(si.Metric), float64(low)/si.Millimetre, maxSize/si.Millimetre))
		return false
	}
	for _, d := range s.Diameters {
		within("diameter", d, minSize)
	}
	switch s.Shape {
	case Round:
		if len(s.Sections) > 0 {
			errs = append(errs, errors.New("a round bar has diameters, and no sections of width or wall"))
		}
	case Rectangular, Tube:
		if len(s.Diameters) > 0 {
			errs = append(errs, fmt.Errorf("a bar that is %s has sections, and no diameter alone", s.Shape))
		}
	default:
		errs = append(errs, fmt.Errorf("the shape %q is not known: round, rectangular and tube are", string(s.Shape)))
		return errs
	}
	for _, c := range s.Sections {
		if s.Shape == Tube {
			if within("outer diameter", c.Outer, minSize) && within("wall", c.Wall, minWall) && 2*c.Wall >= c.Outer {
				errs = append(errs, fmt.Errorf("a tube of %s has no room for a wall of %s", c.Outer.Text(si.Metric), c.Wall.Text(si.Metric)))
			}
			if c.Width != 0 || c.Thickness != 0 {
				errs = append(errs, errors.New("a tube has no width or thickness"))
			}
			continue
		}
		if s.Shape == Rectangular {
			within("width", c.Width, minWall)
			within("thickness", c.Thickness, minWall)
			if c.Outer != 0 || c.Wall != 0 {
				errs = append(errs, errors.New("a rectangular bar has no outer diameter or wall"))
			}
		}
	}
	// 5 mm: more is no measuring error of a bar that fits between two grips.
	if !(s.SizeU >= 0 && s.SizeU <= 5*si.Millimetre) {
		errs = append(errs, fmt.Errorf("a limit of error of %s for a size is outside 0 to 5 mm", s.SizeU.Text(si.Metric)))
	}
	if s.SizeU > 0 {
		for _, v := range s.sizes() {
			if v > 0 && 2*s.SizeU > v {
				errs = append(errs, fmt.Errorf("a limit of error of ± %s is more than half of the %s measured", s.SizeU.Text(si.Metric), v.Text(si.Metric)))
				break
			}
		}
	}
	return errs
}

// sizes are all lengths measured across the bar.
func (s Specimen) sizes() []si.Length {
	out := append([]si.Length(nil), s.Diameters...)
	for _, c := range s.Sections {
		for _, v := range []si.Length{c.Width, c.Thickness, c.Outer, c.Wall} {
			if v != 0 {
				out = append(out, v)
			}
		}
	}
	return out
}
