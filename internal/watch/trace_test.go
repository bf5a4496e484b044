package watch

import (
	"math"
	"slices"
	"testing"
	"time"
	"unsafe"

	"pgregory.net/rapid"
)

// twin is the slow way: all that was put in.
type twin struct {
	at    []time.Duration
	force []float32
}

func (w *twin) add(t time.Duration, f float32) {
	w.at, w.force = append(w.at, t), append(w.force, f)
}

// column is the span of what lies in from to from+bin.
func (w *twin) column(from, bin time.Duration) Column {
	c := noColumn
	for i, t := range w.at {
		if t >= from && t-from < bin {
			c.Min, c.Max = min(c.Min, w.force[i]), max(c.Max, w.force[i])
		}
	}
	return c
}

// Whatever is put in and whatever part is asked for, each column has the true
// smallest and largest force, and the columns reach over all of the part.
func TestPyramidKeepsEveryExtreme(t *testing.T) {
	levels := map[time.Duration]int{}
	for _, scale := range []time.Duration{
		60 * time.Microsecond, 3 * time.Millisecond, 12 * time.Millisecond, 50 * time.Millisecond, 200 * time.Millisecond, 3 * time.Second, 50 * time.Second,
	} {
		t.Run(scale.String(), rapid.MakeCheck(func(t *rapid.T) {
			steps := rapid.SliceOfN(rapid.IntRange(-1, 40), 100, 300).Draw(t, "steps") // a few of them back
			forces := rapid.SliceOfN(rapid.Float32Range(-1e6, 1e6), len(steps), len(steps)).Draw(t, "forces")
			var p Pyramid
			var slow twin
			var now, newest time.Duration
			for i, s := range steps {
				now = max(0, now+time.Duration(s)*scale)
				newest = max(newest, now)
				p.Add(now, float64(forces[i]))
				slow.add(now, forces[i])
			}
			var tr Trace
			for range 4 {
				back := rapid.SampledFrom([]float64{-0.1, 0, 0.01, 0.1, 0.4, 0.8, 1, 1.1}).Draw(t, "back") // as a share of the whole
				long := rapid.SampledFrom([]float64{0, 1e-4, 0.03, 0.3, 1, 2}).Draw(t, "long")
				from := newest - time.Duration(back*float64(newest)) + time.Duration(rapid.Int64Range(-1e7, 1e7).Draw(t, "from"))
				to := from + time.Duration(long*float64(newest)) + time.Duration(rapid.Int64Range(0, 1e7).Draw(t, "to"))
				p.CopyRange(&tr, from, to)
				levels[tr.Bin]++
				checkTrace(t, &p, &slow, &tr, from, to, newest)
			}
		}))
	}
	if len(levels) < 6 {
		t.Errorf("only the levels %v were looked at", levels)
	}
}

func checkTrace(t *rapid.T, p *Pyramid, slow *twin, tr *Trace, from, to, newest time.Duration) {
	if len(tr.Columns) > TraceColumns || tr.Bin <= 0 || tr.From%tr.Bin != 0 || tr.From < 0 {
		t.Fatalf("%d columns of %v from %v", len(tr.Columns), tr.Bin, tr.From)
	}
	for i, c := range tr.Columns {
		if want := slow.column(tr.From+time.Duration(i)*tr.Bin, tr.Bin); c != want {
			t.Fatalf("%v to %v: column %d of %v from %v is %v, want %v", from, to, i, tr.Bin, tr.From, c, want)
		}
	}
	end := tr.From + time.Duration(len(tr.Columns))*tr.Bin
	if from <= newest && to >= from && (tr.From > max(0, from) || end <= min(to, newest)) {
		t.Fatalf("%v to %v of %v: columns from %v to %v", from, to, newest, tr.From, end)
	}
	if len(tr.Columns) > 0 && to >= from {
		if before := from - tr.From; before >= 2*tr.Bin {
			t.Fatalf("%v to %v: begins %v early, with columns of %v", from, to, before, tr.Bin)
		}
		if after := end - to; after > 2*tr.Bin {
			t.Fatalf("%v to %v: ends %v late, with columns of %v", from, to, after, tr.Bin)
		}
	}
	// The finest level that reaches back: no finer one does.
	for _, l := range p.levels {
		if l.bin >= tr.Bin {
			break
		}
		if time.Duration(l.oldest())*l.bin <= max(0, from) {
			t.Fatalf("%v: columns of %v, though those of %v reach back to %v", from, tr.Bin, l.bin, time.Duration(l.oldest())*l.bin)
		}
	}
}

// All the time there is fits in, and takes bounded memory.
func TestPyramidIsBounded(t *testing.T) {
	var p Pyramid
	for at := time.Duration(1); at > 0; at *= 2 {
		p.Add(at, float64(at%1000))
	}
	p.Add(math.MaxInt64, -7)
	bytes := len(p.levels) * (int(unsafe.Sizeof(*p.levels[0].ring)) + int(unsafe.Sizeof(level{})))
	if len(p.levels) > mostLevels || bytes > 2e6 {
		t.Errorf("%d levels, %d bytes", len(p.levels), bytes)
	}
	var tr Trace
	p.CopyRange(&tr, 0, math.MaxInt64)
	if n := len(tr.Columns); n < TraceColumns/8 || tr.Columns[n-1].Min != -7 || tr.From != 0 {
		t.Errorf("%d columns of %v from %v", n, tr.Bin, tr.From)
	}
	p.Reset()
	p.Add(time.Millisecond, 3)
	if p.CopyRange(&tr, 0, math.MaxInt64); tr.Bin != firstBin || !slices.Equal(tr.Columns, []Column{noColumn, {3, 3}}) {
		t.Errorf("after Reset %+v", tr)
	}
}

func TestPyramidDropsNonFinite(t *testing.T) {
	var p Pyramid
	p.Add(0, 5)
	p.Add(time.Millisecond, math.NaN())
	p.Add(2*time.Millisecond, math.Inf(1))
	p.Add(2*time.Millisecond, 1e300) // no float32
	p.Add(-time.Second, 9)
	var tr Trace
	p.CopyRange(&tr, 0, time.Hour)
	if !slices.Equal(tr.Columns, []Column{{5, 5}}) {
		t.Fatalf("columns = %v, want the one finite value", tr.Columns)
	}
}

func TestPyramidOfNothing(t *testing.T) {
	var p Pyramid
	tr := Trace{Columns: []Column{{1, 2}}}
	p.CopyRange(&tr, 0, time.Hour)
	if len(tr.Columns) != 0 || tr.Bin <= 0 {
		t.Errorf("%+v", tr)
	}
	p.Add(time.Second, 1)
	p.CopyRange(&tr, time.Hour, 2*time.Hour)
	if len(tr.Columns) != 0 || tr.Bin <= 0 {
		t.Errorf("after the newest: %+v", tr)
	}
	p.CopyRange(&tr, time.Second, 0)
	if len(tr.Columns) != 0 {
		t.Errorf("backwards: %+v", tr)
	}
}

// One reading costs no allocation once the levels are there.
func TestPyramidAddAllocates(t *testing.T) {
	p := filled(1000)
	at := 1000 * time.Millisecond
	if n := testing.AllocsPerRun(10_000, func() { at += time.Millisecond; p.Add(at, 2) }); n != 0 {
		t.Fatalf("Add allocates %v times", n)
	}
	var tr Trace
	p.CopyRange(&tr, 0, at)
	if n := testing.AllocsPerRun(100, func() { p.CopyRange(&tr, 0, at) }); n != 0 {
		t.Fatalf("CopyRange allocates %v times", n)
	}
}

// filled holds n readings, 1 ms apart.
func filled(n int) *Pyramid {
	p := &Pyramid{}
	for i := range n {
		p.Add(time.Duration(i)*time.Millisecond, float64(i%977))
	}
	return p
}

// Goal: at most 30 ns.
func BenchmarkPyramidAdd(b *testing.B) {
	for _, step := range []time.Duration{20 * time.Microsecond, time.Millisecond, 20 * time.Millisecond} {
		b.Run(step.String(), func(b *testing.B) {
			p := filled(1)
			at := time.Duration(0)
			b.ReportAllocs()
			for b.Loop() {
				at += step
				p.Add(at, float64(at&1023))
			}
		})
	}
}

// The whole pull and its last 10 s cost the same whatever its length.
func BenchmarkPyramidCopyRange(b *testing.B) {
	for _, n := range []int{1_000, 100_000, 10_000_000} {
		p, end := filled(n), time.Duration(n)*time.Millisecond
		for name, from := range map[string]time.Duration{"whole": 0, "last 10 s": max(0, end-10*time.Second)} {
			b.Run(name+" of "+end.String(), func(b *testing.B) {
				var tr Trace
				b.ReportAllocs()
				for b.Loop() {
					p.CopyRange(&tr, from, end)
				}
				b.ReportMetric(float64(len(tr.Columns)), "columns")
			})
		}
	}
}
