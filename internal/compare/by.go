package compare

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"draghand/internal/specimen"
)

// ParseBy reads what pulls are grouped by: all, melt, alloy, tag, marks, or
// tag:wet-sand,dry-sand for those tags alone.
func ParseBy(text string) (By, error) {
	field, list, named := strings.Cut(text, ":")
	field = strings.ToLower(strings.TrimSpace(field))
	by := By{Field: Field(field)}
	switch by.Field {
	case ByTag:
	case ByAll, ByMelt, ByAlloy, ByMarked:
		if named {
			return By{}, fmt.Errorf("%q: only tag takes names, as in tag:wet-sand,dry-sand", text)
		}
		return by, nil
	default:
		return By{}, fmt.Errorf("%q is nothing to group by: all, melt, alloy, tag, tag:wet-sand,dry-sand or marks", text)
	}
	if !named {
		return by, nil
	}
	for name := range strings.SplitSeq(list, ",") {
		name = tidy(name)
		switch {
		case name == "":
			return By{}, fmt.Errorf("%q: a tag is empty", text)
		case len(name) > specimen.MaxTag:
			return By{}, fmt.Errorf("a tag is longer than %d bytes", specimen.MaxTag)
		case !utf8.ValidString(name) || strings.ContainsFunc(name, unicode.IsControl):
			return By{}, fmt.Errorf("tag %q holds what is no text", name)
		case slices.Contains(by.Tags, name):
			return By{}, fmt.Errorf("%q: the tag %q is named twice", text, name)
		}
		by.Tags = append(by.Tags, name)
	}
	return by, nil
}

// String is what ParseBy reads.
func (b By) String() string {
	if len(b.Tags) == 0 || b.Field != ByTag {
		return string(b.Field)
	}
	return string(b.Field) + ":" + strings.Join(b.Tags, ",")
}

// place is the group of a pull; or why it is in none.
func (b By) place(p *Pull) (group, why string) {
	switch {
	case b.Field == ByAll:
		return "all", ""
	case b.Field == ByMarked:
		if p.Marked == "" {
			return "", "it was put into no group"
		}
		return p.Marked, ""
	case unread(p):
		return "", "" // Out says it
	case b.Field == ByMelt:
		return orElse(p.Melt, "(no melt)"), ""
	case b.Field == ByAlloy:
		return orElse(p.Alloy, "(no alloy)"), ""
	case len(b.Tags) == 0:
		return orElse(strings.Join(p.Tags, ", "), "(no tag)"), ""
	}
	var has []string
	for _, t := range b.Tags {
		if slices.Contains(p.Tags, t) {
			has = append(has, t)
		}
	}
	switch len(has) {
	case 0:
		return "", "it has none of the tags that are compared"
	case 1:
		return has[0], ""
	}
	return "", "it has two of the tags that are compared: " + strings.Join(has, " and ")
}

// wanted are the groups that are asked for by name, which are there though empty.
func (b By) wanted() []string {
	switch b.Field {
	case ByAll:
		return []string{"all"}
	case ByTag:
		return b.Tags
	}
	return nil
}

func orElse(s, otherwise string) string {
	if s == "" {
		return otherwise
	}
	return s
}

// inOrder compares names as people count them: M2 comes before M10. Names in
// brackets, of what has none, come last.
func inOrder(a, b string) int {
	if x, y := strings.HasPrefix(a, "("), strings.HasPrefix(b, "("); x != y {
		if x {
			return 1
		}
		return -1
	}
	x, y := a, b
	for x != "" && y != "" {
		nx, ny := digits(x), digits(y)
		if nx > 0 && ny > 0 {
			p, q := strings.TrimLeft(x[:nx], "0"), strings.TrimLeft(y[:ny], "0")
			if len(p) != len(q) {
				return len(p) - len(q)
			}
			if c := strings.Compare(p, q); c != 0 {
				return c
			}
			x, y = x[nx:], y[ny:]
			continue
		}
		if x[0] != y[0] {
			return int(x[0]) - int(y[0])
		}
		x, y = x[1:], y[1:]
	}
	if len(x) != len(y) {
		return len(x) - len(y)
	}
	return strings.Compare(a, b)
}

// digits is how many a text begins with.
func digits(s string) int {
	n := 0
	for n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}

var errBound = errors.New(`write it like 90/95: 90 % of the bars, with 95 % confidence`)

// ParseBound reads a tolerance bound: the content, a slash and the confidence, both
// in percent, such as 90/95. Each lies between 50 and 99.99.
func ParseBound(text string) (content, confidence float64, err error) {
	a, b, ok := strings.Cut(text, "/")
	if !ok {
		return 0, 0, fmt.Errorf("%q is no bound: %w", text, errBound)
	}
	parts := [2]float64{}
	for i, t := range []string{a, b} {
		t = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(t), "%"))
		v, err := strconv.ParseFloat(t, 64)
		if err != nil || !(v >= 50 && v <= 99.99) {
			return 0, 0, fmt.Errorf("%q is no percentage from 50 to 99.99: %w", t, errBound)
		}
		parts[i] = math.Round(v*1e8) / 1e10 // v/100 of 99.9 is not 0.999
	}
	return parts[0], parts[1], nil
}
