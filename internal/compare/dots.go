package compare

import (
	"math"
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/si"
)

// The bounds on a dot plot in letters.
const (
	dotsName  = 16 // cells of a group's name
	dotsLeast = 20 // letters of the scale
)

// Dots is a dot plot in letters, a line a group on one scale, no line longer than
// wide: o is a bar, a digit so many at one place (9: nine or more), > one that bore at
// least so much and did not break, * both at one place. Nil where there is nothing to plot.
func (c *Comparison) Dots(sys si.System, wide int) []string {
	low, high, name := math.Inf(1), math.Inf(-1), 0
	for i := range c.Groups {
		g := &c.Groups[i]
		name = max(name, min(ansi.StringWidth(g.Name), dotsName))
		for _, v := range g.values() {
			low, high = min(low, v), max(high, v)
		}
	}
	room := wide - name - 4
	if !(low <= high) || room < dotsLeast {
		return nil
	}
	at := func(v float64) int {
		if high == low {
			return room / 2
		}
		return int(math.Round((v - low) / (high - low) * float64(room-1)))
	}
	var out []string
	for i := range c.Groups {
		g := &c.Groups[i]
		line := []rune(strings.Repeat(" ", room))
		count := make([]int, room)
		for j := range g.Pulls {
			count[at(float64(g.Pulls[j].Strength))]++
		}
		for j := range g.Censored {
			line[at(float64(g.Censored[j].AtLeast))] = '>'
		}
		for j, n := range count {
			switch {
			case n > 0 && line[j] == '>':
				line[j] = '*'
			case n == 1:
				line[j] = 'o'
			case n > 1:
				line[j] = rune('0' + min(n, 9))
			}
		}
		out = append(out, strings.TrimRight(padded(g.Name, name)+"  |"+string(line)+"|", " "))
	}
	left, right := number(low, sys), text(high, sys)
	scale := strings.Repeat(" ", name+3)
	if high == low {
		return append(out, scale+strings.Repeat(" ", max(0, room/2-utf8.RuneCountInString(right)/2))+right)
	}
	gap := room - utf8.RuneCountInString(left) - utf8.RuneCountInString(right)
	return append(out, scale+left+strings.Repeat(" ", max(1, gap))+right)
}

// DotsLegend says what the letters of Dots mean, those that are there.
func (c *Comparison) DotsLegend() string {
	out, held := "o a bar, a digit so many of them", false
	for i := range c.Groups {
		if len(c.Groups[i].Pulls) > 9 && !strings.HasSuffix(out, ")") {
			out += " (9: nine or more)"
		}
		held = held || len(c.Groups[i].Censored) > 0
	}
	if held {
		out += ", > bore at least so much, * both"
	}
	return out
}

// values are all that a group has on the scale, Pa.
func (g *Group) values() []float64 {
	out := strengths(g.Pulls)
	for i := range g.Censored {
		out = append(out, float64(g.Censored[i].AtLeast))
	}
	return out
}

// padded is a name in so many cells of a terminal; some letters take two.
func padded(s string, wide int) string {
	s = ansi.Truncate(s, wide, "…")
	return s + strings.Repeat(" ", wide-ansi.StringWidth(s))
}
