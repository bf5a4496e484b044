package plan

import (
	"errors"
	"fmt"

	"draghand/internal/si"
	"draghand/internal/specimen"
)

// OfAlloy is what the table says of an alloy; ok is false where it knows none of
// that name, or more than one. The high end of the table is already the upper
// strength: typical × 1.2, or more where only a minimum is known.
func OfAlloy(t specimen.Table, name string) (s Strength, ok bool) {
	e, ok := t.Strength(name)
	if !ok {
		return Strength{}, false
	}
	s = Strength{Name: e.Name, Low: e.Low, High: e.High, Upper: e.High, How: "from " + e.LowWords + "; to " + e.HighWords}
	for _, r := range e.Rows {
		if r.Basis == specimen.Minimum {
			s.Standard = r.Standard
			break
		}
	}
	return s, true
}

// OfRange is a strength as a person expects it. A range holds its upper strength
// already; one figure alone is taken as typical, and the limits are held against
// 1.2 of it. upper overrules that; 0: it does not.
func OfRange(low, high, upper si.Stress) Strength {
	s := Strength{Low: low, High: high, Upper: specimen.UpperOf(low, high), How: "as you expect it"}
	if low == high {
		s.How = "one figure, taken as typical: the limits are held against 1.2 of it"
	}
	if upper > 0 {
		s.Upper, s.How = upper, "as you expect it; the limits are held against the upper strength you gave"
	}
	return s
}

// Least and most of a strength, as a specimen has it.
const (
	leastStress = 1 * si.Megapascal
	mostStress  = 5000 * si.Megapascal
)

// Valid says what is wrong with a strength; nil: nothing.
func (s Strength) Valid() error {
	var errs []error
	for _, v := range []si.Stress{s.Low, s.High, s.Upper} {
		if !(v >= leastStress && v <= Above*mostStress) {
			errs = append(errs, fmt.Errorf("a strength of %s is outside 1 MPa to 5000 MPa", v.Text(si.Metric)))
			break
		}
	}
	if s.Low > s.High {
		errs = append(errs, fmt.Errorf("a strength from %s to %s: the lower end comes first", s.Low.Text(si.Metric), s.High.Text(si.Metric)))
	}
	if s.Upper < s.High {
		errs = append(errs, fmt.Errorf("an upper strength of %s is below the %s expected", s.Upper.Text(si.Metric), s.High.Text(si.Metric)))
	}
	return errors.Join(errs...)
}

// alloyHigh is an alloy and the upper strength the table gives it.
type alloyHigh struct {
	name string
	high si.Stress
}

// uppers are the alloys of a table that have a strength, each once.
func uppers(t specimen.Table) (out []alloyHigh) {
	seen := map[string]bool{}
	for _, a := range t {
		if seen[a.Name] {
			continue
		}
		seen[a.Name] = true
		if e, ok := t.Strength(a.Name); ok {
			out = append(out, alloyHigh{e.Name, e.High})
		}
	}
	return out
}

// strongest is the alloy with the greatest upper strength of at most this; empty
// where every one is stronger.
func strongest(of []alloyHigh, most si.Stress) string {
	best := alloyHigh{}
	for _, a := range of {
		if a.high <= most && a.high > best.high {
			best = a
		}
	}
	return best.name
}
