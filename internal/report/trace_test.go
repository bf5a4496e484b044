package report

import (
	"fmt"
	"io"
	"math"
	"os"
	"runtime"
	"strings"
	"testing"
	"time"

	"draghand/internal/record"
)

// One reading among many thousands stands in the picture: no column takes a mean.
func TestSpikeIsKept(t *testing.T) {
	rec := made(t, nil, func(w *record.Writer) {
		for i := range 40_000 {
			raw := "819.2"
			if i == 23_456 {
				raw = "2457.6" // 73,500 N, worked out in byHand
			}
			w.Append(time.Duration(i)*time.Millisecond, nil, []byte(raw), "")
		}
	})
	f := gather(rec, options)
	g := f.figure()
	most, at := float32(0), time.Duration(0)
	for _, c := range g.columns {
		if c.high > most {
			most, at = c.high, c.at
		}
	}
	if math.Abs(float64(most)-73500) > 1 || at < 23400*time.Millisecond || at > 23500*time.Millisecond {
		t.Errorf("the highest column is %v N at %v, want 73,500 N at 23.456 s", most, at)
	}
	if n := strings.Count(strings.Join(g.Lines, " "), "L"); n > 2*figColumns {
		t.Errorf("%d points in the picture", n)
	}
}

func TestTicks(t *testing.T) {
	for _, c := range []struct {
		low, high float64
		n         int
		want      string
	}{
		{0, 10, 5, "0 2 4 6 8 10"},
		{0, 18.3, 9, "0 2 4 6 8 10 12 14 16 18"},
		{-120, 11_000, 7, "0 2,000 4,000 6,000 8,000 10,000"},
		{0, 0.5, 5, "0.0 0.1 0.2 0.3 0.4 0.5"},
		{0, 0.031, 6, "0.000 0.005 0.010 0.015 0.020 0.025 0.030"},
		{5, 5, 5, ""},
		{0, math.Inf(1), 5, ""},
		{math.NaN(), 1, 5, ""},
	} {
		var got []string
		for _, k := range ticks(c.low, c.high, c.n) {
			got = append(got, k.Text)
		}
		if s := strings.Join(got, " "); s != c.want {
			t.Errorf("ticks(%v, %v, %d) = %q, want %q", c.low, c.high, c.n, s, c.want)
		}
	}
}

// many is a record of n readings at 1 kHz that rise slowly.
func many(t testing.TB, n int) *record.Record {
	return made(t, nil, func(w *record.Writer) {
		b := make([]byte, 0, 16)
		for i := range n {
			b = fmt.Appendf(b[:0], "%.1f", 819.2+900*float64(i)/float64(n))
			w.Append(time.Duration(i)*time.Millisecond, nil, b, "")
		}
	})
}

// The memory a report takes does not grow with the record: four times the
// readings cost at most what the bins may grow to.
func TestMemoryIsBounded(t *testing.T) {
	cost := func(rec *record.Record) uint64 {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		if err := HTML(io.Discard, rec, options); err != nil {
			t.Fatal(err)
		}
		runtime.ReadMemStats(&after)
		return after.TotalAlloc - before.TotalAlloc
	}
	small, large := many(t, 100_000), many(t, 400_000)
	cost(small)
	a, b := cost(small), cost(large)
	if b > a+4<<20 {
		t.Errorf("100,000 readings take %d bytes, 400,000 take %d", a, b)
	}
}

// Ten million readings, nearly three hours at 1 kHz: DRAGHAND_LONG=1 go test
// ./internal/report -run Long -v.
func TestTenMillionLong(t *testing.T) {
	if os.Getenv("DRAGHAND_LONG") == "" {
		t.Skip("measures for a while: set DRAGHAND_LONG")
	}
	rec := many(t, 10_000_000)
	runtime.GC()
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	start := time.Now()
	if err := HTML(io.Discard, rec, options); err != nil {
		t.Fatal(err)
	}
	runtime.ReadMemStats(&after)
	t.Logf("a page of 10,000,000 readings: %.1f s, %.1f MB taken in all", time.Since(start).Seconds(), float64(after.TotalAlloc-before.TotalAlloc)/1e6)
	if after.TotalAlloc-before.TotalAlloc > 64<<20 {
		t.Error("more than 64 MB")
	}
}

func BenchmarkHTML(b *testing.B) {
	rec := many(b, 1_000_000)
	b.ReportAllocs()
	for b.Loop() {
		if err := HTML(io.Discard, rec, options); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPNG(b *testing.B) {
	rec := many(b, 1_000_000)
	b.ReportAllocs()
	for b.Loop() {
		if err := PNG(io.Discard, rec, options); err != nil {
			b.Fatal(err)
		}
	}
}
