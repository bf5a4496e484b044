package shelf

import (
	"strings"

	"draghand/internal/pull"
	"draghand/internal/specimen"
	"draghand/internal/strength"
)

// ByResult is what of a filter asks for what only comes out in a pull: how strong a bar
// was, how far it stretched, whether it broke or counts. Written as the filter; empty:
// nothing of it does. Bars that are picked so say nothing of those that were not.
func (f Filter) ByResult() string {
	var of Filter
	for i := range f.terms {
		if f.terms[i].onResult() {
			of.terms = append(of.terms, f.terms[i])
		}
	}
	return of.String()
}

// leastWord is from how many letters on a bare word is taken to mean an outcome that
// holds it: shorter ones stand in nearly everything.
const leastWord = 3

func (t *term) onResult() bool {
	switch t.about {
	case onStrength, onAtLeast, onForce, onStress, onElong, onCounts, onOutcome:
		return true
	case anyWord:
		if len(t.word) < leastWord {
			return false
		}
		for _, p := range []pull.Phase{pull.Broken, pull.Faded, pull.LetOff, pull.Ended, pull.Unclear} {
			if strings.Contains(string(p), t.word) {
				return true
			}
		}
	}
	return false
}

// Unread are the names of the records of a list that cannot be read and are not among
// those taken (by folder): nobody knows their melt.
func Unread(all []Entry, taken map[string]bool) (out []string) {
	for i := range all {
		if e := &all[i]; !taken[e.Dir] && (e.Condition == Damaged || e.Condition == Newer) {
			out = append(out, e.Name)
		}
	}
	return out
}

// Behind are the tension pulls of a list that can be read, are of a melt of those in
// taken (by folder), in whatever capitals and blanks it is written, and are not among
// them. What is known not to count is none: it would be in no mean.
func Behind(all []Entry, taken map[string]bool) []Entry {
	melt := func(b *specimen.Specimen) string { return strings.ToLower(strings.Join(strings.Fields(b.Melt), "")) }
	melts := map[string]bool{}
	for i := range all {
		if e := &all[i]; taken[e.Dir] && e.Readable() {
			melts[melt(&e.Specimen)] = true
		}
	}
	delete(melts, "")
	var out []Entry
	for i := range all {
		e := &all[i]
		if !taken[e.Dir] && e.Readable() && e.Kind == pull.Tension && e.Counts != strength.CountsNot && melts[melt(&e.Specimen)] {
			out = append(out, *e)
		}
	}
	return out
}
