package trace

import (
	"testing"
	"time"

	"draghand/internal/record"
)

// A minute at 1 kHz, by its overview and by a pass over its 60,000 readings.
func BenchmarkRead(b *testing.B) {
	s := sitting{hz: 1000, wait: 5 * time.Second, load: 50 * time.Second, topKN: 33, noise: 1, after: 5 * time.Second}
	dir := s.write(b, b.TempDir())
	b.Run("overview", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := Read(dir, Plenty); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("readings", func(b *testing.B) {
		rec, err := record.Open(dir)
		if err != nil {
			b.Fatal(err)
		}
		b.ReportAllocs()
		for b.Loop() {
			_, _ = passed(b.Context(), rec, Plenty)
		}
	})
}
