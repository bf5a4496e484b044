package compare

import (
	"slices"

	"draghand/internal/record"
)

// Identify tells a pull from others by what was read; samples is the sum of its
// readings, empty where nobody knows it.
func (p *Pull) Identify(h *record.Head, samples string) {
	p.Read, p.Rows = Fingerprint(h, samples), ""
	if h.Imported != nil && h.Dial == nil {
		p.Rows = samples
	}
}

// sameRows tells each pull that says anything of a strength which others have the same
// rows in their tables though they were called otherwise.
func sameRows(all []Pull, seen *records) {
	by := map[string][]int{}
	for i := range all {
		p := &all[i]
		p.twins = nil // of another comparison
		if p.Rows != "" && seen.again(i) == "" && (finite(float64(p.Strength)) && p.Out == "" || finite(float64(p.AtLeast))) {
			by[p.Rows] = append(by[p.Rows], i)
		}
	}
	for _, of := range by {
		if len(of) < 2 {
			continue
		}
		var names []string
		for _, i := range of {
			names = append(names, all[i].Bar)
		}
		slices.SortFunc(names, inOrder)
		for _, i := range of {
			all[i].twins = names
		}
	}
}

// twins are the bars of a group whose tables hold the same rows as that of another bar,
// with those others; each such set once.
func (g *Group) twins() (out []string) {
	for _, all := range [][]Pull{g.Pulls, g.Censored} {
		for i := range all {
			if t := list(all[i].twins); t != "" && !slices.Contains(out, t) {
				out = append(out, t)
			}
		}
	}
	slices.SortFunc(out, inOrder)
	return out
}

// twice are the bars that are among some pulls more than once, by different records.
func twice(some ...[]Pull) []string {
	met, out := map[string]int{}, []string{}
	for _, all := range some {
		for i := range all {
			if p := &all[i]; p.Bar != p.Record {
				if met[p.Bar]++; met[p.Bar] == 2 {
					out = append(out, p.Bar)
				}
			}
		}
	}
	slices.SortFunc(out, inOrder)
	return out
}
