package tui

import (
	"math"
	"strings"
	"testing"

	"draghand/internal/pull"
	"draghand/internal/rig"
	"draghand/internal/si"
)

func TestStrokesLeft(t *testing.T) {
	state := func(now, crest, gain si.Force, edit func(*pull.State)) *pull.State {
		s := &pull.State{Phase: pull.Loading, Seen: true}
		s.Live.Specimen, s.Peak.Specimen = now, crest
		s.Strokes = pull.Strokes{Count: 9, Gain: gain, Best: gain}
		s.Limits = []pull.Limit{{Name: "link bar", AtForce: 48e3, Ratio: float64(now) / 48e3}}
		if edit != nil {
			edit(s)
		}
		return s
	}
	tests := []struct {
		name string // source: the rule of strokesLeft, by hand
		s    *pull.State
		want int // −1: nothing is told
	}{
		{"twelve kN at two a stroke", state(36e3, 36e3, 2e3, nil), 6},
		{"a part of a stroke is not told", state(35e3, 35e3, 2e3, nil), 6},
		{"from the crest, not the leak after it", state(35e3, 36.5e3, 2e3, nil), 5},
		{"let off by more than a tenth: from the force now", state(30e3, 36e3, 2e3, nil), 9},
		{"the next may reach it", state(47e3, 47e3, 2e3, nil), 0},
		{"at half of the limit: not yet", state(24e3, 24e3, 2e3, nil), -1},
		{"past the stop", state(48e3, 48e3, 2e3, nil), -1},
		{"gain not known", state(36e3, 36e3, 0, nil), -1},
		{"gain is no number", state(36e3, 36e3, si.Force(math.NaN()), nil), -1},
		{"far away", state(25e3, 25e3, 100, nil), -1},
		{"not seen", state(36e3, 36e3, 2e3, func(s *pull.State) { s.Seen = false }), -1},
		{"something is giving", state(36e3, 36e3, 2e3, func(s *pull.State) { s.Strokes.Giving = true }), -1},
		{"past the peak", state(36e3, 37e3, 2e3, func(s *pull.State) { s.Phase = pull.PastPeak }), -1},
		{"its force is not known", state(36e3, 36e3, 2e3, func(s *pull.State) { s.Limits[0].AtForce = 0 }), -1},
		{"no limits", state(36e3, 36e3, 2e3, func(s *pull.State) { s.Limits, s.Nearest = nil, -1 }), -1},
	}
	for _, tt := range tests {
		n, _, ok := strokesLeft(tt.s, rig.Alarm{Caution: 0.75, Warning: 0.9, Stop: 1})
		if !ok {
			n = -1
		}
		if n != tt.want {
			t.Errorf("%s: %d strokes, want %d", tt.name, n, tt.want)
		}
	}
	if n, _, ok := strokesLeft(state(36e3, 36e3, 2e3, nil), rig.Alarm{Stop: 0.9}); !ok || n != 3 { // 43.2 kN
		t.Errorf("a stop at 0.9: %d, %v, want 3", n, ok)
	}
}

func TestStrokesText(t *testing.T) {
	f := pumped(22, 38e3, 0, 0)
	m := NewPullScreen(f, Options{Units: si.Metric})
	tests := []struct {
		name string // source: by hand
		edit func(*pull.State)
		want string
	}{
		{"all", func(*pull.State) {}, "12 strokes   each gains 1.80 kN   about 11 to the stop of link bar"},
		{"the next", func(s *pull.State) { s.Strokes.Gain = 30e3 }, "12 strokes   each gains 30.00 kN   the next may reach the stop of link bar"},
		{"gain not known", func(s *pull.State) { s.Strokes.Gain = 0 }, "12 strokes"},
		{"giving", func(s *pull.State) { s.Strokes.Giving = true }, "12 strokes   each gains 1.80 kN, at best 2.00 kN"},
		{"none", func(s *pull.State) { s.Strokes = pull.Strokes{} }, ""},
		{"over", func(s *pull.State) { s.Outcome = pull.Broken }, ""},
	}
	whole := f.snap.State
	for _, tt := range tests {
		f.snap.State = whole.Clone()
		tt.edit(&f.snap.State)
		if got := m.strokesText(90); got != tt.want {
			t.Errorf("%s: %q, want %q", tt.name, got, tt.want)
		}
	}
	f.snap.State = whole
	if got := m.strokesText(40); strings.Contains(got, "stop") || len(got) > 40 {
		t.Errorf("in 40 cells: %q", got)
	}
}
