package shelf

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"draghand/internal/strength"
)

// SortKey is what a shelf is ordered by.
type SortKey string

// The keys. ByBegan is the order of List: newest first.
const (
	ByBegan      SortKey = "began"
	ByBar        SortKey = "bar" // melt and number
	ByAlloy      SortKey = "alloy"
	ByDiameter   SortKey = "diameter"
	ByStrength   SortKey = "strength" // what a bar bore that did not break is none
	ByElongation SortKey = "elongation"
	ByCounts     SortKey = "counts" // yes, with-remarks, no
	ByOutcome    SortKey = "outcome"
)

// SortKeys are all of them, as a screen goes through them.
func SortKeys() []SortKey {
	return []SortKey{ByBegan, ByBar, ByAlloy, ByDiameter, ByStrength, ByElongation, ByCounts, ByOutcome}
}

// ParseSort reads a key; one with a minus before it is the other way round.
func ParseSort(text string) (by SortKey, reverse bool, err error) {
	word, reverse := strings.CutPrefix(strings.ToLower(strings.TrimSpace(text)), "-")
	if by = SortKey(word); slices.Contains(SortKeys(), by) {
		return by, reverse, nil
	}
	var names []string
	for _, k := range SortKeys() {
		names = append(names, string(k))
	}
	return ByBegan, false, fmt.Errorf("%q is nothing to sort by: write one of %s, with a minus before it for the other way round", text, strings.Join(names, " "))
}

// sortable is what an entry is ordered by: one of the two.
type sortable struct {
	unknown bool
	value   float64
	text    string
	at      int // in the list before
}

// Sort orders entries by a key: dates newest first, names and numbers from the least
// on, the numbers in names as numbers (M2 before M10); with reverse the other way
// round. What has none of it comes last either way. Those that are alike stay in
// their order.
func Sort(all []Entry, by SortKey, reverse bool) {
	keys := make([]sortable, len(all))
	for i := range all {
		keys[i] = sortKeyOf(&all[i], by)
		keys[i].at = i
	}
	slices.SortStableFunc(keys, func(a, b sortable) int {
		switch {
		case a.unknown || b.unknown:
			return order(a.unknown, b.unknown)
		case reverse:
			a, b = b, a
		}
		return cmp.Or(cmp.Compare(a.value, b.value), natural(a.text, b.text))
	})
	sorted := make([]Entry, len(all))
	for i, k := range keys {
		sorted[i] = all[k.at]
	}
	copy(all, sorted)
}

// order puts false before true.
func order(a, b bool) int {
	switch {
	case a == b:
		return 0
	case a:
		return 1
	}
	return -1
}

func sortKeyOf(e *Entry, by SortKey) sortable {
	number := func(v float64) sortable { return sortable{value: v, unknown: v == 0} }
	text := func(s string) sortable { return sortable{text: s, unknown: s == ""} }
	switch by {
	case ByBar:
		return text(strings.Trim(e.Specimen.Melt+"-"+e.Specimen.ID, "-"))
	case ByAlloy:
		return text(e.Specimen.Alloy)
	case ByDiameter:
		return number(float64(e.Specimen.Diameter()))
	case ByStrength:
		return number(float64(e.Strength))
	case ByElongation:
		if e.Elongation == nil {
			return sortable{unknown: true}
		}
		return sortable{value: *e.Elongation}
	case ByCounts:
		i := slices.Index([]string{strength.Counts, strength.CountsWithRemarks, strength.CountsNot}, e.Counts)
		return sortable{value: float64(i), unknown: i < 0}
	case ByOutcome:
		return text(string(e.Outcome))
	}
	// Seconds before now: a float64 tells microseconds apart for the years in use.
	when := e.When()
	return sortable{value: -float64(when.UnixMicro()), unknown: when.IsZero()}
}

// natural compares two names, numbers in them as numbers and letters in whatever
// case; those that are alike so, by their very text.
func natural(a, b string) int {
	x, y := a, b
	for x != "" && y != "" {
		if digit(x[0]) && digit(y[0]) {
			var m, n string
			m, x = digits(x)
			n, y = digits(y)
			if c := cmp.Or(cmp.Compare(len(m), len(n)), strings.Compare(m, n)); c != 0 {
				return c
			}
			continue
		}
		if c := cmp.Compare(lower(x[0]), lower(y[0])); c != 0 {
			return c
		}
		x, y = x[1:], y[1:]
	}
	return cmp.Or(cmp.Compare(len(x), len(y)), strings.Compare(a, b))
}

func digit(c byte) bool { return c >= '0' && c <= '9' }

func lower(c byte) byte {
	if c >= 'A' && c <= 'Z' {
		return c + 'a' - 'A'
	}
	return c
}

// digits takes a whole number off a text, without its leading zeros.
func digits(s string) (n, rest string) {
	end := 0
	for end < len(s) && digit(s[end]) {
		end++
	}
	return strings.TrimLeft(s[:end], "0"), s[end:]
}
