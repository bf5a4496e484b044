package shelf

import (
	"strings"
	"testing"
	"time"

	"draghand/internal/control"
)

// The first advice goes by what is seen: one bar beyond may be chance, several or a
// run hardly are.
func TestFirstAdvice(t *testing.T) {
	day := time.Date(2026, 11, 1, 12, 0, 0, 0, time.UTC)
	steady := []float64{300e6, 302e6, 299e6, 301e6, 300e6, 302e6, 299e6, 301e6, 300e6, 302e6}
	for name, c := range map[string]struct {
		more []float64
		want string
	}{
		"one":     {[]float64{330e6}, "first: pull another"},
		"apart":   {[]float64{330e6, 300e6, 331e6}, "first: pull another"},
		"two":     {[]float64{330e6, 331e6}, "first: believe it: 2 beyond in a row"},
		"six":     {[]float64{330e6, 331e6, 329e6, 330e6, 331e6, 330e6}, "first: believe it: 6 beyond in a row"},
		"run":     {[]float64{301.5e6, 301.5e6, 301.6e6, 301.5e6, 301.6e6, 301.5e6, 301.6e6, 301.5e6}, "first: believe it: 9 in a row on one side"},
		"nothing": {nil, ""},
	} {
		var points []control.Point
		for i, v := range append(append([]float64{}, steady...), c.more...) {
			points = append(points, control.Point{At: day.AddDate(0, 0, i), Value: v})
		}
		s := Stock{Chart: control.Of(points)}
		got := ""
		if look := s.Look(); len(look) > 0 {
			got = look[0]
		}
		if c.want == "" && got != "" || !strings.HasPrefix(got, c.want) {
			t.Errorf("%s: %q, want %q", name, got, c.want)
		}
	}
}

// A bar of the same date is of today; one of the evening before is not.
func TestAgo(t *testing.T) {
	now := time.Date(2026, 11, 25, 9, 0, 0, 0, time.Local)
	for _, c := range []struct {
		back time.Duration
		want string
	}{{time.Hour, "today"}, {14 * time.Hour, "yesterday"}, {30 * time.Hour, "1 day ago"}, {9 * 24 * time.Hour, "9 days ago"}} {
		if got := ago(now.Add(-c.back), now); got != c.want {
			t.Errorf("%v before: %q, want %q", c.back, got, c.want)
		}
	}
}
