package rig

import (
	"fmt"
	"math"

	"draghand/internal/part"
	"draghand/internal/si"
)

// The kinds of limit that are computed from dimensions.
const (
	PinLimit    LimitKind = "pin"
	BarLimit    LimitKind = "bar"
	PlateLimit  LimitKind = "plate"
	WeldLimit   LimitKind = "weld"
	ThreadLimit LimitKind = "thread"
	EndLimit    LimitKind = "end" // of the specimen itself
)

// Computed says whether the kind's capacity comes from dimensions.
func (k LimitKind) Computed() bool {
	switch k {
	case PinLimit, BarLimit, PlateLimit, WeldLimit, ThreadLimit, EndLimit:
		return true
	}
	return false
}

// compute fills in the capacity and the modes of a part without faults.
func (l *Limit) compute() {
	if l.Part == nil || len(l.Part.Faults()) > 0 {
		return
	}
	l.Modes = l.Part.Modes()
	l.Force, _ = part.Weakest(l.Modes)
}

// Governing is the mode that makes the capacity; false for a limit that is not
// computed.
func (l Limit) Governing() (part.Mode, bool) {
	if _, i := part.Weakest(l.Modes); i >= 0 {
		return l.Modes[i], true
	}
	return part.Mode{}, false
}

// FactorWords says the design factor in words.
func (l Limit) FactorWords() string {
	if l.Factor == 1 {
		return "design factor 1: the allowable is the whole capacity, nothing is kept back"
	}
	return fmt.Sprintf("design factor %s: the allowable is the capacity / %s, %s %% of it", trim(l.Factor), trim(l.Factor), si.Number(100/l.Factor, 0))
}

// tooStrong tells of a computed capacity above maxForce.
func tooStrong(l Limit) string {
	return fmt.Sprintf("the capacity of this %s comes to %s, past what a part of a rig of this size can have, %s", l.Kind, forceText(l.Force), forceText(maxForce))
}

// sameFigure is the relative tolerance between a capacity in a record and the
// one its dimensions give: other processors round a product otherwise.
const sameFigure = 1e-9

func same(a, b float64) bool { return math.Abs(a-b) <= sameFigure*math.Abs(b) }

// computed checks a limit from dimensions: the dimensions themselves, and that
// the capacity is what they give, so that a record cannot say otherwise.
func (c *checker) computed(key string, l Limit, r *Rig) {
	c.place(key, l, r)
	if l.Kind == EndLimit && l.At != AtSpecimen {
		c.fault(key+".at", "the specimen's end is on the specimen's side", `"specimen"`)
	}
	if l.Part == nil || l.Part.Kind() != string(l.Kind) {
		c.fault(key+".kind", "the dimensions are not those of a "+string(l.Kind), "the dimensions of one")
		return
	}
	faults := l.Part.Faults()
	for _, f := range faults {
		c.fault(key+"."+f.Key, f.Why, f.Want)
	}
	if l.Part.StrengthFrom != "" {
		c.label(key+".strength_from", l.Part.StrengthFrom, maxNote, `words on where the minimum is from`)
	}
	if len(faults) > 0 {
		return
	}
	modes := l.Part.Modes()
	capacity, _ := part.Weakest(modes)
	if capacity > maxForce {
		l.Force = capacity
		c.fault(key, tooStrong(l), "dimensions and strengths as they are: look at their units")
		return
	}
	if !within(c, key, capacity, minForce, maxForce, forceText, "dimensions of a part that carries something: look at their units") {
		return
	}
	if !same(float64(l.Force), float64(capacity)) {
		c.fault(key+".force", fmt.Sprintf("%s is not what the dimensions give, %s", forceText(l.Force), forceText(capacity)), "the capacity of the weakest mode")
	}
	ok := len(l.Modes) == len(modes)
	for i := 0; ok && i < len(modes); i++ {
		a, b := l.Modes[i], modes[i]
		ok = a.Name == b.Name && same(float64(a.Capacity), float64(b.Capacity)) && same(float64(a.Strength), float64(b.Strength)) &&
			len(a.Formula) < 2*maxNote && printable(a.Formula) && len(a.Source) < 2*maxNote && printable(a.Source) && printable(a.StrengthOf)
	}
	if !ok {
		c.fault(key+".modes", "not those that the dimensions give", "the modes of the part")
	}
}

// place checks where a force acts.
func (c *checker) place(key string, l Limit, r *Rig) {
	if l.At != AtRam && l.At != AtSpecimen && l.At != AtFar && l.At != AtSides || l.Pressure != 0 {
		c.fault(key+".at", "not known", wantAt)
	}
	if (l.At == AtFar || l.At == AtSides) && (r.Path.Kind == Direct || r.Path.Kind == Fixed && r.Path.Share >= 1) {
		c.fault(key+".at", "the path has no far side", `"ram" or "specimen"`)
	}
}
