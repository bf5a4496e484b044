package tui

import (
	"math"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/calib"
	"draghand/internal/si"
)

// residualPlot is where the residuals of one frame lie.
type residualPlot struct {
	room
	mid, half int     // row of the zero line, rows above and below it
	top       float64 // residual at the uppermost row, Pa or N
	right     float64 // reference at the last column
}

// col is the column of a reference's value, row that of a residual; what is past the
// scale lies on its end, with off.
func (r *residualPlot) col(v float64) int {
	return r.x + max(0, min(r.w-1, int(math.Round(v/r.right*float64(r.w-1)))))
}

func (r *residualPlot) row(v float64) (y int, off bool) {
	n := int(math.Round(v / r.top * float64(r.half)))
	if n > r.half || n < -r.half {
		off = true
	}
	return r.mid - max(-r.half, min(r.half, n)), off
}

// drawPlot draws the residuals over the reference: the zero line, the band within
// which the line is known, the points by the way the load went.
func (m *CalibrateScreen) drawPlot(p *plate, r room) {
	a := m.view.Answer
	one := m.refer(1)
	title := "less line, " + one.Unit
	const labels = 7
	plot := residualPlot{room: room{r.x + labels, r.y + 1, r.w - labels, r.h - 2}}
	if plot.w < 8 || plot.h < 3 {
		return
	}
	plot.half = (plot.h - 1) / 2
	plot.mid = plot.y + plot.half
	sure := calib.Factor(a.Calibration.Line.DoF()) // once a frame: it is dear
	top, clipped := m.plotTop(sure)
	if !(top > 0) || !finite(top) { // points that fit without any scatter
		top = math.Max(1e-6, 0.001*m.largest())
	}
	plot.top = roundUp(top*one.Value) / one.Value
	plot.right = m.largest()
	if !(plot.top > 0) || !(plot.right > 0) || math.IsInf(plot.top/plot.right, 0) {
		return
	}
	plot.right *= 1.03
	more := []string{"░ ± 95 % of the line, not of points", "░ ± 95 % of the line", "░ the line"}
	if clipped {
		more = []string{string(fallingMark) + " off the scale: f", string(fallingMark) + " beyond: f"}
	}
	legend := headline{texts: more}
	r.heading(p, title, false, legend.within(r.w-ansi.StringWidth(title)-4))
	m.drawPlotScale(p, &plot, one)
	m.drawPlotBand(p, &plot, sure)
	bad := m.suspect()
	put := func(i int) {
		pt := &m.view.Run.Points[i]
		y, off := plot.row(a.Residuals[i].Residual)
		mark, k := risingMark, plain
		if pt.Direction == calib.Falling {
			mark, k = fallingMark, live
		}
		if off {
			k = faint
		}
		switch i {
		case bad:
			mark, k = badMark, stop
		case m.marked:
			k = hand
		}
		p.set(plot.col(pt.Reference), y, mark, k)
	}
	n := min(len(a.Residuals), len(m.view.Run.Points))
	for _, last := range []bool{false, true} { // the marked one and the bad one over the others
		for i := range n {
			if last == (i == m.marked || i == bad) {
				put(i)
			}
		}
	}
	if m.marked < n {
		x := plot.col(m.view.Run.Points[m.marked].Reference)
		y, _ := plot.row(a.Residuals[m.marked].Residual)
		if x > plot.x {
			p.set(x-1, y, '[', hand)
		}
		if x < plot.x+plot.w-1 {
			p.set(x+1, y, ']', hand)
		}
	}
}

// plotTop is what the plot must reach, in Pa or N; sure is what makes a standard
// uncertainty of the line one that covers 95 %. Falling points far off are left
// off the scale unless they are asked for: they show the friction, and would press
// what the line is judged by flat.
func (m *CalibrateScreen) plotTop(sure float64) (top float64, clipped bool) {
	a := m.view.Answer
	top = m.largestRising()
	if s := sure * a.Calibration.Line.LineU(a.Calibration.Line.High); finite(s) {
		top = math.Max(top, math.Min(s, 3*top))
	}
	all := top
	for i := range a.Residuals {
		all = math.Max(all, math.Abs(a.Residuals[i].Residual))
	}
	if m.falling || all <= 4*top || top == 0 {
		return all, false
	}
	return top, true
}

func finite(v float64) bool { return v-v == 0 }

// drawPlotScale draws the scales and the zero line.
func (m *CalibrateScreen) drawPlotScale(p *plate, r *residualPlot, one si.Shown) {
	for y := r.mid - r.half; y <= r.mid+r.half; y++ {
		p.set(r.x-1, y, '▏', faint)
	}
	for x := range r.w {
		p.set(r.x+x, r.mid, '─', faint)
	}
	shown := r.top * one.Value
	decimals := max(0, min(6, -int(math.Floor(math.Log10(shown)+1e-9))))
	if shown < 10 && math.Abs(shown-math.Round(shown)) > 1e-9 {
		decimals = max(decimals, 1)
	}
	if v := shown * math.Pow(10, float64(decimals)); math.Abs(v-math.Round(v)) > 1e-6 {
		decimals++
	}
	p.right(r.x-1, r.mid-r.half, 6, signed(shown, decimals), faint)
	p.right(r.x-1, r.mid, 6, "0", faint)
	p.right(r.x-1, r.mid+r.half, 6, signed(-shown, decimals), faint)
	y := r.mid + r.half + 1
	most := r.right * one.Value
	step := roundUp(most / math.Max(1, float64(r.w)/12))
	fine := max(0, min(3, -int(math.Floor(math.Log10(step)+1e-9))))
	end := r.x
	for i := 0; float64(i)*step <= most && i < 40; i++ {
		x := r.col(float64(i) * step / one.Value)
		t := "'" + si.Number(float64(i)*step, fine)
		if x < end || x+ansi.StringWidth(t) > r.x+r.w {
			continue
		}
		end = p.text(x, y, 12, t, faint) + 1
	}
	p.right(r.x-1, y, 6, one.Unit, faint)
}

// drawPlotBand shades where the line itself may be, 95 %.
func (m *CalibrateScreen) drawPlotBand(p *plate, r *residualPlot, sure float64) {
	a := m.view.Answer
	l := &a.Calibration.Line
	if !(l.Slope > 0) {
		return
	}
	for x := range r.w {
		ref := r.right * float64(x) / float64(r.w-1)
		at := si.Pressure((ref - l.Offset) / l.Slope)
		s := sure * l.LineU(at)
		if !finite(s) || at < 0 {
			continue
		}
		n := int(math.Round(math.Min(s/r.top, 1) * float64(r.half)))
		for y := r.mid - n; y <= r.mid+n; y++ {
			if y != r.mid {
				p.set(r.x+x, y, '░', faint)
			}
		}
	}
}

// largest is the largest value of the reference.
func (m *CalibrateScreen) largest() (most float64) {
	for i := range m.view.Run.Points {
		most = math.Max(most, m.view.Run.Points[i].Reference)
	}
	return most
}
