package report

import (
	"fmt"
	"strings"

	"draghand/internal/compare"
)

// Bounds of what stands above all else, so that the figures are still seen.
const (
	mostDoubts  = 8 // boxes of strengths to count on of one grade that something speaks against
	mostDoubted = 8 // groups that one of them names
)

// counts are the pulls of the comparison, and how many of them are simulated. What could
// not be read is none of them.
func (f *batchFacts) counts() (all, simulated int) {
	for i := range f.c.Groups {
		s, n := f.c.Groups[i].Simulated()
		all, simulated = all+n, simulated+s
	}
	for i := range f.c.Outside {
		if f.c.Outside[i].Unread() {
			continue
		}
		all++
		if f.c.Outside[i].Simulated {
			simulated++
		}
	}
	return all, simulated
}

// warnings are what stands above all else: what is simulated, what is mixed, and
// what speaks against a strength to count on.
func (f *batchFacts) warnings() (out []string, simulated bool) {
	all, sim := f.counts()
	switch {
	case sim > 0 && sim == all:
		out = append(out, "SIMULATED: no metal was broken for this. Nothing in it says anything about any casting.")
	case sim > 0:
		out = append(out, fmt.Sprintf("PARTLY SIMULATED: for %d of %d pulls no metal was broken. Nothing that they are part of says anything about any casting.", sim, all))
	}
	for _, n := range onPage(f.c.Notes) {
		out = append(out, "CAUTION: "+n+".")
	}
	return append(out, f.doubts()...), sim > 0
}

// doubts are the strengths to count on that something speaks against, those of one
// reason together, what should not be trusted first. Each group tells its reason itself,
// too.
func (f *batchFacts) doubts() (out []string) {
	for _, grade := range []string{compare.NotTrusted, compare.WithCaution} {
		out = append(out, f.doubtsOf(grade)...)
	}
	return out
}

func (f *batchFacts) doubtsOf(grade string) (out []string) {
	groups := map[string][]string{} // by the reason
	var reasons []string
	for i := range f.c.Groups {
		g := &f.c.Groups[i]
		k := g.CountOn
		if k == nil || k.Grade() != grade || k.Nothing(f.opt.Units) {
			continue
		}
		why := tidy(k.Doubtful)
		if groups[why] == nil {
			reasons = append(reasons, why)
		}
		groups[why] = append(groups[why], tidy(g.Name))
	}
	grade = strings.ToUpper(grade)
	var rest []string
	for i, why := range reasons {
		of := groups[why]
		switch {
		case i >= mostDoubts && len(reasons) > mostDoubts+1: // two at the least
			rest = append(rest, of...)
		case len(of) == 1:
			out = append(out, grade+", the strength to count on of "+of[0]+": "+why+".")
		default:
			out = append(out, grade+", the strengths to count on of "+groupNames(of, mostDoubted)+": "+why+".")
		}
	}
	if len(rest) > 0 {
		out = append(out, grade+" too, each for a reason that stands with it: the strengths to count on of "+groupNames(rest, mostDoubted)+".")
	}
	return out
}

// onPage are texts of a comparison for a reader who has no program.
func onPage(texts []string) []string {
	out := make([]string, len(texts))
	for i, t := range texts {
		out[i] = compare.OnPage(t)
	}
	return tidied(out)
}

// graded is a grade at the begin of a sentence.
func graded(grade string) string { return strings.ToUpper(grade[:1]) + grade[1:] }

// groupNames are names of groups in a sentence, the first of many.
func groupNames(names []string, most int) string {
	if n := len(names) - most; n > 1 {
		return fmt.Sprintf("%s and %d more groups", strings.Join(names[:most], ", "), n)
	}
	return strings.Join(names, ", ")
}
