package watch

import (
	"math"
	"time"
)

// TraceColumns is the most columns a Trace has: 4096 are more dot columns than
// any terminal shows, so no extreme a screen could draw is merged away early.
const TraceColumns = 4096

// firstBin is the width of a column while the pull is short. At 1 ms the
// buffer spans 4 s before the columns are first merged in pairs.
const firstBin = time.Millisecond

// Add puts one force on the specimen, in newtons, at time t into the trace.
// When t runs past the last column, neighbouring columns are merged in pairs
// and the bin doubles, so that a pull of any length costs the same memory and
// no peak is ever lost. Non-finite values are dropped.
func (tr *Trace) Add(t time.Duration, force float64) {
	if t < 0 || math.IsNaN(force) || math.IsInf(force, 0) {
		return
	}
	if tr.Bin == 0 {
		tr.Bin = firstBin
		tr.Columns = make([]Column, 0, TraceColumns)
	}
	i := int(t / tr.Bin)
	for i >= TraceColumns {
		tr.halve()
		i = int(t / tr.Bin)
	}
	for len(tr.Columns) <= i {
		tr.Columns = append(tr.Columns, Column{Min: float32(math.Inf(1)), Max: float32(math.Inf(-1))})
	}
	c, f := &tr.Columns[i], float32(force)
	c.Min, c.Max = min(c.Min, f), max(c.Max, f)
}

// halve merges neighbouring columns and doubles the bin.
func (tr *Trace) halve() {
	n := len(tr.Columns)
	for i := 0; i < n; i += 2 {
		c := tr.Columns[i]
		if i+1 < n {
			c.Min, c.Max = min(c.Min, tr.Columns[i+1].Min), max(c.Max, tr.Columns[i+1].Max)
		}
		tr.Columns[i/2] = c
	}
	tr.Columns = tr.Columns[:(n+1)/2]
	tr.Bin *= 2
}

// CopyTo makes dst an independent copy, reusing its memory.
func (tr *Trace) CopyTo(dst *Trace) {
	dst.Bin = tr.Bin
	dst.Columns = append(dst.Columns[:0], tr.Columns...)
}
