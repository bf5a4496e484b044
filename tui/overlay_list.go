package tui

import (
	"fmt"
	"strings"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/pull"
	"draghand/internal/trace"
	"draghand/tui/chart"
)

// overRow is one pull of the list in words. Where why is not empty the pull is not
// drawn, and it stands in the place of what came out.
type overRow struct {
	bar, alloy, size, took, peak, how, why string
}

// row is the words of one pull.
func (m *OverlayScreen) row(i int) overRow {
	o := &m.all[i]
	e := &o.entry
	r := overRow{bar: barName(e), alloy: clean(e.Specimen.Alloy), how: strings.Replace(clean(e.How()), string(pull.LetOff), "let off", 1)}
	if d := e.Specimen.Diameter(); d > 0 {
		r.size = d.Size(m.units)
	} else if e.Specimen.Area() > 0 {
		r.size = "not round"
	}
	t := o.trace
	switch {
	case o.waiting():
		r.peak, r.how = "", "reading …"
		return r
	case o.why != "":
		r.why = clean(o.why)
	default:
		r.why = m.left(o)
	}
	if r.why != "" {
		r.why = m.harm(t) + r.why
		r.how = r.why
		return r
	}
	r.peak = m.peakOf(t)
	start, _ := t.At(trace.LoadStart)
	r.took = fmt.Sprintf("%.1f s", (t.Peak - start).Seconds())
	switch {
	case o.gaps == 1:
		r.how = "1 hole; " + r.how
	case o.gaps > 1:
		r.how = fmt.Sprintf("%d holes; ", o.gaps) + r.how
	}
	r.how = m.harm(t) + r.how
	return r
}

// overColumn is a column of the list.
type overColumn struct {
	head  string
	wide  int
	right bool
	text  func(r *overRow) string
}

// listColumns are as many as fit into w cells; the last takes what is left.
func listColumns(w int) []overColumn {
	out := []overColumn{
		{"bar", 12, false, nil},
		{"alloy", 10, false, func(r *overRow) string { return r.alloy }},
	}
	if w >= 96 {
		out[0].wide, out[1].wide = 16, 12
		out = append(out,
			overColumn{"diameter", 9, false, func(r *overRow) string { return r.size }},
			overColumn{"rise to peak", 12, true, func(r *overRow) string { return r.took }},
		)
	}
	wide := out[0].wide
	out[0].text = func(r *overRow) string { return cutMiddle(r.bar, wide) }
	return append(out, overColumn{"peak", 11, true, func(r *overRow) string { return r.peak }})
}

// drawList draws the pulls, a line each, below a line of heads.
func (m *OverlayScreen) drawList(p *plate, y int) {
	const from = 4 + 2 + sampleWide + 2
	cols := listColumns(p.w - 2 - from)
	put := func(x, y int, c overColumn, s string, k ink) {
		if c.right {
			s = cut(s, c.wide)
			x += c.wide - ansi.StringWidth(s)
			p.text(x, y, ansi.StringWidth(s), s, k)
			return
		}
		p.text(x, y, c.wide, s, k)
	}
	x := from
	for _, c := range cols {
		put(x, y, c, c.head, faint)
		x += c.wide + 2
	}
	p.text(x, y, p.w-2-x, "outcome", faint)
	for i := range m.all {
		y++
		m.drawRow(p, i, y, from, cols, put)
	}
}

// drawRow draws one pull of the list.
func (m *OverlayScreen) drawRow(p *plate, i, y, from int, cols []overColumn, put func(x, y int, c overColumn, s string, k ink)) {
	o := &m.all[i]
	r := m.row(i)
	own, k := overTrace+ink(i), plain
	if i == m.chosen {
		k = strong
		p.text(2, y, 1, "▸", strong)
	}
	drawn := o.trace != nil && r.why == ""
	if o.hidden || r.why != "" {
		own, k = faint, faint
	}
	p.set(4, y, trace.Letter(i), own)
	switch {
	case drawn && o.hidden:
		p.text(6, y, sampleWide, "hidden", faint)
	case drawn:
		p.text(6, y, sampleWide, chart.Sample(i, sampleWide), own)
	}
	x := from
	for j, c := range cols {
		if !drawn && (j >= 2 || j == 1 && len(cols) < 4) { // the reason needs the room
			break
		}
		put(x, y, c, c.text(&r), k)
		x += c.wide + 2
	}
	switch {
	case drawn:
	case !o.entry.Readable():
		k = conditionInk(o.entry.Condition)
	case o.fault:
		k = caution
	default:
		k = plain
	}
	p.text(x, y, p.w-2-x, r.how, k)
}
