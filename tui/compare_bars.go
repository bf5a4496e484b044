package tui

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/compare"
	"draghand/internal/si"
	"draghand/internal/strength"
)

// drawBars lists the pulls of the group, those that count by strength, the weakest
// first, then those let off and those left out. Only what is in sight is made.
func (m *CompareScreen) drawBars(p *plate, r room, g *compare.Group) {
	n, have := m.bars(), r.h-2
	name := max(10, min(18, r.w/6))
	at := [3]int{r.x + 2, r.x + 4 + name, r.x + 4 + name + 19}
	wide := r.x + r.w - at[2]
	below := m.markedLines(g, r.w, wide)
	have -= len(below)
	from := max(0, min(m.bar-have/2, n-have))
	more := ""
	if n > have {
		more = fmt.Sprintf(" number %s of %s", si.Number(float64(m.bar+1), 0), si.Number(float64(n), 0))
	}
	r.heading(p, "bars, the weakest first", false, more)
	for i, head := range []string{"bar", "strength", "what to know"} {
		p.text(at[i], r.y+1, r.x+r.w-at[i], head, faint)
	}
	for i := from; i < min(n, from+have); i++ {
		y, b := r.y+2+i-from, m.barAt(i)
		k := plain
		if i == m.bar {
			k = strong
			p.text(r.x, y, 1, "▸", strong)
		}
		value, told, ti := m.barTexts(g, i)
		p.text(at[0], y, name, cutMiddle(pullName(b), name), k)
		p.text(at[1], y, 18, value, k)
		if ti == plain || len(told) == 0 {
			p.text(at[2], y, wide, joinFit(wide, told...), k)
			continue
		}
		rest := p.text(at[2], y, wide, told[0], ti) + 3
		if all := joinFit(wide, told...); ansi.StringWidth(all) > ansi.StringWidth(told[0])+3 {
			p.text(rest, y, r.x+r.w-rest, strings.TrimPrefix(all, told[0]+"   "), k)
		}
	}
	for i, l := range below {
		k := faint
		if i > 0 {
			k = plain
		}
		p.text(r.x, r.y+r.h-len(below)+i, r.w, l, k)
	}
}

// markedLines are the marked bar in full, where the list has no room for it.
func (m *CompareScreen) markedLines(g *compare.Group, w, room int) []string {
	if m.bars() == 0 || m.bar >= m.bars() {
		return nil
	}
	b := m.barAt(m.bar)
	value, told, _ := m.barTexts(g, m.bar)
	text := strings.Join(told, ", ")
	if ansi.StringWidth(strings.Join(told, "   ")) <= room {
		return nil
	}
	if value != "" {
		text = value + ", " + text
	}
	return append([]string{strings.Repeat("╌", w)}, noteLines(pullName(b)+": "+text, w)...)
}

// barTexts are the strength of a pull, and what is to be known of it, the most telling
// first; of two records of one bar their folders too.
func (m *CompareScreen) barTexts(g *compare.Group, i int) (value string, told []string, k ink) {
	value, told, k = m.barKnown(g, i)
	if folder := m.folderOf(m.barAt(i)); folder != "" {
		told = slices.Insert(told, min(1, len(told)), "in "+folder)
	}
	return value, told, k
}

// barKnown is the same without the folder.
func (m *CompareScreen) barKnown(g *compare.Group, i int) (value string, told []string, k ink) {
	u, b := m.units, m.barAt(i)
	switch last := m.bars() - len(m.c.Outside); {
	case i >= last:
		return "", []string{"in no group: " + clean(b.Out)}, faint
	case i >= len(g.Pulls) && b.Censored():
		return "at least " + b.AtLeast.Text(u), []string{atLeastWhy(b)}, live
	case i >= len(g.Pulls):
		return "", []string{"left out: " + clean(b.Out)}, faint
	}
	value = b.Strength.Text(u)
	if b.Expanded > 0 && finite(float64(b.Expanded)) {
		_, doubt, unit := strength.Doubted(b.Strength, b.Expanded, u)
		value = number(float64(b.Strength), u) + " ± " + doubt + " " + unit
	}
	if i == flagged(g) {
		told, k = append(told, "◆ LIES APART"), stop
		if len(b.Seen) > 0 {
			told = append(told, clean(strings.Join(b.Seen, ", ")))
		}
	}
	was := k
	switch {
	case b.Counts == strength.CountsWithRemarks:
		told, k = append(told, "△ with remarks"), caution
	case b.Counts == "":
		told, k = append(told, "△ break not looked at"), caution
	}
	if was == stop { // the graver colour
		k = stop
	}
	if b.Elongation != nil {
		told = append(told, "elongation "+si.Number(100**b.Elongation, 1)+" %")
	}
	if b.Diameter > 0 {
		told = append(told, b.Diameter.Size(u))
	}
	if !b.Started.IsZero() {
		told = append(told, b.Started.In(m.zone).Format("2006-01-02"))
	}
	return value, told, k
}
