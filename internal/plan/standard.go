package plan

import (
	"slices"
	"strings"

	"draghand/internal/si"
	"draghand/internal/specimen"
)

// standards are the standard round bars of a unit system, each diameter once,
// largest first. Those of grey iron alone are no bars for another metal.
func standards(sys si.System, of string) []Size {
	var out []Size
	for _, s := range specimen.Standards() {
		if s.Units != sys || !(s.Diameter > 0) {
			continue
		}
		if s.AsCast.Nominal > 0 && !strings.Contains(of, "A48") {
			continue
		}
		at := slices.IndexFunc(out, func(o Size) bool { return o.Diameter == s.Diameter })
		if at < 0 {
			out = append(out, Size{Name: s.Diameter.Text(sys), Source: s.Source, Diameter: s.Diameter, GaugeLength: s.GaugeLength})
			continue
		}
		if !strings.Contains(out[at].Source, s.Source) {
			out[at].Source += "; " + s.Source
		}
	}
	slices.SortStableFunc(out, func(a, b Size) int {
		switch {
		case a.Diameter > b.Diameter:
			return -1
		case a.Diameter < b.Diameter:
			return 1
		}
		return 0
	})
	return out
}
