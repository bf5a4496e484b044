package record

import (
	"testing"
	"time"
)

// Goal: 200 ns a line amortised, the writing and syncing goroutines running
// beside it (design 9's share of the whole chain).
func BenchmarkAppend(b *testing.B) {
	w := mustCreate(b, Options{}, b.TempDir())
	dev, raw := []byte("123456789"), []byte("2048")
	at := time.Duration(0)
	b.ReportAllocs()
	for b.Loop() {
		at += 20 * time.Microsecond
		w.Append(at, dev, raw, "")
	}
	b.StopTimer()
	if h := w.Health(); h.Dropped > 0 || h.Err != nil {
		b.Errorf("%+v", h)
	}
	must(b, w.Close(Closing{}))
}
