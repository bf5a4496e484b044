package watch

import (
	"math"
	"time"
)

const (
	// TraceColumns is the most columns a Trace has, and what each level of a
	// Pyramid keeps: more than twice the dots of any terminal, even where the
	// coarsest level has only just been begun and is a quarter full.
	TraceColumns = 8192
	// firstBin is the width of a column of the finest level, which reaches back
	// 8.2 s.
	firstBin = time.Millisecond
	// levelBits is the step from one level to the next: a column of it holds four
	// of the one below.
	levelBits = 2
	// mostLevels reach over every time.Duration there is; 64 KiB each.
	mostLevels = 17
)

var noColumn = Column{Min: float32(math.Inf(1)), Max: float32(math.Inf(-1))}

func (c *Column) merge(o Column) { c.Min, c.Max = min(c.Min, o.Min), max(c.Max, o.Max) }

// Pyramid is the force against time of a whole pull at several widths of column,
// from 1 ms up in steps of four. The finer levels reach back only so far, the
// coarsest always to time 0. Whatever the length of the pull it takes at most
// 1.1 MiB, every extreme is in every level that reaches back to it, and a part of
// it costs the same to copy. The zero value is empty and ready. It is not safe for
// use by two goroutines.
type Pyramid struct {
	levels []level // from the finest up; the last reaches back to 0
}

// level is one width of column. Column i spans i·bin to (i+1)·bin and lies at
// i mod TraceColumns; those from at-TraceColumns+1 to at are kept. The newest
// column of a level is merged into the level above when the next one is begun, and
// so the newest of the level above lacks it until then.
type level struct {
	bin  time.Duration
	at   int64 // index of the newest column: the time of the newest force over bin
	ring *[TraceColumns]Column
}

func newLevel(bin time.Duration, at int64) level {
	l := level{bin: bin, at: at, ring: new([TraceColumns]Column)}
	for i := range l.ring {
		l.ring[i] = noColumn
	}
	return l
}

func (l *level) column(i int64) *Column { return &l.ring[i&(TraceColumns-1)] }

// oldest is the index of the first column that is kept.
func (l *level) oldest() int64 { return max(0, l.at-TraceColumns+1) }

// goTo begins column i; those between are empty.
func (l *level) goTo(i int64) {
	for j := max(l.at, i-TraceColumns) + 1; j <= i; j++ {
		*l.column(j) = noColumn
	}
	l.at = i
}

// Add puts one force on the specimen, in newtons, at time t into every level.
// Values that are not finite as a float32, and times below 0, are dropped. A time
// before the newest is put where it belongs, in the levels that reach back to it.
func (p *Pyramid) Add(t time.Duration, force float64) {
	f := float32(force)
	if t < 0 || f-f != 0 { // NaN and infinities
		return
	}
	if len(p.levels) == 0 {
		p.levels = append(make([]level, 0, mostLevels), newLevel(firstBin, 0))
	}
	i := int64(t / firstBin)
	l := &p.levels[0]
	switch {
	case i > l.at:
		p.advance(i)
	case i < l.at:
		p.addLate(i, f)
		return
	}
	c := l.column(i)
	c.Min, c.Max = min(c.Min, f), max(c.Max, f)
}

// advance begins column i of the finest level, and those above it as far as they
// begin one too.
func (p *Pyramid) advance(i int64) {
	for k := 0; ; k++ {
		l := &p.levels[k]
		if i == l.at {
			return
		}
		last := k == len(p.levels)-1
		if last && i >= TraceColumns {
			p.grow()
			last = false
		}
		if !last {
			up := &p.levels[k+1]
			up.column(up.at).merge(*l.column(l.at))
		}
		l.goTo(i)
		if last {
			return
		}
		i >>= levelBits
	}
}

// grow adds a coarser level before the last one no longer reaches back to 0.
func (p *Pyramid) grow() {
	top := &p.levels[len(p.levels)-1]
	up := newLevel(top.bin<<levelBits, top.at>>levelBits)
	for i := int64(0); i < top.at; i++ {
		up.column(i >> levelBits).merge(*top.column(i))
	}
	p.levels = append(p.levels, up)
}

// addLate puts a force into column i of the finest level, which is not its newest,
// and into those above: where it is merged into later, that changes nothing.
func (p *Pyramid) addLate(i int64, f float32) {
	for k := range p.levels {
		if l := &p.levels[k]; i >= l.oldest() {
			l.column(i).merge(Column{Min: f, Max: f})
		}
		i >>= levelBits
	}
}

// Reset empties the pyramid and keeps the memory of its finest level.
func (p *Pyramid) Reset() {
	if len(p.levels) > 0 {
		l := &p.levels[0]
		l.at = 0
		for i := range l.ring {
			l.ring[i] = noColumn
		}
		clear(p.levels[1:])
		p.levels = p.levels[:1]
	}
}

// CopyRange fills dst, reusing its memory, with the columns of from to to and one
// on either side, as far as there are any, of the finest level that reaches back
// to from.
func (p *Pyramid) CopyRange(dst *Trace, from, to time.Duration) {
	dst.From, dst.Bin, dst.Columns = 0, firstBin, dst.Columns[:0]
	if len(p.levels) == 0 {
		return
	}
	from = max(0, from)
	k := 0
	for k < len(p.levels)-1 && p.levels[k].oldest() > int64(from/p.levels[k].bin) {
		k++
	}
	l := &p.levels[k]
	lo := max(l.oldest(), int64(from/l.bin)-1)
	hi := min(l.at, int64(to/l.bin)+1)
	dst.From, dst.Bin = time.Duration(lo)*l.bin, l.bin
	if to < from || lo > hi {
		return
	}
	a, b := lo&(TraceColumns-1), hi&(TraceColumns-1)
	if a <= b {
		dst.Columns = append(dst.Columns, l.ring[a:b+1]...)
	} else {
		dst.Columns = append(dst.Columns, l.ring[a:]...)
		dst.Columns = append(dst.Columns, l.ring[:b+1]...)
	}
	if hi == l.at {
		newest := &dst.Columns[len(dst.Columns)-1]
		for j := range k {
			newest.merge(*p.levels[j].column(p.levels[j].at))
		}
	}
}
