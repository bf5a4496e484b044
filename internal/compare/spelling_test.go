package compare_test

import (
	"slices"
	"strings"
	"testing"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// Names that differ by capitals or blanks alone may be one to who typed them, and are
// several to a comparison: it says so, with each way they are written.
func TestSpelledInTwoWays(t *testing.T) {
	spelled := func(set func(p *compare.Pull, name string), names ...string) []compare.Pull {
		return each(slices.Concat(worked("M1"), worked("M2")), func(i int, p *compare.Pull) { set(p, names[i%len(names)]) })
	}
	const (
		differ = " that differ by capitals or blanks alone are taken for different ones; if they are one, "
		melts  = "melts" + differ + "label them alike (draghand label)"
		tags   = "tags" + differ + "label them alike (draghand label)"
		alloys = "alloys" + differ + "compare by melt or marks, and write them alike from now on"
	)
	melt := func(p *compare.Pull, name string) { p.Melt = name }
	alloy := func(p *compare.Pull, name string) { p.Alloy = name }
	tag := func(p *compare.Pull, name string) { p.Tags = []string{"hot", name} }
	for what, row := range map[string]struct {
		all []compare.Pull
		by  string
		say string // empty: nothing
	}{
		"one melt":            {spelled(melt, "M1"), "melt", ""},
		"two melts":           {spelled(melt, "M1", "M2", ""), "melt", ""},
		"capitals":            {spelled(melt, "m1", "M1"), "melt", melts + ": M1 and m1"},
		"blanks":              {spelled(melt, "M 1", "M1", "m1", "M2"), "melt", melts + ": M 1, M1 and m1"},
		"two of them":         {spelled(melt, "M2", "M1", "m1", "m2", "M3"), "melt", melts + ": M1 and m1; M2 and m2"},
		"many of them":        {spelled(melt, "a", "A", "b", "B", "c", "C", "d", "D", "e", "E"), "melt", melts + ": A and a; B and b; C and c; and 2 more such"},
		"not of ASCII":        {spelled(melt, "Öse", "öse"), "melt", melts + ": Öse and öse"},
		"in one group":        {spelled(melt, "m1", "M1"), "all", melts + ": M1 and m1"},
		"alloys":              {spelled(alloy, "C90500", "c90500", "c 90500"), "alloy", alloys + ": C90500, c 90500 and c90500"},
		"tags":                {spelled(tag, "wet", "Wet"), "tag", tags + ": Wet and wet"},
		"tags not grouped by": {spelled(tag, "wet", "Wet"), "melt", ""},
		"a named tag":         {spelled(tag, "Wet", "dry"), "tag:wet,dry", tags + ": Wet and wet"},
	} {
		by, err := compare.ParseBy(row.by)
		if err != nil {
			t.Fatal(err)
		}
		c := compare.Of(row.all, by, compare.NewOptions())
		notes := strings.Join(c.Notes, "\n")
		if row.say == "" {
			hasNot(t, what+": "+notes, "capitals")
			continue
		}
		has(t, what+": "+notes, row.say)
		has(t, words(&c, si.US), "CAUTION: "+row.say)
	}
}

// A record whose melt nobody could read is of none.
func TestUnreadIsNotSpelled(t *testing.T) {
	all := worked("M1")
	other := bars("m1", 44)[0]
	other.Kind = ""
	c := compare.Of(append(all, other), byMelt(), compare.NewOptions())
	hasNot(t, strings.Join(c.Notes, "\n"), "capitals")
}
