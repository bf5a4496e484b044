package tui

import (
	"fmt"

	"draghand/internal/plan"
	"draghand/internal/si"
)

// Columns beside the rails of the plan.
const (
	planName = 14 // of a size: its mark and "12.50 mm own"
	planNums = 25 // margin, uncertainty, verdict
)

// drawRails draws a rail for each size from row y to the row before bottom, the
// chosen one among them: how near to the stop of the part that comes first the
// specimen is expected to break. It gives the row after the last.
func (m *PlanScreen) drawRails(p *plate, y, bottom int) int {
	r := rails{x0: 2 + planName + 1, levels: m.levelsOf(), units: m.view.Units}
	r.numX = p.w - 2 - planNums
	r.w = r.numX - 2 - r.x0
	if r.w < 12 || bottom-y < 2 {
		return y
	}
	each, thick := 1, 1
	switch have := bottom - y - 1; {
	case have >= 4*len(m.sizes):
		each, thick = 4, 3
	case have >= 2*len(m.sizes):
		each = 2
	}
	n := min(len(m.sizes), max(1, (bottom-y-1)/each))
	m.drawRailHead(p, y, &r, n)
	y++
	from := max(0, min(m.chosen-n/2, len(m.sizes)-n))
	for i := from; i < from+n; i++ {
		m.drawRail(p, y, thick, &r, i)
		y += each
	}
	return y - each + thick
}

// drawRailHead names the part whose rail it is, and the columns; n sizes are
// shown.
func (m *PlanScreen) drawRailHead(p *plate, y int, r *rails, n int) {
	head := "size"
	if n < len(m.sizes) {
		head = fmt.Sprintf("%d of %d sizes", n, len(m.sizes))
	}
	p.text(4, y, planName-2, head, faint)
	part := m.plan.Part
	name := ""
	if part != nil {
		name = clean(part.Name)
	}
	caution, warning := r.at(r.levels.Caution), r.at(r.levels.Warning)
	words := [2]string{"caution", "warning"}
	if warning-caution < 9 {
		words = [2]string{percentMark(r.levels.Caution), percentMark(r.levels.Warning)}
	}
	from := p.right(caution+1, y, 7, words[0], faint) // they end at their mark
	p.right(warning+1, y, 7, words[1], faint)
	p.text(r.at(r.levels.Stop), y, 4, "stop", faint)
	p.text(r.x0, y, from-r.x0-1, name, strong)
	p.right(r.numX+7, y, 7, "margin", faint)
	p.right(r.numX+16, y, 8, "± str.", faint)
	p.text(r.numX+18, y, 7, "verdict", faint)
}

// drawRail draws one size.
func (m *PlanScreen) drawRail(p *plate, y, thick int, r *rails, i int) {
	s := &m.sizes[i]
	k, mid := plain, y+thick/2
	if i == m.chosen {
		k = strong
		p.text(2, mid, 1, "▸", strong)
	}
	p.text(4, mid, planName-2, s.Label(), k)
	for row := range thick {
		for x := r.x0; x < r.x0+r.w; x++ {
			p.set(x, y+row, '┈', faint)
		}
		if m.plan.Part != nil {
			m.drawBand(p, y+row, r, s)
		}
		for _, l := range []struct {
			ratio float64
			r     rune
			k     ink
		}{{r.levels.Caution, '╎', caution}, {r.levels.Warning, '┆', warning}, {r.levels.Stop, '┃', stop}} {
			p.set(r.at(l.ratio), y+row, l.r, l.k)
		}
	}
	p.right(r.numX+7, mid, 7, s.MarginText(), k)
	p.right(r.numX+16, mid, 8, "± "+si.Number(100*s.Budget.Expanded, 1)+" %", k)
	p.text(r.numX+18, mid, 7, string(s.Verdict), verdictInk(s.Verdict))
}

// drawBand draws the expected break of a size: a band between its ends, dashes on to
// where the strongest may bring the part; what lies past the end of the rail shows as a mark there.
func (m *PlanScreen) drawBand(p *plate, y int, r *rails, s *plan.Size) {
	part := m.plan.Part
	low, high, upper := part.Ratio(s.Low), part.Ratio(s.High), part.Reach(s)
	if low <= railEnd {
		for x := r.at(low); x <= r.at(min(high, railEnd)); x++ {
			p.set(x, y, bandOpen, hand)
		}
	}
	if upper > high && high <= railEnd {
		for x := r.at(high) + 1; x <= r.at(min(upper, railEnd)); x++ {
			p.set(x, y, '-', hand)
		}
	}
	if upper > railEnd {
		p.set(r.x0+r.w-1, y, '>', stop)
	}
}
