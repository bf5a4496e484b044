package trace

import (
	"time"

	"draghand/internal/si"
)

// Between are the columns of a span of time merged into at most n of equal width.
// One of the trace goes where its middle is, whole: no extreme is lost, and one at an
// end of the span may reach beyond it by half its width. At is the begin of the new
// column. None where the span is empty.
func (t *Trace) Between(from, to time.Duration, n int) []Column {
	if to <= from || n < 1 {
		return nil
	}
	out := make([]Column, 0, min(n, len(t.Columns)))
	place, gap := -1, false
	for _, c := range t.Columns {
		mid := c.At + t.Width/2
		if mid < from {
			continue
		}
		if mid >= to {
			break
		}
		k := min(n-1, int(float64(n)*(float64(mid-from)/float64(to-from))))
		gap = c.Gap && len(out) > 0
		if k == place {
			last := &out[len(out)-1]
			last.Low, last.High, last.Gap = min(last.Low, c.Low), max(last.High, c.High), last.Gap || gap
			continue
		}
		place = k
		c.At = from + time.Duration(float64(k)*(float64(to-from)/float64(n)))
		c.Gap = gap
		out = append(out, c)
	}
	return out
}

// Extremes are the least and the largest force of a span; false where none was seen
// in it.
func (t *Trace) Extremes(from, to time.Duration) (low, high si.Force, ok bool) {
	for _, c := range t.Between(from, to, 1) {
		return c.Low, c.High, true
	}
	return 0, 0, false
}
