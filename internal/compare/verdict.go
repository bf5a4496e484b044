package compare

import (
	"math"

	"draghand/internal/si"
	"draghand/internal/strength"
)

// Verdict is what a group says of a minimum, in the words that stand wherever it does.
type Verdict string

// The verdicts.
const (
	Holds         Verdict = "holds"             // the strength to count on reaches it
	WouldHold     Verdict = "would hold"        // what comes out does, and should not be trusted
	NotShown      Verdict = "not shown to hold" // it does not, and no bar lies under it: more bars may show it
	DoesNotHold   Verdict = "does not hold"     // it does not, and bars lie under it
	UnderWithout  Verdict = "not shown"         // there is none to count on, and bars lie under it
	CannotBeTold  Verdict = "cannot be told"    // there is none, or not enough is taken off it
	NothingToHold Verdict = ""                  // no minimum, or no bar that counts
)

// Verdict holds a group against a minimum that it was reckoned with.
func (g *Group) Verdict(minimum si.Stress) Verdict {
	if !(minimum > 0) || len(g.Pulls) == 0 {
		return NothingToHold
	}
	under := g.Under(minimum) > 0
	switch c := g.CountOn; {
	case (c == nil || !(c.Promised > 0)) && under:
		return UnderWithout
	case c == nil || !(c.Promised > 0) || c.Holds == nil:
		return CannotBeTold
	case *c.Holds && c.Grade() == NotTrusted:
		return WouldHold
	case *c.Holds:
		return Holds
	case under:
		return DoesNotHold
	}
	return NotShown
}

// mostDecimals is with how many decimals a minimum is looked for in the units that it was
// stated in.
const mostDecimals = 5

// statedIn are the units a stress was stated in: those that have it with the fewest
// decimals, and SI ones where none has it.
func statedIn(v si.Stress) (sys si.System, decimals int, exact bool) {
	for d := range mostDecimals + 1 {
		for _, sys := range []si.System{si.US, si.Metric} {
			if p := v.In(sys).Value * math.Pow10(d); math.Abs(p-math.Round(p)) <= exactly*math.Abs(p) {
				return sys, d, true
			}
		}
	}
	return si.Metric, 3, false
}

// fine is a minimum as a person stated it, in the units it was stated in: it is held
// against the figure in those. One that was stated in others is rounded up.
func fine(v si.Stress) string {
	sys, decimals, exact := statedIn(v)
	s := v.In(sys)
	if s.Decimals = max(s.Decimals, decimals); !exact {
		s.Value = math.Ceil(s.Value*1e3) / 1e3
	}
	return s.String()
}

// promisedFor is a strength as it is shown in the units of a minimum, rounded down: what
// the minimum is held against, so that figure and verdict never contradict each other,
// and the verdict does not hang on the units somebody reads. Without a minimum it is the
// lower of what is read in ksi and in MPa.
func promisedFor(s, minimum si.Stress) si.Stress {
	ksi, mpa := strength.Down(s, si.US).Value*si.KSI, strength.Down(s, si.Metric).Value*si.Megapascal
	if !(minimum > 0) {
		return stress(min(ksi, mpa)) // NaN where either is
	}
	if sys, _, _ := statedIn(minimum); sys == si.US {
		return stress(ksi)
	}
	return stress(mpa)
}

// Mark is where the strength to count on stands in a drawing: where it is shown, so that
// it lies beside the line of a minimum as the verdict says.
func (c *CountOn) Mark(minimum si.Stress, sys si.System) si.Stress {
	if minimum > 0 {
		return promisedFor(c.Strength, minimum)
	}
	unit := si.Stress(si.KSI)
	if sys == si.Metric {
		unit = si.Megapascal
	}
	return si.Stress(strength.Down(c.Strength, sys).Value) * unit
}

// reaches says that a stress is a minimum at least, but for dust between units.
func reaches(s, minimum si.Stress) bool { return trimmed(float64(s)) >= trimmed(float64(minimum)) }

// AsStated is the strength to count on in the units a minimum was stated in, "282 MPa,
// rounded down": what it was held against. Empty where the figures are read in those.
func (c *CountOn) AsStated(minimum si.Stress, sys si.System) string {
	own, _, _ := statedIn(minimum)
	if own == sys {
		return ""
	}
	return strength.Down(c.Strength, own).String() + ", rounded down"
}
