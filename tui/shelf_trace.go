package tui

import (
	"math"
	"time"

	tea "github.com/charmbracelet/bubbletea"

	"draghand/internal/shelf"
	"draghand/internal/si"
	"draghand/internal/trace"
)

// mostTraces is how many traces are kept of the records looked at last.
const mostTraces = 50

// shelfTrace is the force of a record, or why there is none, and what is noted in it.
type shelfTrace struct {
	dir   string
	trace *trace.Trace
	fault string
	noted Noted // zero: not known
}

// shelfTraces are those kept, the latest last. They are never changed in place.
type shelfTraces []shelfTrace

// of is the trace of a folder; nil: it was not read.
func (s shelfTraces) of(dir string) *shelfTrace {
	for i := len(s) - 1; i >= 0; i-- {
		if s[i].dir == dir {
			return &s[i]
		}
	}
	return nil
}

func (s shelfTraces) without(dir string) shelfTraces {
	var out shelfTraces
	for _, t := range s {
		if t.dir != dir {
			out = append(out, t)
		}
	}
	return out
}

func (s shelfTraces) with(t shelfTrace) shelfTraces {
	out := append(s.without(t.dir), t)
	return out[max(0, len(out)-mostTraces):]
}

// shelfTraced is a trace that was read, after so many looks at the shelf.
type shelfTraced struct {
	of    shelfTrace
	looks int
}

// rest reads the trace of the chosen record once it was chosen for a whole tick: who
// holds a key down passes over thousands, and nothing is asked for those.
func (m *ShelfScreen) rest() tea.Cmd {
	e := m.entry()
	switch {
	case e == nil || noTrace(e) != "":
		m.rested = ""
		return nil
	case m.rested != e.Dir:
		m.rested = e.Dir
		return nil
	case m.tracing != "" || m.traces.of(e.Dir) != nil:
		return nil
	}
	m.tracing = e.Dir
	return m.readTrace(e.Dir)
}

// readTrace reads a trace outside Update.
func (m *ShelfScreen) readTrace(dir string) tea.Cmd {
	desk, looks := m.desk, m.looks
	return func() tea.Msg {
		tr, err := desk.Trace(dir)
		out := shelfTrace{dir: dir}
		if err != nil {
			out.fault = clean(err.Error())
		} else {
			out.trace = thinned(tr)
		}
		if n, err := desk.Noted(dir); err == nil { // the list tells what is wrong with its head
			out.noted = n
		}
		return shelfTraced{out, looks}
	}
}

// traced keeps a trace. One that was asked for before the last look is read again: its
// record may have been changed since.
func (m *ShelfScreen) traced(msg shelfTraced) {
	m.tracing = ""
	if msg.looks == m.looks {
		m.traces = m.traces.with(msg.of)
	}
}

// noTrace says why a record has no trace; empty where it may have one.
func noTrace(e *shelf.Entry) string {
	switch {
	case !e.Readable():
		return "no trace: it cannot be read"
	case e.Condition == shelf.Writing:
		return "no trace yet: it is being written"
	case e.ByEye:
		return "no trace: a dial was read by eye"
	}
	return ""
}

// drawTrace draws the force of the chosen record into h lines of w cells: its peak
// above, its time below.
func (m *ShelfScreen) drawTrace(p *plate, e *shelf.Entry, x, y, w, h int) {
	if w < 12 || h < 3 {
		return
	}
	t := m.traces.of(e.Dir)
	switch why := noTrace(e); {
	case why != "":
		p.text(x, y, w, why, faint)
	case t == nil:
		p.text(x, y, w, "reading the trace …", faint)
	case t.fault != "" || t.trace == nil:
		for i, l := range wrap("no trace: "+troubleText(t.fault, 3*w), w, h) {
			p.text(x, y+i, w, l, faint)
		}
	case len(t.trace.Columns) == 0 || t.trace.PeakForce <= 0:
		p.text(x, y, w, "no force in its trace", faint)
	default:
		drawForce(p, t.trace, m.units, x, y, w, h)
	}
}

// drawForce is the picture itself.
func drawForce(p *plate, t *trace.Trace, u si.System, x, y, w, h int) {
	from, to := t.Columns[0].At, t.End
	if last := t.Columns[len(t.Columns)-1]; to < last.At+t.Width {
		to = last.At + t.Width
	}
	p.text(x, y, w, joinFit(w, "peak "+t.PeakForce.Text(u)+" at "+secondsText(t.Peak), broke(t)), hand)
	drawDots(p, t, from, to, x, y+1, w, h-2)
	at := p.text(x, y+h-1, w, secondsText(from), faint)
	if end := secondsText(to); at+2+len(end) <= x+w {
		p.right(x+w, y+h-1, w, end, faint)
	}
}

// broke says when the bar broke; empty where it did not.
func broke(t *trace.Trace) string {
	if t.Break <= 0 {
		return ""
	}
	return "broke at " + secondsText(t.Break)
}

func secondsText(d time.Duration) string { return si.Number(d.Seconds(), 1) + " s" }

// drawDots draws what the force lay between over each span of time as an upright line
// of dots, from nothing to the peak, with a line at nothing below it.
func drawDots(p *plate, t *trace.Trace, from, to time.Duration, x, y, w, h int) {
	if w <= 0 || h <= 0 || to <= from || t.PeakForce <= 0 {
		return
	}
	wide, high := 2*w, 4*h
	dots := make([]byte, w*h)
	set := func(c, r int) {
		if c < 0 || c >= wide || r < 0 || r >= high {
			return
		}
		dots[r/4*w+c/2] |= brailleDot(c%2, r%4)
	}
	row := func(f si.Force) int {
		part := float64(f) / float64(t.PeakForce)
		if math.IsNaN(part) {
			part = 0
		}
		return high - 1 - int(math.Round(max(0, min(part, 1))*float64(high-1)))
	}
	column := func(at time.Duration) int { return int(float64(at-from) / float64(to-from) * float64(wide)) }
	last, lastRow := -1, 0
	for _, c := range t.Columns {
		a, b := column(c.At), column(c.At+t.Width)
		top, bottom := row(c.High), row(c.Low)
		for i := a; i <= max(a, min(b-1, wide-1)); i++ {
			for r := top; r <= bottom; r++ {
				set(i, r)
			}
		}
		if last >= 0 && !c.Gap && a >= last { // joined to the one before
			middle := (top + bottom) / 2
			for r := min(lastRow, middle); r <= max(lastRow, middle); r++ {
				set(a, r)
			}
		}
		last, lastRow = a, (top+bottom)/2
	}
	for i, d := range dots {
		if d != 0 {
			p.set(x+i%w, y+i/w, rune(0x2800+int(d)), live)
		}
	}
}

// brailleDot is the bit of a dot in its cell: two columns of four rows.
func brailleDot(c, r int) byte {
	return [2][4]byte{{0x01, 0x02, 0x04, 0x40}, {0x08, 0x10, 0x20, 0x80}}[c][r]
}

// mostDots are more columns than the small picture has; what is kept of a trace is
// bounded by it.
const mostDots = 512

// thinned puts neighbouring columns of a trace together: an extreme stays one.
func thinned(t *trace.Trace) *trace.Trace {
	n := (len(t.Columns) + mostDots - 1) / mostDots
	if n < 2 {
		return t
	}
	out := *t
	out.Columns, out.Width = nil, time.Duration(n)*t.Width
	for i := 0; i < len(t.Columns); i += n {
		c := t.Columns[i]
		for _, d := range t.Columns[i+1 : min(i+n, len(t.Columns))] {
			c.Low, c.High, c.Gap = min(c.Low, d.Low), max(c.High, d.High), c.Gap || d.Gap
		}
		out.Columns = append(out.Columns, c)
	}
	return &out
}
