package watch

import (
	"math"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// Whatever is put in, the largest and smallest force stay visible, at their
// time, and the memory stays bounded: the slow twin is the list itself.
func TestTraceKeepsEveryExtreme(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		steps := rapid.SliceOfN(rapid.IntRange(0, 60_000_000), 1, 300).Draw(t, "steps")
		forces := rapid.SliceOfN(rapid.Float32Range(-1e6, 1e6), len(steps), len(steps)).Draw(t, "forces")
		var tr Trace
		var now time.Duration
		times := make([]time.Duration, len(steps))
		for i, s := range steps {
			now += time.Duration(s) * time.Microsecond
			times[i] = now
			tr.Add(now, float64(forces[i]))
		}
		if len(tr.Columns) > TraceColumns {
			t.Fatalf("%d columns, at most %d", len(tr.Columns), TraceColumns)
		}
		want := map[int]Column{}
		for i, at := range times {
			k := int(at / tr.Bin)
			c, ok := want[k]
			if !ok {
				c = Column{Min: forces[i], Max: forces[i]}
			}
			want[k] = Column{Min: min(c.Min, forces[i]), Max: max(c.Max, forces[i])}
		}
		for k, c := range tr.Columns {
			if w, ok := want[k]; ok != !c.Empty() || ok && w != c {
				t.Fatalf("column %d = %v, want %v (filled %v)", k, c, w, ok)
			}
		}
	})
}

func TestTraceDropsNonFinite(t *testing.T) {
	var tr Trace
	tr.Add(0, 5)
	tr.Add(time.Millisecond, math.NaN())
	tr.Add(2*time.Millisecond, math.Inf(1))
	tr.Add(-time.Second, 9)
	if len(tr.Columns) != 1 || tr.Columns[0] != (Column{5, 5}) {
		t.Fatalf("columns = %v, want the one finite value", tr.Columns)
	}
}

// One reading costs no allocation once the columns are there.
func TestTraceAddAllocates(t *testing.T) {
	var tr Trace
	tr.Add(0, 1)
	var at time.Duration
	if n := testing.AllocsPerRun(10_000, func() { at += time.Millisecond; tr.Add(at, 2) }); n != 0 {
		t.Fatalf("Add allocates %v times", n)
	}
}
