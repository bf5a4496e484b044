package tui

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/compare"
)

// near is above what share of the weakest bar a strength to count on, or a minimum, is on
// the scale however far the bars lie from it. Our own rule.
const near = 0.70

// compareName is the room of the groups' names beside the dots.
const compareName = 12

// dotsHigh is how high the plot of all groups is with two rows a group, heading,
// scale and legend included.
func (m *CompareScreen) dotsHigh() int { return 2*len(m.c.Groups) + 3 }

// drawDots draws the bars of all groups on one scale: a row of bars, more where there
// is room, and under it bound, mean and the strength to count on.
func (m *CompareScreen) drawDots(p *plate, r room) {
	groups := m.c.Groups
	name := min(compareName, r.w/4)
	s := newStrengthScale(r.x+name+1, r.w-name-1, false)
	for i := range groups {
		g := &groups[i]
		for j := range g.Pulls {
			s.take(float64(g.Pulls[j].Strength))
		}
	}
	span, least := s.high-s.low, s.low
	for i := range groups {
		for j := range groups[i].Censored {
			at := float64(groups[i].Censored[j].AtLeast)
			if span > 0 {
				at = max(at, s.high-2*span)
			}
			s.take(at)
		}
	}
	for i := range groups { // a bound far below would press the bars into a line
		if b := groups[i].Bound; b != nil {
			s.take(max(float64(b.At), s.high-4*span, 0))
		}
		if mark := m.mark(&groups[i]); mark > 0 {
			at := max(mark, s.high-4*span)
			if at > mark && mark > near*least { // the figure that all is for
				at = mark
			}
			s.take(at)
		}
	}
	low := float64(m.c.Options.Minimum)
	if low > 0 && (low > s.low-2*span || low > near*least) && low < s.high+2*span {
		s.take(low)
	}
	const title = "every bar, on one scale"
	if !s.settle() {
		r.heading(p, title, false, "")
		p.text(r.x, r.y+1, r.w, "no bar broke and counts", faint)
		return
	}
	end := r.y + r.h - 2 // the row of the scale, the legend below it
	have := end - r.y - 1
	tall := m.tallest(&s)
	each := max(1, min(tall+2, have/max(1, len(groups)))) // a blank row between groups
	fits := min(len(groups), max(1, have/each))
	from := max(0, min(m.chosen-fits/2, len(groups)-fits))
	more := ""
	if fits < len(groups) {
		more = fmt.Sprintf(" groups %d to %d of %d", from+1, from+fits, len(groups))
	}
	r.heading(p, title, false, more)
	if x, ok := s.col(low); ok && low > 0 {
		for y := r.y + 1; y < r.y+1+fits*each; y++ {
			p.set(x, y, '┆', warning)
		}
	}
	for i := from; i < from+fits; i++ {
		y := r.y + (i-from+1)*each // the last row of the group
		k, at := faint, y-min(1, each-1)
		if i == m.chosen {
			k = strong
			p.text(r.x, at, 1, "▸", strong)
		}
		p.text(r.x+2, at, name-2, cutMiddle(clean(groups[i].Name), name-2), k)
		m.drawDotted(p, &s, &groups[i], y, each)
	}
	y := r.y + fits*each + 1
	s.draw(p, y, m.units)
	p.text(r.x, y+1, r.w, dotsLegend(p, room{s.x, r.y + 1, s.w, fits * each}, r.w, m.offScale(&s, from, from+fits)), faint)
}

// mark is where the strength to count on stands, Pa; 0 where there is none.
func (m *CompareScreen) mark(g *compare.Group) float64 {
	if g.CountOn == nil {
		return 0
	}
	return max(0, float64(g.CountOn.Mark(m.c.Options.Minimum, m.units)))
}

// dotsLegend are the signs that are drawn in a room, with what they mean.
func dotsLegend(p *plate, in room, w int, off string) string {
	var signs []string
	for _, t := range [...]string{"● bar", "┼ mean", "[ bound", "▴ count on", "◆ apart", "> at least", "┆ minimum", "█ several", "‹ off scale" + off} {
		if sign, _ := utf8.DecodeRuneInString(t); p.has(in, sign) {
			signs = append(signs, t)
		}
	}
	for len(signs) > 1 && ansi.StringWidth(strings.Join(signs, "  ")) > w {
		signs = signs[1:] // what a dot and a cross stand for is seen
	}
	return legend(w, signs...)
}

// offScale says what of the groups lies off the scale: ": count on".
func (m *CompareScreen) offScale(s *strengthScale, from, to int) string {
	var names []string
	bound, on, held := false, false, false
	for i := from; i < to; i++ {
		g := &m.c.Groups[i]
		bound = bound || g.Bound != nil && float64(g.Bound.At) < s.low
		mark := m.mark(g)
		on = on || mark > 0 && mark < s.low
		for j := range g.Censored {
			held = held || float64(g.Censored[j].AtLeast) < s.low
		}
	}
	for _, t := range [...]struct {
		is   bool
		name string
	}{{bound, "bound"}, {on, "count on"}, {held, "at least"}} {
		if t.is {
			names = append(names, t.name)
		}
	}
	if len(names) == 0 {
		return ""
	}
	return ": " + strings.Join(names, ", ")
}

// tallest is how many bars of a group fall on one column at the most.
func (m *CompareScreen) tallest(s *strengthScale) int {
	most := 1
	for i := range m.c.Groups {
		count := map[int]int{}
		for j := range m.c.Groups[i].Pulls {
			if x, ok := s.col(float64(m.c.Groups[i].Pulls[j].Strength)); ok {
				count[x]++
				most = max(most, count[x])
			}
		}
	}
	return min(most, 6)
}

// drawDotted draws one group into each rows that end at y: bars, and under them what
// comes of them; of one row, the bars over it.
func (m *CompareScreen) drawDotted(p *plate, s *strengthScale, g *compare.Group, y, each int) {
	bars := y
	high := each
	if each > 1 {
		bars, high = y-1, each-1
	}
	if b := g.Bound; b != nil {
		to, _ := s.col(g.Strength.Mean)
		from, ok := s.col(max(float64(b.At), s.low))
		if ok {
			for x := from; x <= to; x++ {
				p.set(x, y, '─', faint)
			}
			sign := '['
			if float64(b.At) < s.low {
				sign = '‹'
			}
			p.set(from, y, sign, plain)
		}
	}
	if x, ok := s.col(g.Strength.Mean); ok {
		p.set(x, y, '┼', strong)
	}
	if mark := m.mark(g); mark > 0 {
		if x, ok := s.col(mark); ok {
			p.set(x, y, '▴', hand)
		} else {
			p.set(s.x, y, '‹', hand)
		}
	}
	count, off, apart := map[int]int{}, map[int]int{}, flagged(g)
	for i := range g.Pulls {
		if x, ok := s.col(float64(g.Pulls[i].Strength)); ok && i != apart {
			count[x]++
		}
	}
	for i := range g.Censored {
		if x, ok := s.col(float64(g.Censored[i].AtLeast)); ok {
			off[x]++
		} else {
			p.set(s.x, bars, '‹', live)
		}
	}
	for x, n := range off {
		p.stack(x, bars, n, high, '>', live)
	}
	for x, n := range count {
		p.stack(x, bars, n, high, '●', good)
	}
	if apart >= 0 {
		if x, ok := s.col(float64(g.Pulls[apart].Strength)); ok {
			p.set(x, max(bars-count[x], bars-high+1), '◆', stop)
		}
	}
}
