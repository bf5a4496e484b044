package batch_test

import (
	"encoding/binary"
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"draghand/internal/batch"
)

// FuzzBatch: whatever the numbers, nothing panics or hangs; every error is one of
// the two; a figure does not depend on the order of the values, to the last digit;
// a finite batch is refused only where the method says so.
func FuzzBatch(f *testing.F) {
	pack := func(x ...float64) []byte {
		var b []byte
		for _, v := range x {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
		}
		return b
	}
	f.Add(pack(44.1, 45.3, 43.8, 46.0, 44.9, 44.1, 45.0, 46.2, 43.9), uint8(2))
	f.Add(pack(math.MaxFloat64, -math.MaxFloat64, 5e-324, 0, 1, 2, 3, 4), uint8(0))
	f.Add(pack(1, 1, 1, 1, 1, 1, 1, 1, 1), uint8(3))
	f.Add(pack(math.NaN(), math.Inf(1), 1), uint8(1))
	f.Add(pack(5e-324, 1e308, 1e308, 1, math.Nextafter(1, 2)), uint8(2))
	f.Fuzz(func(t *testing.T, data []byte, cut uint8) {
		var x []float64
		for len(data) >= 8 && len(x) < 64 {
			x = append(x, math.Float64frombits(binary.LittleEndian.Uint64(data)))
			data = data[8:]
		}
		at := min(int(cut), len(x))
		shuffled := append([]float64(nil), x...)
		r := rand.New(rand.NewPCG(uint64(cut), uint64(len(x))))
		swap := func(s []float64) { r.Shuffle(len(s), func(i, j int) { s[i], s[j] = s[j], s[i] }) }
		swap(shuffled[:at])
		swap(shuffled[at:])

		same(t, "Summarize", batch.Summarize(x, 0.95), batch.Summarize(shuffled, 0.95), nil, nil, equalSummary)
		for _, side := range []batch.Side{batch.Low, batch.High, batch.Either} {
			a, err := batch.Grubbs(x, side, 0.05)
			b, again := batch.Grubbs(shuffled, side, 0.05)
			if err == nil && (a.P < 0 || a.P > 1 || a.G < 0 || a.Value != x[a.Index]) {
				t.Errorf("%+v", a)
			}
			a.Index, b.Index = 0, 0 // it is the place, after all
			same(t, "Grubbs", a, b, err, again, equal)
		}
		n, err := batch.Normal(x)
		m, again := batch.Normal(shuffled)
		same(t, "Normal", n, m, err, again, equal)
		if err == nil && !(n.P >= 0 && n.P <= 1) {
			t.Errorf("%+v", n)
		}
		w, err := batch.FitWeibull(sizes(x[:at]), sizes(x[at:]), 0.9)
		v, again := batch.FitWeibull(sizes(shuffled[:at]), sizes(shuffled[at:]), 0.9)
		same(t, "FitWeibull", w, v, err, again, equalWeibull)
		if err == nil && !(w.Shape > 0 && w.Scale > 0 && !(w.ShapeLow > w.Shape) && !(w.ShapeHigh < w.Shape) && !(w.ScaleLow > w.Scale) && !(w.ScaleHigh < w.Scale)) {
			t.Errorf("%v and %v: %+v", x[:at], x[at:], w)
		}
		d, err := batch.Welch(x[:at], x[at:], 0.95)
		e, again := batch.Welch(shuffled[:at], shuffled[at:], 0.95)
		same(t, "Welch", d, e, err, again, equal)
		g, err := batch.Variance([][]float64{x[:at], x[at:]})
		h, again := batch.Variance([][]float64{shuffled[at:], shuffled[:at]})
		same(t, "Variance", g, h, err, again, equal)
		if err == nil && !(g.P >= 0 && g.P <= 1) {
			t.Errorf("%+v", g)
		}
		before := batch.Plotted{Value: math.Inf(-1)}
		for _, p := range batch.WeibullPlot(x[:at], x[at:]) {
			if p.Value < before.Value || !(p.Position > before.Position && p.Position < 1) || x[p.Index] != p.Value || p.Index >= at {
				t.Errorf("%+v after %+v", p, before)
			}
			before = p
		}
	})
}

// sizes leaves the signs out.
func sizes(x []float64) []float64 {
	out := make([]float64, len(x))
	for i, v := range x {
		out[i] = math.Abs(v)
	}
	return out
}

func same[T any](t *testing.T, what string, a, b T, err, again error, equal func(a, b T) bool) {
	t.Helper()
	if (err == nil) != (again == nil) || err != nil && !errors.Is(err, batch.ErrFew) && !errors.Is(err, batch.ErrValue) {
		t.Errorf("%s: %v, in another order %v", what, err, again)
	}
	if err == nil && !equal(a, b) {
		t.Errorf("%s: %+v, in another order %+v", what, a, b)
	}
}

func equal[T comparable](a, b T) bool { return a == b }

// alike are NaN both or equal.
func alike(a, b float64) bool { return a == b || math.IsNaN(a) && math.IsNaN(b) }

func equalSummary(a, b batch.Summary) bool {
	return a.N == b.N && alike(a.Mean, b.Mean) && alike(a.SD, b.SD) && alike(a.CV, b.CV) && alike(a.Median, b.Median) &&
		alike(a.Least, b.Least) && alike(a.Most, b.Most) && alike(a.MeanLow, b.MeanLow) && alike(a.MeanHigh, b.MeanHigh)
}

func equalWeibull(a, b batch.Weibull) bool {
	return alike(a.Shape, b.Shape) && alike(a.Scale, b.Scale) && alike(a.LogLikelihood, b.LogLikelihood) && alike(a.Unbiased, b.Unbiased) &&
		alike(a.ShapeLow, b.ShapeLow) && alike(a.ShapeHigh, b.ShapeHigh) && alike(a.ScaleLow, b.ScaleLow) && alike(a.ScaleHigh, b.ScaleHigh)
}

// FuzzUnits: batches like those of a shop, in steps of 1/8 between 1 and 8193, give
// the same answers in another unit (exactly, for a power of two), and moved by a
// whole number: what depends on spread alone stays, the rest moves along.
func FuzzUnits(f *testing.F) {
	f.Add([]byte{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 17, 18}, int8(3), uint16(1000))
	f.Add([]byte{0, 0, 0, 0, 0, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 255, 255}, int8(-20), uint16(65535))
	f.Fuzz(func(t *testing.T, data []byte, power int8, shift uint16) {
		var x, scaled, moved []float64
		for len(data) >= 2 && len(x) < 40 {
			v := 1 + float64(binary.LittleEndian.Uint16(data))/8
			x, scaled, moved = append(x, v), append(scaled, math.Ldexp(v, int(power))), append(moved, v+float64(shift))
			data = data[2:]
		}
		unit := math.Ldexp(1, int(power))
		a, b, c := batch.Summarize(x, 0.95), batch.Summarize(scaled, 0.95), batch.Summarize(moved, 0.95)
		if !alike(b.Mean, a.Mean*unit) || !alike(b.SD, a.SD*unit) || !alike(b.MeanLow, a.MeanLow*unit) || !alike(b.CV, a.CV) {
			t.Errorf("%+v, in another unit %+v", a, b)
		}
		if len(x) > 1 {
			within(t, "SD moved", c.SD, a.SD, 1e-9*a.SD)
			within(t, "mean moved", c.Mean-float64(shift), a.Mean, 1e-9)
		}
		o, err := batch.Grubbs(x, batch.Either, 0.05)
		p, scaledErr := batch.Grubbs(scaled, batch.Either, 0.05)
		q, movedErr := batch.Grubbs(moved, batch.Either, 0.05)
		if (err == nil) != (scaledErr == nil) || (err == nil) != (movedErr == nil) {
			t.Fatalf("%v, %v, %v", err, scaledErr, movedErr)
		}
		if err == nil {
			if o.G != p.G || o.P != p.P || o.Index != p.Index {
				t.Errorf("%+v, in another unit %+v", o, p)
			}
			within(t, "G moved", q.G, o.G, 1e-8)
		}
		if n, err := batch.Normal(x); err == nil {
			m, _ := batch.Normal(scaled)
			k, _ := batch.Normal(moved)
			if n != m {
				t.Errorf("%+v, in another unit %+v", n, m)
			}
			within(t, "A² moved", k.A2, n.A2, 1e-7*(1+n.A2))
		}
		w, err := batch.FitWeibull(x, nil, 0.95)
		v, again := batch.FitWeibull(scaled, nil, 0.95)
		if (err == nil) != (again == nil) {
			t.Fatalf("%v, %v", err, again)
		}
		if err == nil && (w.Shape != v.Shape || w.Scale*unit != v.Scale || w.ShapeLow != v.ShapeLow) {
			t.Errorf("%+v, in another unit %+v", w, v)
		}
	})
}
