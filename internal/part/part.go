// Package part works out what one part of a pull rig can take from its
// dimensions and the minimum strength of its metal: pins, bars, plates, welds,
// threads and the specimen's own ends.
//
// A Part holds the dimensions in SI and gives its Modes: every way in which it
// is looked at, each with the force at which it gives way (the capacity), the
// formula, its source and the strength used. The weakest mode governs. Design
// factors are not in a capacity: whoever states a limit divides by one.
//
//	p := part.Part{Pin: &part.Pin{Diameter: 0.025, Planes: 2, …}}
//	f, i := p.Capacity() // i: the governing mode of p.Modes()
//
// The formulas, their symbols and worked numbers stand in docs/parts.md. They
// see clean metal, loaded in line, once: no crack, no side load, no fatigue, no
// bad weld. The package is pure arithmetic.
package part

import (
	"fmt"
	"math"
	"strings"
	"unicode"

	"draghand/internal/si"
)

// Part is one part with its dimensions: exactly one of the pointers is set.
type Part struct {
	// StrengthFrom says in words where the minimum strengths are from.
	StrengthFrom string  `json:"strength_from"`
	Pin          *Pin    `json:"pin,omitempty"`
	Bar          *Bar    `json:"bar,omitempty"`
	Plate        *Plate  `json:"plate,omitempty"`
	Weld         *Weld   `json:"weld,omitempty"`
	Thread       *Thread `json:"thread,omitempty"`
	End          *End    `json:"end,omitempty"`
}

// Mode is one way in which a part can give way.
type Mode struct {
	Name       string    `json:"mode"`
	Capacity   si.Force  `json:"capacity_n"`
	Formula    string    `json:"formula"`     // with the symbols of docs/parts.md
	Source     string    `json:"source"`      // of the formula
	Strength   si.Stress `json:"strength_pa"` // the strength used, a minimum
	StrengthOf string    `json:"strength_of"` // which: "minimum yield", "minimum ultimate", …
}

// Fault is one thing wrong with a part. Key is that of the rig file, without
// its table.
type Fault struct{ Key, Why, Want string }

// The strengths that a mode can use, in words.
const (
	minYield    = "minimum yield"
	minUltimate = "minimum ultimate"
	shearYield  = "minimum shear yield, stated"
	fillerUlt   = "minimum ultimate of the filler metal"
	baseYield   = "minimum yield of the base metal"
	nutYield    = "minimum yield of the threaded hole's metal"
)

// ShearOfYield is the shear yield over the tensile yield by distortion energy,
// 1/√3 to the digits in use.
const ShearOfYield = 0.57735

// What a part of a home-built rig can be. The ends are wide: they catch a
// slipped unit and a damaged record.
const (
	minLength, maxLength     si.Length = 0.1 * si.Millimetre, 5 * si.Metre
	minStrength, maxStrength si.Stress = 1 * si.Megapascal, 5 * si.Gigapascal
	minModulus, maxModulus   si.Stress = 1 * si.Gigapascal, 1000 * si.Gigapascal
	maxWords                           = 200
)

type shape interface {
	modes() []Mode
	faults(c *faults)
}

// shapes are those that are set; one, in a part that is right.
func (p *Part) shapes() []shape {
	var out []shape
	if p.Pin != nil {
		out = append(out, p.Pin)
	}
	if p.Bar != nil {
		out = append(out, p.Bar)
	}
	if p.Plate != nil {
		out = append(out, p.Plate)
	}
	if p.Weld != nil {
		out = append(out, p.Weld)
	}
	if p.Thread != nil {
		out = append(out, p.Thread)
	}
	if p.End != nil {
		out = append(out, p.End)
	}
	return out
}

// Kind is the part's kind as the rig file says it: "pin", "bar", "plate",
// "weld", "thread" or "end"; empty where none or more than one is set.
func (p *Part) Kind() string {
	s := p.shapes()
	if len(s) != 1 {
		return ""
	}
	switch s[0].(type) {
	case *Pin:
		return "pin"
	case *Bar:
		return "bar"
	case *Plate:
		return "plate"
	case *Weld:
		return "weld"
	case *Thread:
		return "thread"
	}
	return "end"
}

// Modes are all ways in which the part is looked at. They are of use only
// where Faults finds nothing.
func (p *Part) Modes() []Mode {
	s := p.shapes()
	if len(s) != 1 {
		return nil
	}
	return s[0].modes()
}

// Capacity is the force at which the weakest mode gives way and that mode's
// place in Modes; 0 and −1 of a part that is none.
func (p *Part) Capacity() (si.Force, int) { return Weakest(p.Modes()) }

// Weakest is the smallest capacity of the modes and its place; 0 and −1 of none.
func Weakest(modes []Mode) (si.Force, int) {
	at := -1
	for i, m := range modes {
		if at < 0 || m.Capacity < modes[at].Capacity {
			at = i
		}
	}
	if at < 0 {
		return 0, -1
	}
	return modes[at].Capacity, at
}

// Faults are all that is impossible, missing or contradictory in the
// dimensions and strengths; none where Modes may be used.
func (p *Part) Faults() []Fault {
	c := &faults{}
	s := p.shapes()
	if len(s) != 1 {
		c.add("kind", fmt.Sprintf("the dimensions of %d kinds of part, not of one", len(s)), "one part a limit")
		return c.list
	}
	switch words := strings.ToLower(strings.TrimSpace(p.StrengthFrom)); {
	case words == "":
		c.add("strength_from", "empty", wantFrom)
	case len(words) > maxWords:
		c.add("strength_from", fmt.Sprintf("longer than %d letters", maxWords), wantFrom)
	case noMinimum(words):
		c.add("strength_from", "speaks of a typical strength: half of all metal is weaker than that", "a minimum that somebody stands for: a standard's, or the maker's certificate")
	}
	s[0].faults(c)
	return c.list
}

// noMinimum says whether words in small letters speak of what the metal mostly has,
// not of what it has at least.
func noMinimum(words string) bool {
	for _, w := range strings.FieldsFunc(words, func(r rune) bool { return !unicode.IsLetter(r) }) {
		switch w {
		case "typ", "typical", "typically", "mean", "usual", "usually", "average", "averaged", "averages", "nominal", "nominally":
			return true
		}
	}
	return false
}

const wantFrom = `where the minimum is from, as in strength_from = "standard's minimum for this grade"`

// faults collects what is wrong.
type faults struct{ list []Fault }

func (c *faults) add(key, why, want string) { c.list = append(c.list, Fault{key, why, want}) }

// length demands a possible length; NaN is none.
func (c *faults) length(key string, v si.Length, want string) bool {
	if v >= minLength && v <= maxLength {
		return true
	}
	c.add(key, fmt.Sprintf("%s is not between %s and %s", mm(v), mm(minLength), mm(maxLength)), want)
	return false
}

func (c *faults) strength(key string, v si.Stress, want string) bool {
	if v >= minStrength && v <= maxStrength {
		return true
	}
	c.add(key, fmt.Sprintf("%s is not between %s and %s", mpa(v), mpa(minStrength), mpa(maxStrength)), want)
	return false
}

// strengths demands a yield that is not above the ultimate.
func (c *faults) strengths(yield, ultimate si.Stress) {
	y := c.strength("min_yield", yield, WantYield)
	u := c.strength("min_ultimate", ultimate, WantUltimate)
	if y && u && yield > ultimate {
		c.add("min_yield", fmt.Sprintf("%s is above the ultimate, %s", mpa(yield), mpa(ultimate)), "both of one metal, the yield the lower")
	}
}

// What would be right for the two strengths.
const (
	WantYield    = `the metal's minimum yield, as in min_yield = "355 MPa"`
	WantUltimate = `the metal's minimum ultimate strength, as in min_ultimate = "470 MPa"`
)

func mm(v si.Length) string  { return fmt.Sprintf("%.5g mm", float64(v)/si.Millimetre) }
func mpa(v si.Stress) string { return fmt.Sprintf("%.5g MPa", float64(v)/si.Megapascal) }

// times is a stress on an area.
func times(s si.Stress, area float64) si.Force { return si.Force(float64(s) * area) }

func circle(d si.Length) float64 { return math.Pi / 4 * float64(d) * float64(d) }
