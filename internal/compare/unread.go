package compare

import (
	"slices"
)

// Unread says which records could not be read, those taken and those beside them: the
// missing bar may be the weak one, and nobody knows. Empty where all could be.
func (c *Comparison) Unread() string {
	names := slices.Clone(c.Options.Chosen.Unread)
	add := func(all []Pull) {
		for i := range all {
			if unread(&all[i]) {
				names = append(names, all[i].Record)
			}
		}
	}
	for i := range c.Groups {
		add(c.Groups[i].Left)
	}
	add(c.Outside)
	slices.SortFunc(names, inOrder)
	are := "they are"
	if len(names) == 1 {
		are = "it is"
	}
	if len(names) == 0 {
		return ""
	}
	return plural(len(names), "record") + " could not be read (" + first(names) + "): whether " + are + " of a melt that is compared, nobody knows"
}

// UnreadCount is how many of the records that were to be compared could not be read.
func (c *Comparison) UnreadCount() int {
	n := counted(c.Outside, unread)
	for i := range c.Groups {
		n += counted(c.Groups[i].Left, unread)
	}
	return n
}
