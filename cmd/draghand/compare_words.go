package main

import (
	"strings"

	"draghand/internal/calib"
	"draghand/internal/compare"
	"draghand/internal/si"
)

// compareWide is how wide the words are: a terminal of 80 columns.
const compareWide = 78

// compareLines are the words of a comparison in lines for a terminal, with the dot
// plot in letters.
func compareLines(c *compare.Comparison, sys si.System) []string {
	held := strings.NewReplacer(" ksi", "\u00a0ksi", " MPa", "\u00a0MPa")
	var out []string
	for _, l := range c.Lines(sys) {
		text := clean(l)
		body := strings.TrimLeft(text, " ")
		indent, hang := text[:len(text)-len(body)], "  "
		if indent != "" {
			hang += indent
		}
		for i, t := range calib.Wrapped(held.Replace(body), compareWide-len(hang)) {
			if i == 0 {
				out = append(out, indent+t)
			} else {
				out = append(out, hang+t)
			}
		}
	}
	dots := c.Dots(sys, compareWide)
	if len(dots) == 0 {
		return out
	}
	out = append(out, "")
	for _, l := range dots {
		out = append(out, spaced(l))
	}
	return append(out, "("+c.DotsLegend()+")")
}
