package shelf

import (
	"cmp"
	"slices"
)

// nearFirst are the indices of names in the order in which they are best read from a
// disk: as their folders lie there, where the system tells. The list itself is in its
// own order; this only saves a cold disk going to and fro.
func nearFirst(dir string, names []string) []int {
	order := make([]int, len(names))
	for i := range order {
		order[i] = i
	}
	if len(names) < cacheLeast {
		return order
	}
	if at := inodes(dir); at != nil {
		slices.SortFunc(order, func(a, b int) int { return cmp.Compare(at[names[a]], at[names[b]]) })
	}
	return order
}
