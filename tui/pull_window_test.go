package tui

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/muesli/termenv"

	"draghand/internal/pull"
	"draghand/internal/watch"
)

func TestWindow(t *testing.T) {
	tests := []struct {
		name     string // source: the rule of window, by hand
		t        time.Duration
		phase    pull.Phase
		loadedAt time.Duration
		shown    shownTime
		from, to time.Duration
	}{
		{"slack: the last 30 s", 7 * time.Second, pull.Slack, 0, wholePull, 0, 30 * time.Second},
		{"slack for a minute", time.Minute, pull.Slack, 0, wholePull, 40 * time.Second, 70 * time.Second},
		{"the whole from before the load", 40 * time.Second, pull.Loading, 12 * time.Second, wholePull, 5 * time.Second, 50 * time.Second},
		{"the last minute of less", 22 * time.Second, pull.Loading, 5 * time.Second, lastMinute, 0, 62 * time.Second},
		{"the last minute of more", 95 * time.Second, pull.Loading, 5 * time.Second, lastMinute, 34 * time.Second, 96 * time.Second},
		{"the last ten seconds", 95300 * time.Millisecond, pull.Loading, 5 * time.Second, lastTen, 85 * time.Second, 95500 * time.Millisecond},
		{"the last ten seconds of a broken bar", 43 * time.Second, pull.Broken, 5 * time.Second, lastTen, 33 * time.Second, 43500 * time.Millisecond},
	}
	for _, tt := range tests {
		s := &pull.State{T: tt.t, Phase: tt.phase, LoadedAt: tt.loadedAt}
		if from, to := window(s, tt.shown); from != tt.from || to != tt.to {
			t.Errorf("%s: %v to %v, want %v to %v", tt.name, from, to, tt.from, tt.to)
		}
	}
}

// TestWindowHoldsTheLast: whatever the time, the last 60 and 10 s are in the
// window, and it does not begin over a step before them.
func TestWindowHoldsTheLast(t *testing.T) {
	for _, shown := range []shownTime{lastMinute, lastTen} {
		length, step := shown.length()
		for at := time.Duration(0); at < 3*time.Minute; at += 37 * time.Millisecond {
			from, to := window(&pull.State{T: at, Phase: pull.Loading}, shown)
			if from > max(0, at-length) || to <= at || from < at-length-step && from > 0 || to-from > length+step {
				t.Fatalf("%v of %v: %v to %v", length, at, from, to)
			}
		}
	}
}

// TestWindowIsAskedFor: the source is asked for the window that is drawn.
func TestWindowIsAskedFor(t *testing.T) {
	src := &asked{fake: at(95, 38e3)}
	m := screen(src, 80, 24, termenv.Ascii)
	src.windows = nil
	press(m, "w", "w", "w")
	var want [][2]time.Duration
	for _, shown := range []shownTime{lastMinute, lastTen, wholePull} {
		from, to := window(&src.snap.State, shown)
		want = append(want, [2]time.Duration{from, to})
	}
	if !slices.Equal(src.windows, want) {
		t.Errorf("asked for %v, want %v", src.windows, want)
	}
}

type asked struct {
	*fake
	windows [][2]time.Duration
}

func (a *asked) Trace(dst *watch.Trace, from, to time.Duration) {
	a.windows = append(a.windows, [2]time.Duration{from, to})
	a.fake.Trace(dst, from, to)
}

// A frame with its look at the source costs the same at any length of pull, in
// every window. Goal: at most 1.5 ms at 120×40, of which the chart 1 ms at 120×30
// (tui/chart).
func BenchmarkWindow(b *testing.B) {
	for _, length := range []float64{20, 600, 3600} {
		f := at(40, 38e3)
		f.trace = watch.Pyramid{}
		for i := range int(length * 100) {
			f.trace.Add(time.Duration(i)*10*time.Millisecond, forceAt(float64(i)/length/100*38, 38e3))
		}
		f.snap.State.T = seconds(length)
		for shown, name := range []string{"whole", "60s", "10s"} {
			m := screen(f, 120, 40, termenv.TrueColor)
			m.shown = shownTime(shown)
			b.Run(fmt.Sprintf("pull=%.0fs/shown=%s", length, name), func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					m.load()
					_ = m.View()
				}
			})
		}
	}
}

// TestFrameCostsTheSame holds the allocations of a frame with its look at the
// source: after an hour they are those of twenty seconds, in every window.
func TestFrameCostsTheSame(t *testing.T) {
	allocs := func(length float64, shown shownTime) float64 {
		f := at(40, 38e3)
		f.trace = watch.Pyramid{}
		for i := range int(length * 100) {
			f.trace.Add(time.Duration(i)*10*time.Millisecond, forceAt(float64(i)/length/100*38, 38e3))
		}
		f.snap.State.T = seconds(length)
		m := screen(f, 120, 40, termenv.TrueColor)
		m.shown = shown
		return testing.AllocsPerRun(5, func() {
			m.load()
			_ = m.View()
		})
	}
	for shown := range shownTimes {
		short, long := allocs(20, shown), allocs(3600, shown)
		if long > 1.2*short {
			t.Errorf("window %d: %.0f allocations a frame after an hour, %.0f after 20 s", shown, long, short)
		}
	}
}
