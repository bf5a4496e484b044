package tui

import (
	"fmt"

	"draghand/internal/compare"
	"draghand/internal/si"
)

// drawBars lists the pulls of the group, those that count by strength, the weakest
// first, then those let off and those left out. Only what is in sight is made.
func (m *CompareScreen) drawBars(p *plate, r room, g *compare.Group) {
	n, have := m.bars(), r.h-2
	from := max(0, min(m.bar-have/2, n-have))
	more := ""
	if n > have {
		more = fmt.Sprintf(" number %s of %s", si.Number(float64(m.bar+1), 0), si.Number(float64(n), 0))
	}
	r.heading(p, "the bars of "+m.groupName(g)+", the weakest first", false, more)
	name := max(10, min(18, r.w/4))
	at := [3]int{r.x + 2, r.x + 4 + name, r.x + 4 + name + 22}
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
		flagged := g.Outlier != nil && g.Outlier.Flagged && i == g.Outlier.Index
		value, told, ti := m.barTexts(b, i >= len(g.Pulls), flagged)
		p.text(at[0], y, name, pullName(b), k)
		p.text(at[1], y, 21, value, k)
		if k == strong && ti == plain {
			ti = strong
		}
		p.text(at[2], y, r.x+r.w-at[2], told, ti)
	}
}

// barTexts are the strength of a pull, and what is to be known of it.
func (m *CompareScreen) barTexts(b *compare.Pull, out, flagged bool) (value, told string, k ink) {
	u := m.units
	switch {
	case out && b.Out != "":
		if b.AtLeast > 0 {
			value = "at least " + b.AtLeast.Text(u)
		}
		return value, "left out: " + clean(b.Out), faint
	case out:
		return "at least " + b.AtLeast.Text(u), "let off, it did not break", live
	}
	value = b.Strength.Text(u)
	if b.U > 0 {
		value = number(float64(b.Strength), u) + " ± " + fineSpread(2*float64(b.U), u)
	}
	switch {
	case flagged:
		told, k = "◆ LIES APART", stop
	case b.Counts == "with-remarks":
		told, k = "△ counts with remarks", caution
	}
	if b.Elongation != nil {
		told = joinWords(told, "elongation "+si.Number(100**b.Elongation, 1)+" %")
	}
	if b.Diameter > 0 {
		told = joinWords(told, b.Diameter.Size(u))
	}
	if !b.Started.IsZero() {
		told = joinWords(told, b.Started.In(m.zone).Format("2006-01-02"))
	}
	if b.Simulated {
		told = joinWords(told, "simulated")
	}
	return value, told, k
}

func joinWords(a, b string) string {
	if a == "" {
		return b
	}
	return a + ", " + b
}
