package specimen

import (
	"slices"

	"draghand/internal/si"
)

// Least is the least strength a standard asks of an alloy, and where that
// stands: "minimum, as sand cast, ASTM B584".
type Least struct {
	Strength si.Stress
	From     string
}

// Minimums are the least strengths that the rows of an alloy's name ask, in the
// order of the table: several where the name fits several conditions. None where
// no alloy, or more than one, has that name. A standard asks most of them of bars
// cast apart.
func (t Table) Minimums(name string) []Least {
	var out []Least
	rows := t.Find(name)
	for _, a := range rows {
		if squeezed(a.Name) != squeezed(rows[0].Name) {
			return nil
		}
		if a.Basis != Minimum || !(a.UTSLow > 0) {
			continue
		}
		from := a.Name + ": " + a.source(string(Minimum))
		if a.Own {
			from += " (own table)"
		}
		if l := (Least{a.UTSLow, from}); !slices.Contains(out, l) {
			out = append(out, l)
		}
	}
	return out
}
