package compare

import (
	"fmt"
	"slices"
	"strings"
)

// spelled says which names are one but for capitals and blanks: to who typed them they may
// be one, and a filter does not look at capitals, but to a comparison they are several.
// Melts and alloys are looked at always, tags where these make the groups; of a record that
// cannot be read none is known.
func (c *Comparison) spelled(all []Pull) {
	var melts, alloys, tags []string
	if c.By.Field == ByTag {
		tags = append(tags, c.By.Tags...)
	}
	for i := range all {
		p := &all[i]
		if unread(p) {
			continue
		}
		melts, alloys = append(melts, p.Melt), append(alloys, p.Alloy)
		if c.By.Field == ByTag {
			tags = append(tags, p.Tags...)
		}
	}
	const label = "label them alike" + typeLabel
	say := func(what, remedy string, names []string) {
		if sets := severalWays(names); len(sets) > 0 {
			c.note("%s that differ by capitals or blanks alone are taken for different ones; if they are one, %s: %s", what, remedy, strings.Join(sets, "; "))
		}
	}
	say("melts", label, melts)
	say("alloys", "compare by melt or marks, and write them alike from now on", alloys)
	say("tags", label, tags)
}

// severalWays are the names that are written in several ways, all ways of a name
// together; of very many the first.
func severalWays(names []string) (out []string) {
	const most = 3
	slices.SortFunc(names, inOrder)
	ways := map[string][]string{}
	var first []string
	for _, name := range slices.Compact(names) {
		key := folded(name)
		if ways[key] == nil {
			first = append(first, key)
		}
		ways[key] = append(ways[key], name)
	}
	for _, key := range first {
		if len(ways[key]) > 1 {
			out = append(out, list(ways[key]))
		}
	}
	if n := len(out) - most; n > 1 {
		out = append(out[:most], fmt.Sprintf("and %d more such", n))
	}
	return out
}

// folded is a name without capitals and blanks.
func folded(name string) string { return strings.ToLower(strings.ReplaceAll(name, " ", "")) }
