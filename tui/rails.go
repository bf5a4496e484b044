package tui

import (
	"math"
	"strings"
	"time"

	"github.com/charmbracelet/x/ansi"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

// railEnd is the ratio at the right end of every rail: what is past the limit
// still has room to show.
const railEnd = 1.10

// eighths fill the last cell of a rail from the left.
var eighths = [8]rune{' ', '▏', '▎', '▍', '▌', '▋', '▊', '▉'}

// rails is where the rails of one frame lie: a name, the scale, the numbers.
type rails struct {
	x0, w  int // of the scale
	nameX  int
	nameW  int
	numX   int
	numW   int
	tall   bool // the nearest rail has its percentage in figures
	over   bool // the pull has come out: the numbers are those of the drag hands
	levels rig.Alarm
	units  si.System
	low    si.Force // of the expected break; 0: none
	high   si.Force
}

// layRails gives each column its place in a screen w wide.
func layRails(w int, s *pull.State, levels rig.Alarm, u si.System, tall bool) rails {
	r := rails{nameX: 2, numW: 20, tall: tall, over: s.Outcome != "", levels: levels, units: u}
	before := 7 // the percentage and a blank
	if tall {
		before = tallPercent
	}
	for i := range s.Limits { // those that are not shown too: or a bar jumps as they come
		l := &s.Limits[i]
		r.nameW = max(r.nameW, ansi.StringWidth(clean(l.Name)))
		r.numW = max(r.numW, before+len(LoadText(max(l.Load, l.Allowable*max(1, l.PeakRatio)), l.Allowable, l.At, u)))
	}
	if tall {
		r.numW = max(r.numW, tallPercent+19)
	}
	r.nameW = min(max(r.nameW, 9), w/6)
	r.numW = min(r.numW, w/3+2)
	r.x0 = r.nameX + r.nameW + 2
	r.numX = w - 2 - r.numW
	r.w = r.numX - 1 - r.x0
	return r
}

// tallPercent is the room of three figures and a percent sign.
const tallPercent = 11 + 3

// at is the cell of a ratio on the scale.
func (r *rails) at(ratio float64) int {
	if !(ratio > 0) {
		return r.x0
	}
	return r.x0 + min(r.w-1, int(ratio/railEnd*float64(r.w)))
}

// number is the ratio and the load that stand beside a rail: what is on the part
// now, and once the pull has come out what the most was.
func (r *rails) number(l *pull.Limit) (ratio, load float64) {
	if r.over {
		return l.PeakRatio, l.PeakRatio * l.Allowable
	}
	return l.Ratio, l.Load
}

// header is the line above the nearest rail: its drag hand, the alarm levels,
// and how soon the limit is reached.
func (r *rails) header(p *plate, y int, s *pull.State, l *pull.Limit) {
	p.text(r.nameX, y, r.nameW, "limits", faint)
	switch {
	case r.over:
		p.text(r.numX, y, r.numW, "peaked at", hand)
	case !r.tall:
		p.right(r.numX+r.numW, y, r.numW, soon(s), strong)
	}
	gap := r.at(r.levels.Warning) - r.at(r.levels.Caution)
	words := [3]string{"caution", "warning", "stop"}
	if gap < 9 {
		words = [3]string{percentMark(r.levels.Caution), percentMark(r.levels.Warning), "stop"}
	}
	pointer := -1
	if l.PeakRatio > 0.02 {
		pointer = r.at(l.PeakRatio)
		p.set(pointer, y, '▼', hand)
	}
	from := r.x0
	for i, ratio := range []float64{r.levels.Caution, r.levels.Warning, r.levels.Stop} {
		x, to := r.at(ratio), r.numX
		if i < 2 { // these words end at their mark, so that the pairs keep apart
			x -= len(words[i]) - 1
			to = r.at(r.levels.Stop)
			if i == 0 {
				to = r.at(r.levels.Warning) - len(words[1])
			}
		}
		x = beside(x, len(words[i]), from, to, pointer)
		from = p.text(x, y, r.numX-x, words[i], faint) + 1
	}
}

// beside is where a heading of n cells goes that would be at x if the drag
// hand's pointer were not there: next to the pointer where that lies between
// from and to, else over it.
func beside(x, n, from, to, pointer int) int {
	if pointer < x || pointer >= x+n {
		return x
	}
	if left := pointer - n; left >= from {
		return left
	}
	if right := pointer + 1; right+n <= to {
		return right
	}
	return x
}

// soon says when the nearest limit is reached at the present pace; beyond an
// hour it says nothing.
func soon(s *pull.State) string {
	if !s.Seen || s.Lead <= 0 || s.Lead > time.Hour || s.Outcome != "" {
		return ""
	}
	return "limit in " + spanText(s.Lead)
}

func percentMark(ratio float64) string { return si.Number(ratio*100, 0) }

// nearest draws the first rail three lines high where there is room: its
// percentage in figures, and how soon the limit is reached.
func (r *rails) nearest(p *plate, y int, s *pull.State, l *pull.Limit) {
	r.scale(p, y, 3, s, l)
	r.name(p, y+1, l)
	ratio, load := r.number(l)
	k := levelInk(l.Level)
	if r.over {
		k = hand
	}
	if pc := percent(ratio); (s.Seen || r.over) && len(pc) <= len("100 %") {
		number := pc[:len(pc)-2]
		w, _ := figureSize(number, 1)
		p.figures(r.numX+tallPercent-3-w, y, number, 1, k)
		p.text(r.numX+tallPercent-2, y+2, 1, "%", strong)
	}
	end, room := r.numX+r.numW, r.numW-tallPercent
	p.right(end, y+1, room, r.loads(l, load, s.Seen), faint)
	p.right(end, y+2, room, soon(s), strong)
}

// rail draws one limit in a line: its scale, name and numbers.
func (r *rails) rail(p *plate, y int, s *pull.State, l *pull.Limit) {
	seen := s.Seen
	r.scale(p, y, 1, s, l)
	r.name(p, y, l)
	ratio, load := r.number(l)
	pc := percent(ratio)
	if !seen && !r.over {
		pc = "?"
	}
	mid := r.numX + 6
	if r.tall {
		mid = r.numX + tallPercent - 1
	}
	end := r.numX + r.numW
	p.right(mid, y, 6, pc, strong)
	p.right(end, y, end-mid-1, r.loads(l, load, seen), faint)
}

// loads are a load and what is allowed, the latter alone where the load is not
// known now.
func (r *rails) loads(l *pull.Limit, load float64, seen bool) string {
	t := LoadText(load, l.Allowable, l.At, r.units)
	if !seen && !r.over {
		if _, of, ok := strings.Cut(t, " of "); ok {
			return "of " + of
		}
	}
	return t
}

func (r *rails) name(p *plate, y int, l *pull.Limit) {
	k := plain
	if l.Level > pull.Quiet {
		k = levelInk(l.Level)
	}
	p.text(r.nameX, y, r.nameW, clean(l.Name), k)
}

// scale draws a rail over rows lines: a fill to the force now, a pointer at the
// drag hand, the alarm levels as marks, the expected break as a band.
func (r *rails) scale(p *plate, y, rows int, s *pull.State, l *pull.Limit) {
	k := levelInk(l.Level)
	for row := range rows {
		for x := r.x0; x < r.x0+r.w; x++ {
			p.set(x, y+row, '┈', faint)
		}
		from, to := r.band(s, l)
		for x := from; x <= to; x++ {
			p.set(x, y+row, bandOpen, hand)
		}
		for _, m := range []struct {
			ratio float64
			r     rune
			k     ink
		}{{r.levels.Caution, '╎', caution}, {r.levels.Warning, '┆', warning}, {r.levels.Stop, '┃', stop}} {
			p.set(r.at(m.ratio), y+row, m.r, m.k)
		}
		if s.Seen && l.Ratio > 0 {
			r.fill(p, y+row, l.Ratio, k, from, to)
		}
		if l.PeakRatio > 0.02 {
			if x := r.at(l.PeakRatio); x > r.at(l.Ratio) || !s.Seen {
				p.set(x, y+row, handMark, hand)
			}
		}
	}
}

// handMark is the drag hand on a rail, not to be taken for a stop.
const handMark = '◆'

// The expected break on a rail, before and after the load has come there.
const (
	bandOpen   = '░'
	bandFilled = '▓'
)

// band is the cells from first to last of the expected break on a rail; last
// before first where there is none, or it is past the end.
func (r *rails) band(s *pull.State, l *pull.Limit) (first, last int) {
	at := atForce(s, l)
	if !(r.high > 0) || !(at > 0) || float64(r.low/at) > railEnd {
		return 0, -1
	}
	return r.at(float64(r.low / at)), r.at(float64(r.high / at))
}

// fill draws the bar of a ratio, its end to an eighth of a cell; the cells first
// to last belong to the expected break. Marks it has passed stay visible as gaps.
func (r *rails) fill(p *plate, y int, ratio float64, k ink, first, last int) {
	n := math.Min(ratio/railEnd, 1) * float64(r.w) * 8
	whole, rest := int(n)/8, int(n)%8
	for x := r.x0; x < r.x0+whole; x++ {
		b := '█'
		if x >= first && x <= last {
			b = bandFilled
		}
		p.set(x, y, b, k)
	}
	if rest > 0 && whole < r.w {
		p.set(r.x0+whole, y, eighths[rest], k)
	}
	for _, m := range []float64{r.levels.Caution, r.levels.Warning, r.levels.Stop} {
		if x := r.at(m); x < r.x0+whole {
			p.set(x, y, '▌', k)
		}
	}
}
