package tui

import (
	"math"
	"testing"
	"time"

	"draghand/internal/pull"
)

// What an alarm that is over says of its part is the highest load since it was
// raised; a lone reading, and one from before, stay what they were.
func TestHighestLoadOfAnAlarm(t *testing.T) {
	l := &pull.Limit{Allowable: 48e3, PeakRatio: 1.15}
	for _, c := range []struct {
		name string
		a    pull.Alarm
		at   time.Duration // of the drag hand
		want float64
	}{
		{"went on rising", pull.Alarm{Load: 48.1e3, Raised: time.Second}, 2 * time.Second, 1.15 * 48e3},
		{"highest when raised", pull.Alarm{Load: 60e3, Raised: time.Second}, 2 * time.Second, 60e3},
		{"the peak was before", pull.Alarm{Load: 48.1e3, Raised: 3 * time.Second}, 2 * time.Second, 48.1e3},
		{"a lone reading", pull.Alarm{Load: 70e3, Single: true}, 2 * time.Second, 70e3},
	} {
		if got := highest(&pull.State{Peak: pull.Point{T: c.at}}, l, &c.a); math.Abs(got-c.want) > 1e-6 {
			t.Errorf("%s: %g, want %g", c.name, got, c.want)
		}
	}
}
